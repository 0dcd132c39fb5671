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
    private const double Widening = 1.2;

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

        int reach = 3;
        var halves = new int[n];
        for (int i = 0; i < n; i++)
        {
            halves[i] = Math.Max(3, (int)Math.Round(0.3 * catches[i].Period / step));
            reach = Math.Max(reach, halves[i]);
        }

        int row = (2 * reach) + 1;
        var waves = new double[n * row];
        var mean = new double[row];
        var own = new double[row];
        var shifts = new double[n];
        for (int pass = 0; pass < 3; pass++)
        {
            for (int i = 0; i < n; i++)
            {
                Wave(x, (at[i] / step) - reach, waves.AsSpan(i * row, row));
            }

            for (int i = 0; i < n; i++)
            {
                int width = (2 * halves[i]) + 1;
                int skip = reach - halves[i];
                var m = mean.AsSpan(0, width);
                int used = Mean(waves, row, skip, m, at, catches, i);
                sd[i] = 0.05;
                shifts[i] = used < 2 ? 0 : Shift(x, step, at[i] / step, waves.AsSpan((i * row) + skip, width), m, own.AsSpan(0, width), used, bandwidth, ref sd[i]);
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

    /// <summary>Mean waveform of a catch's neighbours of like period; how many there were.</summary>
    private static int Mean(double[] waves, int row, int skip, Span<double> mean, double[] at, IReadOnlyList<PickedCatch> catches, int i)
    {
        mean.Clear();
        int used = 0;
        for (int k = Math.Max(0, i - Neighbours); k <= Math.Min(at.Length - 1, i + Neighbours); k++)
        {
            if (k == i || Math.Abs(at[k] - at[i]) > 15 || Math.Abs((catches[k].Period / catches[i].Period) - 1) > 0.25)
            {
                continue;
            }

            var wave = waves.AsSpan((k * row) + skip, mean.Length);
            for (int j = 0; j < mean.Length; j++)
            {
                mean[j] += wave[j];
            }

            used++;
        }

        for (int j = 0; used > 0 && j < mean.Length; j++)
        {
            mean[j] /= used;
        }

        return used;
    }

    private static double Shift(
        double[] x, double step, double centre, ReadOnlySpan<double> first, ReadOnlySpan<double> mean, Span<double> own, int used, double bandwidth, ref double sd)
    {
        int width = mean.Length;
        int half = width / 2;

        // own(t) = mean(t - d) about: own - mean = -d mean'. Two Gauss-Newton steps.
        double d = 0;
        double slope2 = 0;
        double rest = 0;
        first.CopyTo(own);
        for (int round = 0; round < 2; round++)
        {
            if (round > 0)
            {
                Wave(x, centre + (d / step) - half, own);
            }

            double num = 0;
            slope2 = 0;
            rest = 0;
            for (int j = 1; j < width - 1; j++)
            {
                double slope = (mean[j + 1] - mean[j - 1]) / (2 * step);
                double e = own[j] - mean[j];
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

    /// <summary>Samples at <paramref name="from"/>, from + 1, ... by cubic interpolation (Catmull and Rom 1974), whose four weights are the same for all of them; held at the ends.</summary>
    private static void Wave(double[] x, double from, Span<double> into)
    {
        int i = (int)Math.Floor(from);
        if (i < 1 || i + into.Length + 2 > x.Length)
        {
            for (int j = 0; j < into.Length; j++)
            {
                into[j] = Sample(x, from + j);
            }

            return;
        }

        double f = from - i;
        double w0 = 0.5 * f * (-1 + (f * (2 - f)));
        double w1 = 1 + (0.5 * f * f * (-5 + (3 * f)));
        double w2 = 0.5 * f * (1 + (f * (4 - (3 * f))));
        double w3 = 0.5 * f * f * (-1 + f);
        var s = x.AsSpan(i - 1, into.Length + 3);
        for (int j = 0; j < into.Length; j++)
        {
            into[j] = (w0 * s[j]) + (w1 * s[j + 1]) + (w2 * s[j + 2]) + (w3 * s[j + 3]);
        }
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
