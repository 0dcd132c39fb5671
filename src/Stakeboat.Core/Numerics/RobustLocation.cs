namespace Stakeboat.Core.Numerics;

/// <summary>Where a few numbers lie when some may be gross errors. The scale is given, in the numbers' own unit.</summary>
public static class RobustLocation
{
    public static double Median(ReadOnlySpan<double> x)
    {
        if (x.IsEmpty)
        {
            throw new ArgumentException("A median needs at least one value.", nameof(x));
        }

        var s = x.ToArray();
        Array.Sort(s);
        int h = s.Length / 2;
        return s.Length % 2 == 1 ? s[h] : 0.5 * (s[h - 1] + s[h]);
    }

    /// <summary>Huber's location (Huber 1964) with weights min(1, k/|r|), r in scales; k = 1.345 keeps 95 % efficiency on normal errors.</summary>
    public static double Huber(ReadOnlySpan<double> x, double scale, double k = 1.345)
    {
        double m = Median(x);
        for (int i = 0; i < 500; i++)
        {
            double sw = 0;
            double s = 0;
            foreach (double v in x)
            {
                double r = Math.Abs(v - m) / scale;
                double w = r <= k ? 1 : k / r;
                sw += w;
                s += w * v;
            }

            double next = s / sw;
            if (Math.Abs(next - m) < 1e-14 * Math.Max(1, Math.Abs(next)))
            {
                return next;
            }

            m = next;
        }

        return m;
    }

    /// <summary>Likeliest location under Student-t errors, weights (nu + 1)/(nu + r²) (Lange, Little and Taylor 1989), begun at the median.</summary>
    public static double StudentT(ReadOnlySpan<double> x, double scale, double freedom)
    {
        double m = Median(x);
        for (int i = 0; i < 1000; i++)
        {
            double sw = 0;
            double s = 0;
            foreach (double v in x)
            {
                double r = (v - m) / scale;
                double w = (freedom + 1) / (freedom + (r * r));
                sw += w;
                s += w * v;
            }

            double next = s / sw;
            if (Math.Abs(next - m) < 1e-15 * Math.Max(1, Math.Abs(next)))
            {
                return next;
            }

            m = next;
        }

        return m;
    }
}
