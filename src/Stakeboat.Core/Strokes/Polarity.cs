using Stakeboat.Core.Signals;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Strokes;

/// <summary>Which way the axis points: to the bow or to the stern, for each stretch between moves of the phone.</summary>
internal static class Polarity
{
    /// <summary>A second way to lay the clocks that comes so near to the best is asked of the fusion, and so is a best that is no clearer than this (fitted on simulated outings with gaps).</summary>
    private const double Alike = 0.8;

    private const double Clear = 0.85;

    /// <summary>
    /// The signs whose integrated axis goes best with the satellite speed, all stretches together; turns axis and signal accordingly.
    /// Null where the two do not overlap.
    /// </summary>
    public static JoinedClocks? BySpeed(EvenMotion m, PhonePose pose, double[] forward, TrackPath track, ClockMap<SatelliteClock, SensorClock>? given)
    {
        // The first stretch keeps its sign: the correlation's own sign stands for it.
        var all = new List<(JoinedClocks Joined, int Pattern)>();
        for (int p = 0; p < 1 << (pose.Stretches - 1); p++)
        {
            all.AddRange(SensorJoin.Coarse(m, Signed(pose, forward, p, 1), track, given).Select(j => (j, p)));
        }

        all.Sort((x, y) => y.Joined.Strength.CompareTo(x.Joined.Strength));
        JoinedClocks? best = all.Count > 0 ? all[0].Joined : null;
        int pattern = all.Count > 0 ? all[0].Pattern : 0;
        if (given is null && all.Count > 1 && (all[1].Joined.Strength > Alike * all[0].Joined.Strength || all[0].Joined.Correlation < Clear))
        {
            // Several ways to lay them correlate alike: the fusion itself is asked.
            double most = double.NegativeInfinity;
            foreach (var (joined, p) in all.Take(8))
            {
                double e = SensorJoin.Plausibility(m, Signed(pose, forward, p, joined.Sign), track, joined);
                if (e > most)
                {
                    (most, best, pattern) = (e, joined, p);
                }
            }
        }

        if (best is { } found)
        {
            for (int k = 0; k < pose.Stretches; k++)
            {
                int own = k > 0 && ((pattern >> (k - 1)) & 1) == 1 ? -1 : 1;
                if (own * found.Sign < 0)
                {
                    Turn(pose, forward, k);
                }
            }
        }

        return best;
    }

    /// <summary>
    /// Without a track: the catch is the sharper of the two extremes. The shape alone is known to err on some crews, so a caller must say
    /// that it was used.
    /// </summary>
    public static void ByShape(EvenMotion m, PhonePose pose, double[] forward)
    {
        double high = Math.Min(SensorAnalysis.BandHigh, 0.4 * m.Hz);
        var x = SectionFilter.ZeroPhase(Butterworth.BandPass(2, SensorAnalysis.BandLow, high, m.Hz), forward);
        for (int k = 0; k < pose.Stretches; k++)
        {
            var (from, to) = pose.Range(k);
            if (Shape(m, x.AsSpan(from, to - from)) < 0)
            {
                Turn(pose, forward, k);
            }
        }
    }

    private static double[] Signed(PhonePose pose, double[] forward, int pattern, int sign)
    {
        if (pattern == 0 && sign > 0)
        {
            return forward;
        }

        var turned = new double[forward.Length];
        for (int k = 0; k < pose.Stretches; k++)
        {
            var (from, to) = pose.Range(k);
            double s = k > 0 && ((pattern >> (k - 1)) & 1) == 1 ? -sign : sign;
            for (int i = from; i < to; i++)
            {
                turned[i] = s * forward[i];
            }
        }

        return turned;
    }

    private static void Turn(PhonePose pose, double[] forward, int stretch)
    {
        pose.Flip(stretch);
        var (from, to) = pose.Range(stretch);
        for (int i = from; i < to; i++)
        {
            forward[i] = -forward[i];
        }
    }

    /// <summary>Deepest against highest points of stroke-long windows: +1 where the depths win.</summary>
    private static int Shape(EvenMotion m, ReadOnlySpan<double> x)
    {
        int width = (int)(2.5 / m.Step);
        double down = 0;
        double up = 0;
        for (int from = 0; from + width <= x.Length; from += width)
        {
            double lo = 0;
            double hi = 0;
            for (int i = from; i < from + width; i++)
            {
                lo = Math.Min(lo, x[i]);
                hi = Math.Max(hi, x[i]);
            }

            down -= lo;
            up += hi;
        }

        return down >= up ? 1 : -1;
    }
}
