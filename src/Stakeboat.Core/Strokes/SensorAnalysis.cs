using Stakeboat.Core.Measurement;
using Stakeboat.Core.Signals;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Strokes;

/// <summary>
/// The front door: from any mixture of a motion log and a track to strokes, speed of the hull, pieces and races.
/// Accuracy on simulated outings stands in docs/strokes/accuracy.md.
/// </summary>
public static class SensorAnalysis
{
    /// <summary>Edges of the band in which catches are sought, Hz: the slowest paddle is 0.23 Hz, a catch about 0.1 s wide.</summary>
    internal const double BandLow = 0.2;

    internal const double BandHigh = 6;

    /// <summary>Least correlation of speed changes at which two clocks are taken as joined.</summary>
    private const double LeastCorrelation = 0.35;

    public static SensorFindings Analyse(SensorInput input)
    {
        ArgumentNullException.ThrowIfNull(input);
        var issues = new List<SensorIssue>();
        var motion = input.Motion is { Count: > 0 } log ? EvenMotion.From(log) : null;
        var track = input.Track is { } t ? TrackPath.From(t) : null;
        if (input.Track is { Fixes.Count: > 0 } given && (track is null || track.WithoutTime > 0))
        {
            int timeless = 0;
            foreach (var fix in given.Fixes)
            {
                timeless += fix.Time is null ? 1 : 0;
            }

            if (timeless > 0)
            {
                issues.Add(new SensorIssue(SensorIssueKind.FixesWithoutTime, Count: timeless));
            }
        }

        if (motion is null && track is null)
        {
            issues.Add(new SensorIssue(SensorIssueKind.NothingToAnalyse));
            return new SensorFindings(null, null, [], null, [], [], [], [], null, issues);
        }

        return motion is null
            ? TrackAlone(input, track!, issues)
            : WithMotion(input, motion, track, issues);
    }

    private static SensorFindings WithMotion(SensorInput input, EvenMotion motion, TrackPath? track, List<SensorIssue> issues)
    {
        double zero = motion.Zero;
        foreach (var (at, by) in motion.Jumps)
        {
            issues.Add(new SensorIssue(SensorIssueKind.MotionClockJumped, At(at), At(at), by));
        }

        foreach (var (from, to) in motion.Gaps)
        {
            issues.Add(new SensorIssue(SensorIssueKind.GapInMotion, At(from), At(to), to - from));
        }

        if (motion.NativeHz < 24.5)
        {
            issues.Add(new SensorIssue(SensorIssueKind.MotionSlow, Value: motion.NativeHz));
        }

        var axis = PhonePose.Find(motion);
        foreach (var (at, degrees) in axis.Moves)
        {
            issues.Add(new SensorIssue(SensorIssueKind.PhoneMoved, At(at), At(at), degrees));
        }

        if (axis.LargestTilt.Degrees > 15)
        {
            issues.Add(new SensorIssue(SensorIssueKind.PhoneMoved, At(axis.LargestTilt.At), At(axis.LargestTilt.At), axis.LargestTilt.Degrees));
        }

        var forward = axis.Along(motion, motion.X, motion.Y, motion.Z);
        JoinedClocks? joined = null;
        if (track is not null)
        {
            ClockMap<SatelliteClock, SensorClock>? known = input.Clocks is { } given
                ? given.Inverse().Then(new ClockMap<MotionClock, SensorClock>(-zero, 0, 0, 0, 0, given.Origin))
                : null;
            joined = Polarity.BySpeed(motion, axis, forward, track, known);
            if (joined is null)
            {
                issues.Add(new SensorIssue(SensorIssueKind.NoOverlap));
            }
            else if (joined.Value.Correlation < LeastCorrelation && input.Clocks is null)
            {
                issues.Add(new SensorIssue(SensorIssueKind.ClocksNotJoined, Value: joined.Value.Correlation));
                joined = null;
            }
        }
        else
        {
            issues.Add(new SensorIssue(SensorIssueKind.NoTrack));
        }

        if (joined is null)
        {
            Polarity.ByShape(motion, axis, forward);
            issues.Add(new SensorIssue(SensorIssueKind.PolarityByShape));
        }

        var detected = CatchDetection.InMotion(motion, forward);
        ClockMap<SatelliteClock, SensorClock>? satellite = null;
        FusionResult? fused = null;
        if (joined is { } clocks && track is not null)
        {
            (fused, satellite) = Fusing.WithMotion(motion, forward, track, clocks, input.Clocks is not null, issues);
        }

        var attitude = Attitude.From(motion, axis, forward);
        var strokes = StrokeMeasures.Of(detected, fused, attitude, motion);
        var map1 = new ClockMap<MotionClock, SensorClock>(-zero, 0, zero, 0, 0, "given");
        return Finish(input, map1, satellite, strokes, fused, track, satellite, issues);
    }

    private static SensorFindings TrackAlone(SensorInput input, TrackPath track, List<SensorIssue> issues)
    {
        issues.Add(new SensorIssue(SensorIssueKind.NoMotion));
        double zero = track.Seconds[0];
        var satellite = new ClockMap<SatelliteClock, SensorClock>(-zero, 0, zero, 0, 0, "given");
        var fused = Fusing.TrackOnly(track, zero, issues);
        var detected = CatchDetection.InTrack(track, fused, issues);
        var slow = track.Hz < CatchDetection.LeastHz ? SlowRates.Find(track, zero, issues) : null;
        var strokes = StrokeMeasures.Of(detected, fused, null, null);
        return Finish(input, null, satellite, strokes, fused, track, satellite, issues, slow);
    }

    private static SensorFindings Finish(
        SensorInput input, ClockMap<MotionClock, SensorClock>? motion, ClockMap<SatelliteClock, SensorClock>? satellite,
        IReadOnlyList<Stroke> strokes, FusionResult? fused, TrackPath? track, ClockMap<SatelliteClock, SensorClock>? onSensor, List<SensorIssue> issues,
        SlowRateFindings? slow = null)
    {
        var rates = new RatePoint[strokes.Count];
        for (int i = 0; i < rates.Length; i++)
        {
            rates[i] = new RatePoint(At(strokes[i].Catch.Seconds + (0.5 * strokes[i].PeriodSeconds)), strokes[i].Rate,
                motion is null ? RateSource.FastFixes : RateSource.Motion);
        }

        var found = PieceFinder.Find(strokes, fused, input.Distance?.Metres);
        var turns = track is not null && onSensor is { } map ? PieceFinder.Turns(track, map) : [];
        return new SensorFindings(motion, satellite, strokes, fused?.Hull, slow?.Given ?? rates, found.Rowing, found.Pieces, turns, fused?.Noise, issues)
        {
            Race = found.Race,
            FixHz = track?.Hz,
            Folded = slow?.Folded ?? [],
        };
    }

    internal static Instant<SensorClock> At(double seconds) => Instant<SensorClock>.FromSeconds(seconds);
}
