using Stakeboat.Core.Margins;
using Stakeboat.Core.Plans;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Debrief;

/// <summary>A compiled plan as findings see it.</summary>
internal static class PlanFacts
{
    public static IReadOnlyList<SegmentFact> Segments(CompiledPlan? plan) => plan is null ? [] :
    [
        .. plan.Segments.Select(s => new SegmentFact(s.Name, s.From.Distance.Metres, s.To.Distance.Metres,
            0.5 * (s.RateFrom.PerMinute + s.RateTo.PerMinute), s.Time.Seconds, s.Kind == SegmentKind.Sprint)),
    ];

    public static IReadOnlyList<CueFact> Cues(CompiledPlan? plan) => plan is null ? [] :
        [.. plan.Cues.Select(c => new CueFact(c.ActionText, c.From?.Distance.Metres, c.Kind == CueKind.Burst ? c.Strokes : null))];

    /// <summary>Planned bursts on the race clock.</summary>
    public static IReadOnlyList<Move> Moves(CompiledPlan? plan) => plan is null ? [] :
    [
        .. plan.Cues.Where(c => c is { Kind: CueKind.Burst, From: not null, To: not null }).Select(c => new Move(null,
            Instant<RaceClock>.FromSeconds(c.From!.Value.Time.Seconds), Instant<RaceClock>.FromSeconds(c.To!.Value.Time.Seconds),
            c.To.Value.Strokes - c.From.Value.Strokes, MoveOrigin.Planned)),
    ];
}
