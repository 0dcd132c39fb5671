using Stakeboat.Core.Calls;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief;

/// <summary>Joins a recording's clock to the sensors' by what they share: starts and stroke rates.</summary>
internal static class SaidAndRowed
{
    public static ClockMap<SensorClock, RecordingClock>? Join(SensorFindings sensors, IReadOnlyList<HeardCall> calls, Estimate? go)
    {
        // The start that was heard, laid on each start that was rowed, is one way to lay the clocks; the rates called choose between them.
        if (go is not { } g || g.Sd > 20)
        {
            return null;
        }

        ClockMap<SensorClock, RecordingClock>? best = null;
        double bestScore = double.NegativeInfinity;
        foreach (var piece in sensors.Pieces)
        {
            double offset = g.Mean - piece.Start.Mean;
            double score = Agreement(sensors, calls, offset) + (ReferenceEquals(piece, sensors.Race) ? 3 : 0);
            if (score > bestScore)
            {
                bestScore = score;
                best = ClockMap<SensorClock, RecordingClock>.FromOffset(offset, Math.Sqrt(g.Sd * g.Sd + piece.Start.Sd * piece.Start.Sd), "start");
            }
        }

        return best;
    }

    /// <summary>Sum over called rates of how well the rate rowed at that offset fits: 1 at the same rate, falling to -0.5 beyond 3 strokes/min.</summary>
    private static double Agreement(SensorFindings sensors, IReadOnlyList<HeardCall> calls, double offset)
    {
        double sum = 0;
        foreach (var c in calls)
        {
            if (c.Call is not RateCall { Sense: RateSense.Now } r || c.Confidence < 0.3)
            {
                continue;
            }

            if (RateNear(sensors.Rates, c.At.Seconds - 3 - offset) is { } rate)
            {
                double d = (r.Spm - rate) / 1.5;
                sum += c.Confidence * (1.5 * Math.Exp(-0.5 * d * d) - 0.5);
            }
        }

        return sum;
    }

    private static double? RateNear(IReadOnlyList<RatePoint> rates, double t)
    {
        int lo = 0, hi = rates.Count;
        while (lo < hi)
        {
            int mid = (lo + hi) / 2;
            if (rates[mid].At.Seconds < t)
            {
                lo = mid + 1;
            }
            else
            {
                hi = mid;
            }
        }

        double? near = null;
        double gap = 5;
        for (int i = Math.Max(0, lo - 1); i <= lo && i < rates.Count; i++)
        {
            if (Math.Abs(rates[i].At.Seconds - t) < gap)
            {
                gap = Math.Abs(rates[i].At.Seconds - t);
                near = rates[i].Rate.Mean;
            }
        }

        return near;
    }
}
