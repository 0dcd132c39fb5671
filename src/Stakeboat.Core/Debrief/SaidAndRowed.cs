using Stakeboat.Core.Calls;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief;

/// <summary>Joins a recording's clock to the sensors' by what they share: the start, rates called and counted, and the rhythm of the boat's own sound.</summary>
internal static class SaidAndRowed
{
    /// <param name="sound">Rates found in the recording's sound.</param>
    /// <param name="go">The word "go" as given or heard, s; null where it was not.</param>
    public static ClockMap<SensorClock, RecordingClock>? Join(
        SensorFindings sensors, IReadOnlyList<HeardCall> calls, IReadOnlyList<RateReading> sound, Estimate? go)
    {
        var starts = new List<HeardMark>();
        if (go is { } g && g.Sd <= 20)
        {
            starts.Add(new HeardMark(g.Mean, 0, g.Sd));
        }

        var rates = new List<HeardMark>();
        double longest = go?.Mean ?? 0;
        foreach (var c in calls)
        {
            longest = Math.Max(longest, c.At.Seconds);
            if (c.Call is RateCall { Sense: RateSense.Now } r && c.Confidence >= 0.3)
            {
                rates.Add(new HeardMark(c.At.Seconds, r.Spm, 1, Weight: c.Confidence));
            }
        }

        foreach (var r in RatesTogether.Counted(calls))
        {
            rates.Add(new HeardMark(r.Seconds, r.Rate.Mean, r.Rate.Sd, 0));
        }

        // Windows of 12 s each 2 s hear the same strokes six times over; and what is not clear in them is left out.
        foreach (var r in sound)
        {
            longest = Math.Max(longest, r.Seconds);
            if (r.Rate.Sd < 1)
            {
                rates.Add(new HeardMark(r.Seconds, r.Rate.Mean, r.Rate.Sd, 0, 1.0 / 6));
            }
        }

        return ClockAlignment.Find(sensors, rates, starts, longest);
    }
}
