using Stakeboat.Core.Boats;
using Stakeboat.Core.Calls;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief;

/// <summary>One stroke on the debrief's clock.</summary>
/// <param name="T">The catch, s.</param>
/// <param name="Rate">Strokes/min.</param>
/// <param name="Speed">Mean over the stroke, m/s; null where no source gave it.</param>
public readonly record struct StrokeFact(double T, double Rate, double RateSd, double? Speed, double SpeedSd, double Quality);

/// <summary>A planned stretch.</summary>
/// <param name="FromMetres">From the start, m.</param>
public sealed record SegmentFact(string Name, double FromMetres, double ToMetres, double? Rate, double? Seconds, bool Sprint);

/// <summary>A planned thing to say or do.</summary>
/// <param name="AtMetres">Null where it hangs on a rival.</param>
/// <param name="Strokes">Length of a burst.</param>
public sealed record CueFact(string Text, double? AtMetres, int? Strokes);

/// <summary>A move with what it won.</summary>
/// <param name="Ours">True for ours.</param>
/// <param name="Seats">Gained by us against the trend.</param>
public sealed record MoveFact(
    string Crew, bool Ours, double From, double To, string Rival, Estimate Seats, Estimate? Held, int? CallIndex);

/// <summary>
/// Everything that findings are drawn from, on one clock (s). What is missing is null or empty, and the findings that need it are left out.
/// </summary>
public sealed record DebriefFacts
{
    public required HullGeometry Hull { get; init; }

    public IReadOnlyList<HeardCall> Calls { get; init; } = [];

    /// <summary>The word "go".</summary>
    public Estimate? Go { get; init; }

    public Estimate? Finish { get; init; }

    /// <summary>Length of the race, m.</summary>
    public double? Distance { get; init; }

    public IReadOnlyList<StrokeFact> Strokes { get; init; } = [];

    /// <summary>Stroke rate, strokes/min, measured (not called).</summary>
    public Curve? Rate { get; init; }

    /// <summary>Own distance from the start, m.</summary>
    public Curve? Metres { get; init; }

    /// <summary>True where <see cref="Metres"/> rests on a sensor, not on the calls themselves.</summary>
    public bool MetresMeasured { get; init; }

    /// <summary>Speed of the hull averaged over a stroke, m/s.</summary>
    public Curve? Speed { get; init; }

    /// <summary>Margin to each rival, m.</summary>
    public IReadOnlyDictionary<string, Curve> Margins { get; init; } = new Dictionary<string, Curve>();

    /// <summary>Margin that each position call claimed (m, midpoint and sd of what it said) by index in <see cref="Calls"/>, with its crew.</summary>
    public IReadOnlyList<(int CallIndex, string Crew, double ClaimedMetres, double Sd)> Claims { get; init; } = [];

    public IReadOnlyList<MoveFact> Moves { get; init; } = [];

    public IReadOnlyList<SegmentFact> Segments { get; init; } = [];

    public IReadOnlyList<CueFact> Cues { get; init; } = [];

    /// <summary>Metres above the shortest line.</summary>
    public Estimate? ExtraMetres { get; init; }

    /// <summary>Mean speed of the race, m/s: from the curve, else distance over time.</summary>
    public double? RaceSpeed =>
        Distance is { } d && Go is { } g && Finish is { } f && f.Mean > g.Mean ? d / (f.Mean - g.Mean)
        : Go is { } g2 && Speed is { } v ? v.Average(g2.Mean, Finish?.Mean ?? v.To) : null;

    public bool InRace(double t) => Go is { } g && t >= g.Mean && t <= (Finish?.Mean ?? double.PositiveInfinity);
}
