using Stakeboat.Core.Calls;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief;

/// <summary>How the sensors' clock reads on the debrief's clock.</summary>
/// <remarks>The debrief's clock is the recording's (or the captions') where there is one, else the sensors' own.</remarks>
public static class JoinedClocks
{
    /// <summary>
    /// The map, or null where words and sensors share nothing that would join them.
    /// A pin stands above all; without words the two clocks are one; else see <see cref="SaidAndRowed"/>.
    /// </summary>
    /// <param name="sound">Rates found in the recording's sound.</param>
    /// <param name="go">The word "go" on the recording as it was given or heard, s; null where it was not.</param>
    public static ClockMap<SensorClock, RecordingClock>? Find(
        SensorFindings sensors, IReadOnlyList<HeardCall> calls, IReadOnlyList<RateReading> sound, bool hasWords, ClockPin? pin, Estimate? go)
    {
        if (pin is { } p)
        {
            return ClockAlignment.Pinned(p.SensorSeconds, p.RecordingSeconds);
        }

        return hasWords ? SaidAndRowed.Join(sensors, calls, sound, go) : ClockMap<SensorClock, RecordingClock>.FromOffset(0, 0, "given");
    }
}
