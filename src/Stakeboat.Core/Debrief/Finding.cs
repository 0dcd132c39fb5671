using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief;

/// <summary>What a finding is about. Words are chosen at the edge.</summary>
public enum FindingKind
{
    /// <summary>Time of a planned segment against the plan, s; positive: slower than planned.</summary>
    SegmentTime,

    /// <summary>Rate of a planned segment against the plan, strokes/min; positive: higher than planned.</summary>
    SegmentRate,

    /// <summary>Called rate minus rowed rate, strokes/min.</summary>
    RateCalls,

    /// <summary>Called distance gone minus rowed distance, m; positive: called early (the crew was told more than it had rowed).</summary>
    DistanceCalls,

    /// <summary>Called margin minus estimated margin, seats; positive: encouraging.</summary>
    MarginCalls,

    /// <summary>A move of ours: seats gained against its trend.</summary>
    OurMove,

    /// <summary>A rival's move: seats that they gained (positive).</summary>
    RivalMove,

    /// <summary>Seconds from a rival's move being called to our answer.</summary>
    AnswerDelay,

    /// <summary>Change of mean speed after technical calls, m/s.</summary>
    TechnicalCalls,

    /// <summary>Longest time without a word in the race, s.</summary>
    Silence,

    /// <summary>Share of the race's calls that count strokes.</summary>
    Counting,

    /// <summary>Metres rowed above the shortest line.</summary>
    Line,

    /// <summary>Seconds from "go" to our first catch.</summary>
    StartDelay,

    /// <summary>Seconds that the start cost against rowing at race speed from the word.</summary>
    StartCost,

    /// <summary>Metres from the finish at which the rate rose for the sprint.</summary>
    SprintBegan,

    /// <summary>Seconds that uneven speed cost at equal energy.</summary>
    Unevenness,

    /// <summary>Planned cue that was not heard.</summary>
    CueMissed,
}

/// <summary>Where to look and listen.</summary>
/// <param name="From">On the debrief's clock, s.</param>
/// <param name="To">End of the stretch, s; null for an instant.</param>
/// <param name="CallIndex">Index of the call in the debrief's list.</param>
public readonly record struct Evidence(double From, double? To, int? CallIndex);

/// <summary>A remark with its number.</summary>
/// <param name="Value">In the unit of <see cref="FindingKind"/>.</param>
/// <param name="Low90">Lower bound of the 90 % interval, and <paramref name="High90"/> its upper; equal to Value where it is a count.</param>
/// <param name="N">How many cases it stands on.</param>
/// <param name="WorthSeconds">What putting it right might be worth to the next race, s. The order of findings. Common practice, no source.</param>
/// <param name="Subject">Whom or what it is about: a crew, a segment, a technical topic; empty for the whole.</param>
/// <param name="Other">A second number where one is needed (the plan's value, the seats held).</param>
public sealed record Finding(
    FindingKind Kind, double Value, double Low90, double High90, int N, double WorthSeconds, string Subject,
    IReadOnlyList<Evidence> Evidence, double? Other = null)
{
    /// <summary>How many questions of this kind were put to the race at once, where the interval is widened for it.</summary>
    public int? Tried { get; init; }

    public bool DistinguishableFromZero => Low90 > 0 || High90 < 0;

    public static Finding From(FindingKind kind, Estimate e, int n, double worth, string subject, IReadOnlyList<Evidence> evidence, double? other = null) =>
        new(kind, e.Mean, e.Low90, e.High90, n, worth, subject, evidence, other);
}
