using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Margins;

/// <summary>What makes a piece of evidence that somebody saw and said less than exact.</summary>
/// <param name="DelaySeconds">From seeing to the end of the sentence, s: the margin meant is that of so long before.</param>
/// <param name="DelaySd">Standard deviation of that delay and of the time stamp together, s.</param>
/// <param name="Trust">Probability that the evidence is what was meant at all, in [0, 1]; the rest is a gross error.</param>
/// <param name="EyeSd">What the eye itself misses by, m, before the lane's distance is counted in.</param>
public sealed record SightSpread(double DelaySeconds, double DelaySd, double Trust, double EyeSd)
{
    /// <summary>A call with word times: 1.5 ± 0.7 s late, 95 % to be trusted, 0.3 of a seat of an eight by eye.
    /// Common practice, no source; delays of 1-2 s.</summary>
    public static SightSpread Usual { get; } = new(1.5, 0.7, 0.95, 0.42);
}

/// <summary>A piece of evidence about who was where. Margins in metres, positive: we lead.</summary>
/// <param name="At">On the race clock.</param>
/// <param name="Source">The caller's own number for where it came from, so that an answer leads back to it; -1: none.</param>
/// <param name="Heard">True where the time was taken on our own recording or sensor, so that doubt of the word "go" shifts it;
/// false where it is an official time.</param>
public abstract record MarginEvidence(Instant<RaceClock> At, int Source = -1, bool Heard = true);

/// <summary>The margin to a crew lay between two bounds; one may be infinite ("open water").</summary>
/// <param name="Crew">The rival.</param>
/// <param name="Low">m, may be -∞.</param>
/// <param name="High">m, may be +∞.</param>
public sealed record PositionEvidence(Instant<RaceClock> At, string Crew, double Low, double High, SightSpread Spread, int Source = -1)
    : MarginEvidence(At, Source);

/// <summary>One way to understand a position.</summary>
/// <param name="Crew">The rival; null: whichever.</param>
/// <param name="Weight">Prior probability, up to a common factor.</param>
/// <param name="Label">For showing the choice: "cox", "bow ball", ...</param>
public sealed record PositionReading(string? Crew, double Low, double High, double Weight, string Label);

/// <summary>One of several readings was meant: cox's seat or bow ball, ahead or behind, this crew or that.</summary>
public sealed record EitherEvidence(Instant<RaceClock> At, IReadOnlyList<PositionReading> Readings, SightSpread Spread, int Source = -1)
    : MarginEvidence(At, Source);

/// <summary>"Two more seats": the margin grew by between Low and High metres since an earlier moment.</summary>
public sealed record ChangeEvidence(
    Instant<RaceClock> At, Instant<RaceClock> Since, string Crew, double Low, double High, SightSpread Spread, int Source = -1)
    : MarginEvidence(At, Source);

/// <summary>"We're walking": the sign of the margin's rate, and nothing of its size.</summary>
/// <param name="Crew">The rival; null: the field.</param>
/// <param name="Sign">+1: we gain; -1: they gain.</param>
public sealed record TrendEvidence(Instant<RaceClock> At, string? Crew, int Sign, SightSpread Spread, int Source = -1)
    : MarginEvidence(At, Source);

/// <summary>A crew's official time at a mark or at the finish: exact but for the resolution of the clock.</summary>
/// <param name="Crew">Null: ours.</param>
/// <param name="Mark">From the start, m.</param>
/// <param name="TimeSd">s; 0.01 s is usual.</param>
public sealed record MarkTimeEvidence(Instant<RaceClock> At, string? Crew, double Mark, double TimeSd, int Source = -1)
    : MarginEvidence(At, Source, Heard: false);

/// <summary>At the finish one crew was ahead of another by between Low and High metres ("canvas", "easily"; 0 and +∞: just the order).
/// A time of 0 means our own finish.</summary>
/// <param name="Ahead">Null: ours.</param>
/// <param name="Behind">Null: ours.</param>
public sealed record VerdictEvidence(
    Instant<RaceClock> At, string? Ahead, string? Behind, double Low, double High, double Sd, int Source = -1)
    : MarginEvidence(At, Source, Heard: false);

/// <summary>Two crews that no eye could part at the finish.</summary>
public sealed record DeadHeatEvidence(Instant<RaceClock> At, string? Crew, string? Other, double Sd = 0.03, int Source = -1)
    : MarginEvidence(At, Source, Heard: false);

/// <summary>All crews (or one) had their bow balls level when the race began.</summary>
/// <param name="Crew">Null: all.</param>
/// <param name="Sd">How well they were aligned, m.</param>
public sealed record LevelStartEvidence(string? Crew = null, double Sd = 0.15)
    : MarginEvidence(Instant<RaceClock>.FromSeconds(0), -1, Heard: false);

/// <summary>Our own bow ball was at a mark, as called or as measured.</summary>
/// <param name="Metres">From the start.</param>
/// <param name="Sd">Of the place, m, beyond the delay's.</param>
public sealed record OwnPlaceEvidence(Instant<RaceClock> At, double Metres, double Sd, SightSpread Spread, int Source = -1)
    : MarginEvidence(At, Source);

/// <summary>Our own stroke rate, called or counted. Rates tell of changes of speed; how much is a rate worth is found from the race itself.</summary>
public sealed record OwnRateEvidence(Instant<RaceClock> At, double Spm, double Sd, int Source = -1) : MarginEvidence(At, Source);

/// <summary>One second of our own hull as measured: distance along the course and speed over ground.</summary>
/// <param name="Metres">From the start, m; null: not measured.</param>
/// <param name="MetresSd">Slowly varying error of the place, m.</param>
/// <param name="Speed">Mean over a stroke, m/s; null: not measured.</param>
public readonly record struct OwnSample(Instant<RaceClock> At, double? Metres, double MetresSd, double? Speed, double SpeedSd);
