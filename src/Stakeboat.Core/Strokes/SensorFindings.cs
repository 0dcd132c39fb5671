using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Strokes;

/// <summary>What there is to analyse. Either sensor may be missing.</summary>
/// <param name="Motion">Samples of an inertial sensor.</param>
/// <param name="Track">Satellite fixes.</param>
/// <param name="Distance">Length of the race where it is known; it only tells races from pieces, no distance is stretched to fit.</param>
/// <param name="Clocks">Motion clock against satellite clock, where a person pinned it; else found by correlation.</param>
public sealed record SensorInput(
    MotionLog? Motion,
    Track? Track,
    Distance? Distance = null,
    ClockMap<MotionClock, SatelliteClock>? Clocks = null);

/// <summary>Something that the analysis could not do, or that a reader of its numbers must know.</summary>
public enum SensorIssueKind
{
    /// <summary>There is neither a usable motion log nor a usable track.</summary>
    NothingToAnalyse,

    /// <summary>The fixes carry no times; they were not used.</summary>
    FixesWithoutTime,

    /// <summary>No track: no distance, and speed only as its swing about an unknown mean.</summary>
    NoTrack,

    /// <summary>No motion log: speed within the stroke is not resolved.</summary>
    NoMotion,

    /// <summary>Fixes are too slow for the rate: above 27 strokes/min a rate from 1 Hz fixes cannot be told from its alias. Value: the fixes' rate, Hz; Count: moments, two seconds apart.</summary>
    RateRefusedAliasing,

    /// <summary>A rate and its alias both make sense. Value: the lower of the two, strokes/min.</summary>
    RateAmbiguousAliasing,

    /// <summary>Fixes too few or too noisy to hold a rate.</summary>
    RateNotResolved,

    /// <summary>Which way the phone's axis points could not be settled by speed; the shape of the stroke was used.</summary>
    PolarityByShape,

    /// <summary>The motion log and the track could not be put on one clock; the log was used for strokes alone. Value: best correlation.</summary>
    ClocksNotJoined,

    /// <summary>The two sensors do not overlap in time.</summary>
    NoOverlap,

    /// <summary>Longer than 5 s without a fix. Value: seconds.</summary>
    GapInFixes,

    /// <summary>Longer than 0.5 s without a motion sample. Value: seconds.</summary>
    GapInMotion,

    /// <summary>Fixes that were given little or no weight. Value: share of all.</summary>
    SpikesHeldDown,

    /// <summary>Motion samples slower than 25 Hz: catches are less exact. Value: Hz.</summary>
    MotionSlow,

    /// <summary>The phone was moved. Value: degrees.</summary>
    PhoneMoved,

    /// <summary>The motion log's clock jumped; its time was run on. Value: seconds that it jumped, negative backwards.</summary>
    MotionClockJumped,
}

/// <summary>An issue with its place on the sensor clock and the number that its kind names.</summary>
public sealed record SensorIssue(SensorIssueKind Kind, Instant<SensorClock>? From = null, Instant<SensorClock>? To = null, double? Value = null, int Count = 1);

/// <summary>A stretch of time on the sensor clock.</summary>
public readonly record struct Span(Instant<SensorClock> From, Instant<SensorClock> To)
{
    public double Seconds => To.Seconds - From.Seconds;

    public bool Holds(Instant<SensorClock> t) => t.Seconds >= From.Seconds && t.Seconds <= To.Seconds;
}

/// <summary>What a stretch of hard rowing was.</summary>
public enum PieceKind
{
    /// <summary>Hard rowing of no further kind.</summary>
    Piece,

    /// <summary>From rest, at a racing rate, over a racing distance.</summary>
    StandingStart,

    /// <summary>From a paddle, over the distance that the sheet gives.</summary>
    RollingStart,
}

/// <summary>Time taken between two marks of a piece, distances from the piece's start in metres.</summary>
/// <param name="Time">Seconds for this stretch; its sd has the interpolation's, the start's and the distance's error in it.</param>
/// <param name="Elapsed">Seconds from the start to the end of this stretch.</param>
public sealed record Split(double FromMetres, double ToMetres, Estimate Time, Estimate Elapsed);

