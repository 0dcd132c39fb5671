using Stakeboat.Core.Units;

namespace Stakeboat.Core.Line;

/// <summary>The line that a boat rowed, in the frame of the straight through it.</summary>
/// <param name="Seconds">On the clock of the input, s.</param>
/// <param name="Along">m from the first sample, positive in the direction of travel.</param>
/// <param name="Across">m, smoothed, positive to starboard.</param>
/// <param name="Straight">True where one straight fits: what <paramref name="Extra"/> is measured against. Else it is the path's own slow turning (Gaussian, 30 s).</param>
/// <param name="Extra">Metres rowed above the shortest, white receiver noise taken out.</param>
/// <param name="AcrossSd">Standard deviation of Across about the reference, m.</param>
/// <param name="Weave">Half peak-to-peak of Across about the reference in its middle 90 %, m.</param>
public sealed record LineRowed(
    double[] Seconds, double[] Along, double[] Across, bool Straight, Estimate Extra, double AcrossSd, double Weave)
{
    private const double SmoothSeconds = 1.5, SlowSeconds = 30;

    /// <summary>
    /// Fits the line. At an angle θ to the reference the excess of a path is ∫ (1 - cos θ) ds; θ comes from positions smoothed by a Gaussian of
    /// 1.5 s, and the part of θ² that white noise leaves after smoothing, σ²/(4 √π s³) (in samples, per sample²; derivative of a Gaussian kernel),
    /// is taken out with σ² from second differences (variance 6σ² for white noise). Slow wander of the receiver stays in: it is part of Sd.
    /// </summary>
    /// <param name="seconds">Rising, even or nearly even, s.</param>
    /// <param name="east">Local plane, m.</param>
    /// <param name="north">Local plane, m.</param>
    /// <returns>Null for fewer than 30 samples or a path shorter than 100 m.</returns>
    public static LineRowed? Fit(ReadOnlySpan<double> seconds, ReadOnlySpan<double> east, ReadOnlySpan<double> north)
    {
        int n = seconds.Length;
        if (n < 30 || east.Length != n || north.Length != n)
        {
            return null;
        }

        double me = 0, mn = 0;
        for (int i = 0; i < n; i++)
        {
            me += east[i] / n;
            mn += north[i] / n;
        }

        double see = 0, snn = 0, sen = 0;
        for (int i = 0; i < n; i++)
        {
            double e = east[i] - me, nn = north[i] - mn;
            see += e * e;
            snn += nn * nn;
            sen += e * nn;
        }

        // Total least squares: the principal direction of the points.
        double angle = 0.5 * Math.Atan2(2 * sen, see - snn);
        double ue = Math.Cos(angle), un = Math.Sin(angle);
        if ((east[n - 1] - east[0]) * ue + (north[n - 1] - north[0]) * un < 0)
        {
            (ue, un) = (-ue, -un);
        }

        var t = seconds.ToArray();
        var along = new double[n];
        var across = new double[n];
        for (int i = 0; i < n; i++)
        {
            double e = east[i] - me, nn = north[i] - mn;
            along[i] = e * ue + nn * un;
            across[i] = e * un - nn * ue;
        }

        double first = along[0], length = along[n - 1] - first;
        if (length < 100)
        {
            return null;
        }

        double step = (t[n - 1] - t[0]) / (n - 1);
        double noise = WhiteVariance(across);
        var fine = Smooth(across, SmoothSeconds / step);
        var fineAlong = Smooth(along, SmoothSeconds / step);
        double range = Range(fine, 0.05);
        bool straight = range < 0.02 * length;
        double[] reference = straight ? new double[n] : Smooth(across, SlowSeconds / step);

        double s = Math.Max(SmoothSeconds / step, 0.5);
        double noiseSlope2 = noise / (4 * Math.Sqrt(Math.PI) * s * s * s);
        // Direction of travel about the straight, and what it is measured against: nothing, or its own slow turning.
        var turn = new double[n - 1];
        for (int i = 1; i < n; i++)
        {
            double theta = Math.Atan2(fine[i] - fine[i - 1], fineAlong[i] - fineAlong[i - 1]);
            turn[i - 1] = i == 1 ? theta : turn[i - 2] + Math.IEEERemainder(theta - turn[i - 2], 2 * Math.PI);
        }

        double[] slowTurn = straight ? new double[n - 1] : Smooth(turn, SlowSeconds / step);
        double extra = 0, noisePart = 0, ss = 0;
        for (int i = 1; i < n; i++)
        {
            double dx = fineAlong[i] - fineAlong[i - 1], dy = fine[i] - fine[i - 1];
            double ds = Math.Sqrt(dx * dx + dy * dy);
            extra += ds * (1 - Math.Cos(turn[i - 1] - slowTurn[i - 1]));
            noisePart += 0.5 * noiseSlope2 / Math.Max(ds, 0.5 * length / n);
            ss += (fine[i] - reference[i]) * (fine[i] - reference[i]);
        }

        var about = new double[n];
        for (int i = 0; i < n; i++)
        {
            about[i] = fine[i] - reference[i];
            along[i] = fineAlong[i] - first;
        }

        // Slow wander of a receiver, 1 m over some 15 s: about (1/(15 v))² / 2 of the length, v the mean speed. Common practice, no source.
        double v = length / (t[n - 1] - t[0]);
        double wander = 0.5 * length / (15 * v * 15 * v);
        double sd = Math.Sqrt(wander * wander + noisePart * noisePart * 0.25 + 0.01);
        return new LineRowed(t, along, fine, straight, new Estimate(Math.Max(0, extra - noisePart), sd), Math.Sqrt(ss / (n - 1)), 0.5 * Range(about, 0.05));
    }

    private static double WhiteVariance(double[] x)
    {
        // Median of squared second differences, so that spikes do not count; the median of a squared normal is 0.4549 of its variance.
        var d = new double[x.Length - 2];
        for (int i = 0; i < d.Length; i++)
        {
            double q = x[i] - 2 * x[i + 1] + x[i + 2];
            d[i] = q * q;
        }

        Array.Sort(d);
        return d[d.Length / 2] / 0.4549 / 6;
    }

    private static double[] Smooth(double[] x, double sdSamples)
    {
        if (sdSamples < 0.3)
        {
            return (double[])x.Clone();
        }

        int half = (int)Math.Ceiling(4 * sdSamples);
        var kernel = new double[half + 1];
        for (int k = 0; k <= half; k++)
        {
            kernel[k] = Math.Exp(-0.5 * k * k / (sdSamples * sdSamples));
        }

        var y = new double[x.Length];
        for (int i = 0; i < x.Length; i++)
        {
            // Near an end the window stays symmetric, so that a straight line comes through unchanged.
            int reach = Math.Min(half, Math.Min(i, x.Length - 1 - i));
            double sum = kernel[0] * x[i], weight = kernel[0];
            for (int k = 1; k <= reach; k++)
            {
                sum += kernel[k] * (x[i - k] + x[i + k]);
                weight += 2 * kernel[k];
            }

            y[i] = sum / weight;
        }

        return y;
    }

    private static double Range(double[] x, double tail)
    {
        var s = (double[])x.Clone();
        Array.Sort(s);
        int cut = (int)(tail * s.Length);
        return s[s.Length - 1 - cut] - s[cut];
    }
}
