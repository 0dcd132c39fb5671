using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;

namespace Stakeboat.Simulation.Racing;

/// <summary>What one boat truly did, and what its sensors made of it. All truth is on the recording's clock, s.</summary>
public abstract class SimulatedRow
{
    private protected SimulatedRow(ulong seed, HullPath own, Track? track, MotionLog? motion,
        ClockMap<RecordingClock, SatelliteClock> satelliteClock, ClockMap<RecordingClock, MotionClock> motionClock)
    {
        Seed = seed;
        Own = own;
        Track = track;
        Motion = motion;
        ToSatellite = satelliteClock;
        ToMotion = motionClock;
    }

    public ulong Seed { get; }

    public HullPath Own { get; }

    /// <summary>Every stroke of our boat, in order.</summary>
    public IReadOnlyList<TrueStroke> Strokes => Own.Strokes;

    public Track? Track { get; }

    public MotionLog? Motion { get; }

    /// <summary>The exact relation of the clocks, standard deviations 0.</summary>
    public ClockMap<RecordingClock, SatelliteClock> ToSatellite { get; }

    public ClockMap<RecordingClock, MotionClock> ToMotion { get; }

    /// <summary>Catch times on the motion log's own clock, s.</summary>
    public IReadOnlyList<double> CatchesOnMotionClock =>
        [.. Strokes.Select(s => ToMotion.Map(Instant<RecordingClock>.FromSeconds(s.Catch)).Seconds)];

    /// <summary>Catch times on the satellite clock, s since 1970.</summary>
    public IReadOnlyList<double> CatchesOnSatelliteClock =>
        [.. Strokes.Select(s => ToSatellite.Map(Instant<RecordingClock>.FromSeconds(s.Catch)).Seconds)];
}
