using Stakeboat.Core.Units;

namespace Stakeboat.Core.Strokes;

/// <summary>From catches and the hull's speed to strokes with their numbers.</summary>
internal static class StrokeMeasures
{
    /// <summary>A catch that comes later than this after the one before begins a new stretch, s (11 strokes/min).</summary>
    public const double Pause = 5.5;

    /// <summary>Resolution of roll and yaw from a phone, degrees (common practice 0.1-0.3, no source).</summary>
    private const double AngleSd = 0.2;

    /// <summary>The deepest check comes about this much after the blades go in, s, and is no better known than that (my judgement, no source).</summary>
    private const double CatchLag = 0.026;

    public static IReadOnlyList<Stroke> Of(DetectedCatches found, FusionResult? fused, Attitude? attitude, EvenMotion? motion)
    {
        int n = found.Count;
        var strokes = new Stroke[n];
        for (int i = 0; i < n; i++)
        {
            double at = found.Seconds[i];
            bool first = i == 0 || at - found.Seconds[i - 1] > Stretch(found, i - 1);
            bool last = i == n - 1 || found.Seconds[i + 1] - at > Stretch(found, i);
            double period;
            double rateVariance;
            if (!last)
            {
                period = found.Seconds[i + 1] - at;
                rateVariance = Square(found.Sd[i]) + Square(found.Sd[i + 1]);
            }
            else if (!first)
            {
                period = at - found.Seconds[i - 1];
                rateVariance = Square(found.Sd[i]) + Square(found.Sd[i - 1]) + Square(0.1 * period);
            }
            else
            {
                period = LocalPeriod.Usual;
                rateVariance = Square(0.5 * period);
            }

            var rate = new Estimate(60 / period, 60 / (period * period) * Math.Sqrt(rateVariance));
            var quality = Judge(found, i, first, last, period);
            Estimate? metres = null;
            Estimate? speed = null;
            Estimate? lowest = null;
            Estimate? highest = null;
            Estimate? check = null;
            if (fused is not null)
            {
                (metres, speed, lowest, highest, check) = Hull(fused, at, period, found.Sd[i], motion is not null);
            }

            Estimate? roll = null;
            Estimate? spread = null;
            Estimate? yaw = null;
            if (attitude is not null && motion is not null)
            {
                (roll, spread, yaw) = Angles(attitude, motion, at, period);
            }

            strokes[i] = new Stroke(i, SensorAnalysis.At(at), found.Sd[i], period, rate, metres, speed, lowest, highest, check, roll, spread, yaw, quality);
        }

        return strokes;
    }

    /// <summary>How long after catch i the next may come and still belong to the same stretch.</summary>
    private static double Stretch(DetectedCatches found, int i) => Math.Min(Pause, 1.75 * found.Period[i] + 0.3);

    private static StrokeQuality Judge(DetectedCatches found, int i, bool first, bool last, double period)
    {
        if (first && last)
        {
            return StrokeQuality.Poor;
        }

        double regular = period / found.Period[i];
        if (found.Trust[i] < 0.35 || regular < 0.6 || regular > 1.6)
        {
            return StrokeQuality.Poor;
        }

        return first || last || found.Trust[i] < 0.6 || regular is < 0.8 or > 1.25 || found.Sd[i] > 0.04 ? StrokeQuality.Fair : StrokeQuality.Good;
    }

