namespace Stakeboat.Core.Strokes;

/// <summary>
/// Sharpens picked catches: the waveform around each is laid on the mean of its neighbours' and shifted to the least squared
/// difference; what is left of it gives the timing's standard deviation (matched filter; Woodward 1953 for the bound
/// var = noise / sum of squared slopes).
/// </summary>
internal static class CatchRefiner
{
    private const int Neighbours = 5;

    /// <summary>The mean waveform's own error and uneven strokes widen the bound; fitted on simulated outings (docs/strokes/accuracy.md).</summary>
    private const double Widening = 1.15;

    /// <summary>Refined times and their sds, in seconds of the grid.</summary>
    public static (double[] Seconds, double[] Sd) Refine(double[] x, double step, IReadOnlyList<PickedCatch> catches, double bandwidth)
    {
        int n = catches.Count;
        var at = new double[n];
        var sd = new double[n];
        for (int i = 0; i < n; i++)
        {
            at[i] = catches[i].Seconds;
            sd[i] = 0.05;
        }

        if (n < 3)
        {
            return (at, sd);
        }

        var shifts = new double[n];
        for (int pass = 0; pass < 3; pass++)
        {
            for (int i = 0; i < n; i++)
            {
                double period = catches[i].Period;
                int half = Math.Max(3, (int)Math.Round(0.3 * period / step));
                shifts[i] = Shift(x, step, at, i, half, bandwidth, catches, out sd[i]);
            }

            // Shifts that neighbours share would let the whole row of catches wander: only differences from them count.
            for (int i = 0; i < n; i++)
            {
                double common = 0;
                int count = 0;
                for (int k = Math.Max(0, i - Neighbours); k <= Math.Min(n - 1, i + Neighbours); k++)
                {
                    if (Math.Abs(at[k] - at[i]) < 15)
                    {
                        common += shifts[k];
                        count++;
                    }
                }

                at[i] += Math.Clamp(shifts[i] - (common / count), -0.06, 0.06);
            }
        }

        return (at, sd);
    }

    private static double Shift(double[] x, double step, double[] at, int i, int half, double bandwidth, IReadOnlyList<PickedCatch> catches, out double sd)
    {
        int width = (2 * half) + 1;
        Span<double> mean = width <= 256 ? stackalloc double[width] : new double[width];
        Span<double> own = width <= 256 ? stackalloc double[width] : new double[width];
        mean.Clear();
        int used = 0;
        for (int k = Math.Max(0, i - Neighbours); k <= Math.Min(at.Length - 1, i + Neighbours); k++)
        {
            if (k == i || Math.Abs(at[k] - at[i]) > 15 || Math.Abs(catches[k].Period / catches[i].Period - 1) > 0.25)
            {
                continue;
            }

            double c = at[k] / step;
            for (int j = 0; j < width; j++)
            {
                mean[j] += Sample(x, c + j - half);
            }

            used++;
        }

        sd = 0.05;
        if (used < 2)
        {
            return 0;
        }

        double centre = at[i] / step;
        for (int j = 0; j < width; j++)
        {
            mean[j] /= used;
            own[j] = Sample(x, centre + j - half);
        }

        // own(t) = mean(t - d) about: own - mean = -d mean'. Two Gauss-Newton steps.
        double d = 0;
        double slope2 = 0;
        double rest = 0;
        for (int round = 0; round < 2; round++)
        {
            double num = 0;
            slope2 = 0;
            rest = 0;
            for (int j = 1; j < width - 1; j++)
            {
                double o = round == 0 ? own[j] : Sample(x, centre + (d / step) + j - half);
                double slope = (mean[j + 1] - mean[j - 1]) / (2 * step);
                double e = o - mean[j];
                num -= e * slope;
                slope2 += slope * slope;
                rest += e * e;
            }

            if (slope2 <= 0)
            {
                return 0;
            }

            d += num / slope2;
            d = Math.Clamp(d, -0.08, 0.08);
        }

        // Residuals of a signal filtered below `bandwidth` are correlated: 2 bandwidth of them a second are independent.
        double share = Math.Max(1, 1 / (2 * bandwidth * step));
        double noise = rest / Math.Max(1, width - 3) * used / (used + 1);
        sd = Math.Clamp(Widening * Math.Sqrt(noise * share / slope2), 0.002, 0.1);
        return d;
    }

    /// <summary>Cubic interpolation (Catmull and Rom 1974); held at the ends.</summary>
    private static double Sample(double[] x, double at)
    {
        int n = x.Length;
        if (at <= 1)
        {
            return x[Math.Clamp((int)Math.Round(at), 0, n - 1)];
        }

        if (at >= n - 2)
        {
            return x[Math.Clamp((int)Math.Round(at), 0, n - 1)];
        }

        int i = (int)at;
        double f = at - i;
        double a = x[i - 1];
        double b = x[i];
        double c = x[i + 1];
        double d = x[i + 2];
        return b + (0.5 * f * (c - a + (f * ((2 * a) - (5 * b) + (4 * c) - d + (f * ((3 * (b - c)) + d - a))))));
    }
}
