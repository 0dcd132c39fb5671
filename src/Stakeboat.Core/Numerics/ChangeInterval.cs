namespace Stakeboat.Core.Numerics;

/// <summary>Between which observations a single step of the mean lies, with a stated confidence.</summary>
public static class ChangeInterval
{
    /// <summary>
    /// Interval for the last observation before a step of the mean after observation <paramref name="after"/> (counted from 1), from the
    /// distribution of the place of the maximum of a two-sided Brownian motion with drift (Bai 1997, Review of Economics and Statistics 79,
    /// 551-563, appendix), each side with its own variance.
    /// </summary>
    public static (int Low, int High) Of(ReadOnlySpan<double> x, int after, double confidence)
    {
        var (m1, v1) = Moments(x[..after]);
        var (m2, v2) = Moments(x[after..]);
        double step2 = (m2 - m1) * (m2 - m1);
        double scale = v1 / step2;
        double phi = v2 / v1;
        double tail = 0.5 * (1 - confidence);
        double low = Quantile(tail, phi);
        double high = Quantile(1 - tail, phi);
        return (after - (int)Math.Ceiling(high * scale), after - (int)Math.Floor(low * scale));
    }

    private static (double Mean, double Variance) Moments(ReadOnlySpan<double> x)
    {
        double mean = 0;
        foreach (double v in x)
        {
            mean += v / x.Length;
        }

        double square = 0;
        foreach (double v in x)
        {
            square += (v - mean) * (v - mean) / x.Length;
        }

        return (mean, square);
    }

    private static double Quantile(double p, double phi)
    {
        double a = -2000;
        double b = 2000;
        for (int i = 0; i < 100; i++)
        {
            double mid = 0.5 * (a + b);
            (a, b) = Below(mid, phi) < p ? (mid, b) : (a, mid);
        }

        return 0.5 * (a + b);
    }

    /// <summary>Distribution function of the place of the maximum, phi the ratio of the two sides' variances.</summary>
    internal static double Below(double x, double phi)
    {
        double r = Math.Sqrt(Math.Abs(x));
        double a = Math.Abs(x);
        if (x < 0)
        {
            double f = 1 / phi;
            double c = phi * (phi + 2) / (phi + 1);
            return -(r * Math.Exp(-a / 8) / Math.Sqrt(2 * Math.PI)) - (c * Math.Exp((f * (1 + f) * a / 2) + Gaussian.LogBelow(-(0.5 + f) * r)))
                + (((phi + 2) * (phi + 2) / (phi + 1)) - 2 + (a / 2)) * Math.Exp(Gaussian.LogBelow(-r / 2));
        }

        double d = (2 * phi + 1) / (phi * (phi + 1));
        double g = Math.Sqrt(1 / phi);
        return 1 + (g * r * Math.Exp(-a / (8 * phi)) / Math.Sqrt(2 * Math.PI)) + (d * Math.Exp(((phi + 1) * a / 2) + Gaussian.LogBelow(-(phi + 0.5) / Math.Sqrt(phi) * r)))
            - ((((2 * phi + 1) * (2 * phi + 1) / ((phi + 1) * phi)) - 2 + (a / (2 * phi))) * Math.Exp(Gaussian.LogBelow(-g * r / 2)));
    }
}