/// <summary>A stretch of hard rowing.</summary>
/// <param name="Start">First moment of the piece on the sensor clock, with sd in s.</param>
/// <param name="End">Last moment, with sd in s; for a race its finish where the distance is known, else where the crew eased.</param>
/// <param name="Metres">Way made over ground; null without a track.</param>
/// <param name="Strokes">How many.</param>
/// <param name="Rate">Mean rate, strokes/min; null where no rate was found.</param>
/// <param name="Splits100">Every 100 m, the last one short where the piece ends before a mark.</param>
public sealed record Piece(
    PieceKind Kind,
    Estimate Start,
    Estimate End,
    Estimate? Metres,
    int Strokes,
    Estimate? Rate,
    IReadOnlyList<Split> Splits100,
    IReadOnlyList<Split> Splits250,
    IReadOnlyList<Split> Splits500);

/// <summary>The boat was turned round.</summary>
/// <param name="Degrees">Change of course over ground, positive clockwise.</param>
public sealed record Turn(Span Span, double Degrees);

/// <summary>The rate as it went, one point a stroke or, from fixes, one every two seconds.</summary>
public readonly record struct RatePoint(Instant<SensorClock> At, Estimate Rate, RateSource Source = RateSource.Motion);

/// <summary>Noise levels that were estimated from the data, and how well the model fits.</summary>
/// <param name="AccelerationPsd">Of the accelerometer's error, (m/s²)²/Hz, one-sided about zero.</param>
/// <param name="PositionSd">Uncorrelated part of a fix along the track, m.</param>
/// <param name="PositionWanderSd">Slowly wandering part of a fix along the track, m.</param>
/// <param name="SpeedSd">Of the receiver's own speed, m/s; null where it gave none.</param>
/// <param name="LogLikelihood">Of all fixes under these levels.</param>
/// <param name="Fixes">Fixes used.</param>
/// <param name="HeldDown">Fixes whose weight fell below one half.</param>
/// <param name="InnovationVariance">Mean of squared standardised one-step errors of the fixes that were not held down; about 1 when the levels are right.</param>
public sealed record FusionNoise(
    double AccelerationPsd, double PositionSd, double PositionWanderSd, double? SpeedSd,
    double LogLikelihood, int Fixes, int HeldDown, double InnovationVariance);

/// <summary>Everything that the sensors told of an outing.</summary>
/// <param name="Motion">Motion clock on the sensor clock; null without a motion log.</param>
/// <param name="Satellite">Satellite clock on the sensor clock; null without a track or where the clocks could not be joined.</param>
/// <param name="Strokes">In order.</param>
/// <param name="Hull">Position and speed of the hull at every instant; null without a track.</param>
/// <param name="Rates">The rate as it went.</param>
/// <param name="Rowing">Stretches in which strokes were taken or the boat moved as if.</param>
/// <param name="Pieces">Stretches of hard rowing, races among them.</param>
/// <param name="Noise">Null without a track.</param>
public sealed record SensorFindings(
    ClockMap<MotionClock, SensorClock>? Motion,
    ClockMap<SatelliteClock, SensorClock>? Satellite,
    IReadOnlyList<Stroke> Strokes,
    HullSignal? Hull,
    IReadOnlyList<RatePoint> Rates,
    IReadOnlyList<Span> Rowing,
    IReadOnlyList<Piece> Pieces,
    IReadOnlyList<Turn> Turns,
    FusionNoise? Noise,
    IReadOnlyList<SensorIssue> Issues)
{
    /// <summary>From slow fixes: the lower of a rate and its mirror image where neither can be told from the other. No rates by themselves; with another source the vote may unfold them.</summary>
    public IReadOnlyList<RatePoint> Folded { get; init; } = [];

    /// <summary>Median rate of the fixes, Hz; null without a track.</summary>
    public double? FixHz { get; init; }

    /// <summary>The piece that is most likely the race: the longest of those from a standing start, else over the sheet's distance, else null.</summary>
    public Piece? Race { get; init; }
}
