using Stakeboat.Core.Units;

namespace Stakeboat.Core.Plans;

/// <summary>
/// A place in the race in all three units at once.
/// </summary>
/// <param name="Distance">From the start along the course.</param>
/// <param name="Strokes">Strokes completed since "go" (the catch of stroke n is at n - 1).</param>
/// <param name="Time">Since "go".</param>
public readonly record struct PlanPoint(Distance Distance, double Strokes, Duration Time)
{
    /// <summary>Number of the stroke that is being rowed here, from 1.</summary>
    public int StrokeNumber => (int)Math.Floor(Strokes + 1e-6) + 1;
}

/// <summary>A stretch of the race, from its first catch to the next stretch's.</summary>
/// <param name="Line">Line of the text that wrote it.</param>
/// <param name="Kind">What it is for.</param>
/// <param name="Name">As written ("high", "base").</param>
/// <param name="RateFrom">Target rate at its first stroke.</param>
/// <param name="RateTo">Target rate at its last stroke; equal to RateFrom unless it ramps.</param>
/// <param name="Pace">Mean pace over ground through it.</param>
/// <param name="EffortPercent">Power above the base effort, %, where written.</param>
/// <param name="Fractions">Slide fractions of the start's strokes in order; empty elsewhere.</param>
public sealed record PlannedSegment(
    int Line, SegmentKind Kind, string Name, PlanPoint From, PlanPoint To, StrokeRate RateFrom, StrokeRate RateTo, Pace Pace,
    double? EffortPercent, string? Purpose, string? Words, IReadOnlyList<double> Fractions)
{
    public double Strokes => To.Strokes - From.Strokes;

    public Distance Length => To.Distance - From.Distance;

    public Duration Time => To.Time - From.Time;
}

/// <summary>What a cue does.</summary>
public enum CueKind
{
    /// <summary>So many strokes at a rate, an effort or with a focus.</summary>
    Burst,

    /// <summary>The rate changes and stays.</summary>
    RateChange,

    /// <summary>Only said.</summary>
    Words,
}

/// <summary>A thing to call.</summary>
/// <param name="Line">Line of the text that wrote it.</param>
/// <param name="Trigger">What sets it off.</param>
/// <param name="TriggerText">The same as written.</param>
/// <param name="From">Where it takes hold; null where a rival or the moment decides.</param>
/// <param name="To">Where it is over; null as From, and for mere words.</param>
/// <param name="CallAt">Where it is said: From less the warning strokes; null as From.</param>
/// <param name="Rate">Target rate while it lasts, where it sets one.</param>
/// <param name="InStrokes">Warning strokes before it takes hold ("in 2").</param>
/// <param name="OverStrokes">Strokes across which the rate changes ("over 5").</param>
/// <param name="Instead">It takes the place of the next planned burst.</param>
public sealed record PlannedCue(
    int Line, CueKind Kind, PlanTrigger Trigger, string TriggerText, string ActionText, PlanPoint? From, PlanPoint? To, PlanPoint? CallAt,
    int? Strokes, StrokeRate? Rate, double? RateBy, int? InStrokes, int? OverStrokes, double? EffortPercent, Pace? Pace, string? Purpose, string? Words, bool Instead)
{
    /// <summary>True where a place in the race, not a rival, sets it off.</summary>
    public bool Placed => From is not null;
}

/// <summary>The plan at one moment, for curves and for laying it beside what was rowed.</summary>
/// <param name="Steady">Speed that rate and effort would hold once the start is over.</param>
public readonly record struct PlanSample(
    Distance Distance, double Strokes, Duration Time, SpeedOverGround Speed, StrokeRate Rate, double EffortPercent, SpeedOverGround Steady);

/// <summary>What a compiled plan rests on; printed with it.</summary>
/// <param name="BasePace">Pace at the base rate, over ground, in these conditions.</param>
/// <param name="LiftPercent">Speed gained for each stroke/min above the base rate, %.</param>
/// <param name="LiftGiven">True where the writer gave the lift; else it is the published prior.</param>
/// <param name="StartLength">Distance constant x0 of the standing start, v³ = V³(1 - exp(-x/x0)); zero for a rolling one.</param>
/// <param name="SpeedFactor">Speed in these conditions over speed in those for which the pace was written.</param>
public sealed record PlanAssumptions(
    string? Boat, Pace BasePace, StrokeRate BaseRate, double LiftPercent, bool LiftGiven, Distance StartLength, double SpeedFactor, string Conditions)
{
    /// <summary>True where the lift comes from the crew's own ladder, with the published slopes as prior.</summary>
    public bool LiftFromLadder { get; init; }

    /// <summary>True where the base pace was carried from the crew's reference pace into these conditions.</summary>
    public bool BaseFromReference { get; init; }

    /// <summary>Speed along a bending course over its mean; empty for a straight one.</summary>
    public IReadOnlyList<SpeedFrom> Along { get; init; } = [];
}

/// <summary>One consistent plan in metres, strokes and seconds.</summary>
/// <param name="Variant">A, B, C.</param>
/// <param name="Finish">The finish line in all three units.</param>
/// <param name="Samples">The plan every 0.5 s, and at the finish.</param>
public sealed record CompiledPlan(
    string Variant, string? When, string? Title, string? Crew, string? Course, string? Date, IReadOnlyList<string> Rivals, Distance Distance, PlanPoint Finish,
    IReadOnlyList<PlannedSegment> Segments, IReadOnlyList<PlannedCue> Cues, IReadOnlyList<PlanPoint> Marks, IReadOnlyList<string> MarkNames,
    IReadOnlyList<PlanSample> Samples, PlanAssumptions Assumptions)
{
    /// <summary>The plan where the bow ball has gone <paramref name="distance"/>, by straight lines between samples; clamped to the race.</summary>
    public PlanPoint At(Distance distance)
    {
        int lo = 0, hi = Samples.Count - 1;
        while (hi - lo > 1)
        {
            int mid = (lo + hi) / 2;
            if (Samples[mid].Distance <= distance)
            {
                lo = mid;
            }
            else
            {
                hi = mid;
            }
        }

        var a = Samples[lo];
        var b = Samples[hi];
        double span = b.Distance.Metres - a.Distance.Metres;
        double f = span <= 0 ? 0 : Math.Clamp((distance.Metres - a.Distance.Metres) / span, 0, 1);
        return new PlanPoint(
            Distance.FromMetres(a.Distance.Metres + f * span),
            a.Strokes + f * (b.Strokes - a.Strokes),
            Duration.FromSeconds(a.Time.Seconds + f * (b.Time.Seconds - a.Time.Seconds)));
    }

    /// <summary>Seconds for each quarter of the distance.</summary>
    public IReadOnlyList<Duration> Quarters()
    {
        var result = new List<Duration>();
        var last = Duration.FromSeconds(0);
        for (int q = 1; q <= 4; q++)
        {
            var here = q == 4 ? Finish.Time : At(Distance * (q / 4.0)).Time;
            result.Add(here - last);
            last = here;
        }

        return result;
    }
}

/// <summary>What came of compiling: a plan, or the reasons why there is none; remarks either way.</summary>
public sealed record PlanResult(CompiledPlan? Plan, IReadOnlyList<PlanIssue> Issues);