    private static (Estimate? Metres, Estimate? Speed, Estimate? Lowest, Estimate? Highest, Estimate? Check) Hull(
        FusionResult fused, double at, double period, double catchSd, bool shape)
    {
        var hull = fused.Hull;
        if (at < hull.From.Seconds || at + period > hull.To.Seconds)
        {
            return default;
        }

        var a = hull.At(SensorAnalysis.At(at));
        var b = hull.At(SensorAnalysis.At(at + period));
        double way = b.Metres - a.Metres;
        double mean = way / period;
        double meanSd = MeanSpeedSd(fused, at, at + period);
        double timing = Math.Abs(a.SpeedMps - mean) * catchSd * Math.Sqrt(2) / period;
        double speedSd = Math.Sqrt((meanSd * meanSd) + (timing * timing));
        double waySd = Math.Sqrt(Square(meanSd * period) + (2 * Square(catchSd * a.SpeedMps)));
        double low = double.PositiveInfinity;
        double high = double.NegativeInfinity;
        double lowSd = 0;
        double highSd = 0;
        double step = Math.Min(hull.Step, 0.02);
        double lowEarly = double.PositiveInfinity;
        for (double t = at; t <= at + period; t += step)
        {
            var s = hull.At(SensorAnalysis.At(t));
            if (s.SpeedMps < low)
            {
                (low, lowSd) = (s.SpeedMps, s.SpeedSd);
            }

            if (s.SpeedMps > high)
            {
                (high, highSd) = (s.SpeedMps, s.SpeedSd);
            }

            if (t - at < 0.6 * period)
            {
                lowEarly = Math.Min(lowEarly, s.SpeedMps);
            }
        }

        if (!shape)
        {
            // Fixes alone do not show the stroke's own swing at its full height.
            return (new Estimate(way, waySd), new Estimate(mean, speedSd), null, null, null);
        }

        // The catch's speed and the lowest one share the slow error; what differs is the acceleration's noise between them, and when
        // exactly the catch was on a falling speed.
        double before = hull.At(SensorAnalysis.At(at - CatchLag)).SpeedMps;
        double slope = (before - hull.At(SensorAnalysis.At(at - CatchLag + 0.04)).SpeedMps) / 0.04;
        double checkSd = Math.Sqrt((fused.Noise.AccelerationPsd * 0.3) + Square(0.48 * slope * Math.Max(catchSd, CatchLag)));
        return (new Estimate(way, waySd), new Estimate(mean, speedSd), new Estimate(low, lowSd), new Estimate(high, highSd),
            new Estimate(Math.Max(0, before - lowEarly), checkSd));
    }

    /// <summary>Sd of the mean speed between two instants, from the joint covariance of the nodes around them; widened by a seventh for the levels' own error (fitted on simulated outings, docs/strokes/accuracy.md).</summary>
    internal static double MeanSpeedSd(FusionResult fused, double from, double to)
    {
        var nodes = fused.Nodes;
        int a = Array.BinarySearch(nodes, from);
        a = a >= 0 ? a : Math.Max(0, ~a - 1);
        int b = Array.BinarySearch(nodes, to);
        b = b >= 0 ? b : Math.Min(nodes.Length - 1, ~b);
        if (b <= a)
        {
            return fused.Hull.At(SensorAnalysis.At(from)).SpeedSd;
        }

        double variance = fused.Run.CovarianceAt(a, 0, 0) + fused.Run.CovarianceAt(b, 0, 0) - (2 * fused.Run.CovarianceBetween(a, 0, b, 0));
        return 1.14 * Math.Sqrt(Math.Max(variance, 1e-10)) / (nodes[b] - nodes[a]);
    }

    private static (Estimate? Roll, Estimate? Spread, Estimate? Yaw) Angles(Attitude attitude, EvenMotion motion, double at, double period)
    {
        int from = Math.Max(0, (int)Math.Round(at / motion.Step));
        int to = Math.Min(motion.Count - 1, (int)Math.Round((at + period) / motion.Step));
        int n = to - from + 1;
        if (n < 5)
        {
            return default;
        }

        double mean = 0;
        for (int i = from; i <= to; i++)
        {
            mean += attitude.Roll[i] / n;
        }

        double square = 0;
        for (int i = from; i <= to; i++)
        {
            square += Square(attitude.Roll[i] - mean) / n;
        }

        var roll = new Estimate(mean, AngleSd);
        if (!attitude.Fast || attitude.Yaw is null)
        {
            return (roll, null, null);
        }

        // A turn of the whole boat is a straight line through the stroke; what swings about it is the stroke's yaw.
        double y0 = attitude.Yaw[from];
        double slope = (attitude.Yaw[to] - y0) / (n - 1);
        double low = 0;
        double high = 0;
        for (int i = from; i <= to; i++)
        {
            double d = attitude.Yaw[i] - y0 - (slope * (i - from));
            low = Math.Min(low, d);
            high = Math.Max(high, d);
        }

        return (roll, new Estimate(Math.Sqrt(square), 0.5 * AngleSd), new Estimate(high - low, AngleSd));
    }

    private static double Square(double x) => x * x;
}
