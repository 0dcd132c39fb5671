using Stakeboat.Core.Calls;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Plans;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Debrief;

/// <summary>Two instants that a person says are one.</summary>
/// <param name="SensorSeconds">On the sensor clock, s.</param>
/// <param name="RecordingSeconds">On the recording's clock, s.</param>
public readonly record struct ClockPin(double SensorSeconds, double RecordingSeconds);

/// <summary>Everything that a debrief is made of: what was brought, and what a person said of it.</summary>
public sealed record DebriefInput(Outing Outing)
{
    public CompiledPlan? Plan { get; init; }

    public IReadOnlyList<CallCorrection> Corrections { get; init; } = [];

    /// <summary>Words of this crew that earlier corrections taught.</summary>
    public IReadOnlyList<LearnedWord> Lexicon { get; init; } = [];

    /// <summary>The word "go" on the debrief's clock as a person put it, s; stands above the sheet's.</summary>
    public double? GoAt { get; init; }

    public ClockPin? Pin { get; init; }

    /// <summary>The rhythm of the recording's sound; null where nobody listened to it.</summary>
    public SoundOnsets? Onsets { get; init; }

    /// <summary>The motion log's clock against the satellites', where a person pinned the two; null: found by what they share.</summary>
    public ClockMap<MotionClock, SatelliteClock>? SensorClocks { get; init; }

    /// <summary>
    /// How the sensors are analysed; null: anew. A caller that makes the debrief of one outing again and again, as corrections come, may answer
    /// from memory: the same input has the same findings.
    /// </summary>
    public Func<SensorInput, SensorFindings>? Sensors { get; init; }

    /// <summary>Which of the outing's caption tracks to read; the first is the best.</summary>
    public int CaptionsIndex { get; init; }
}

/// <summary>How far a debrief has come.</summary>
public enum DebriefStage
{
    Sensors,
    Calls,
    Clocks,
    Margins,
    Findings,
}
