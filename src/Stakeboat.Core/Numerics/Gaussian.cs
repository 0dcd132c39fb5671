namespace Stakeboat.Core.Numerics;

/// <summary>
/// The standard normal distribution, accurate in relative terms also far out in its tails.
/// </summary>
/// <remarks>
/// Method: for |x|/√2 below 2 the all-positive series erf z = 2/√π e^(-z²) Σ 2^n z^(2n+1)/(2n+1)!! (Abramowitz and Stegun 1964, 7.1.6);
/// beyond, the continued fraction of erfc (7.1.14) by the modified Lentz recurrence. Relative error below 1e-13.
/// </remarks>
public static class Gaussian
{
    private const double SqrtHalf = 0.70710678118654752440;
    private const double HalfLogTwoPi = 0.91893853320467274178;
    private const double InvSqrtTwoPi = 0.39894228040143267794;
    private const double InvSqrtPi = 0.56418958354775628695;

    /// <summary>Density at <paramref name="x"/>; 0 at ±∞.</summary>
    public static double Density(double x) => InvSqrtTwoPi * Math.Exp(-0.5 * x * x);

    /// <summary>log of the density of N(mean, variance) at <paramref name="x"/>.</summary>
    public static double LogDensity(double x, double mean, double variance) =>
        -HalfLogTwoPi - 0.5 * Math.Log(variance) - 0.5 * (x - mean) * (x - mean) / variance;

    /// <summary>Probability below <paramref name="x"/>.</summary>
    public static double Below(double x) => x switch
    {
        double.PositiveInfinity => 1,
        double.NegativeInfinity => 0,
        < 0 => Above(-x),
        _ => 1 - Above(x),
    };

    /// <summary>Probability above <paramref name="x"/>, with full relative accuracy for large positive x.</summary>
    public static double Above(double x)
    {
        if (double.IsPositiveInfinity(x))
        {
            return 0;
        }

        if (double.IsNegativeInfinity(x))
        {
            return 1;
        }

        double z = x * SqrtHalf;
        if (Math.Abs(z) < 2)
        {
            return 0.5 * (1 - Erf(z));
        }

        double tail = 0.5 * ScaledErfc(Math.Abs(z)) * Math.Exp(-z * z);
        return z > 0 ? tail : 1 - tail;
    }

    /// <summary>log of <see cref="Above"/>; finite wherever x is.</summary>
    public static double LogAbove(double x)
    {
        double z = x * SqrtHalf;
        return z < 2 ? Math.Log(Above(x)) : Math.Log(0.5 * ScaledErfc(z)) - z * z;
    }

    /// <summary>log of <see cref="Below"/>; finite wherever x is.</summary>
    public static double LogBelow(double x) => LogAbove(-x);

    /// <summary>The x below which lies <paramref name="p"/>; Halley steps on a crude start until they stand still.</summary>
    /// <exception cref="ArgumentOutOfRangeException">p is not inside (0, 1).</exception>
    public static double Quantile(double p)
    {
        if (!(p > 0 && p < 1))
        {
            throw new ArgumentOutOfRangeException(nameof(p), p, "A probability must lie inside (0, 1).");
        }

        if (p > 0.5)
        {
            return -Quantile(1 - p);
        }

        // Start: the tail's leading term for small p, the middle's slope else; then Newton on the log, which is concave there.
        double x = p < 0.02 ? -Math.Sqrt(-2 * Math.Log(p)) : (p - 0.5) / InvSqrtTwoPi;
        double logP = Math.Log(p);
        for (int i = 0; i < 60; i++)
        {
            double logBelow = LogBelow(x);
            double step = (logBelow - logP) * Math.Exp(logBelow + 0.5 * x * x + HalfLogTwoPi);
            x -= step;
            if (Math.Abs(step) < 1e-15 * (1 + Math.Abs(x)))
            {
                break;
            }
        }

        return x;
    }

    /// <summary>log(e^a + e^b) without overflow.</summary>
    public static double LogSum(double a, double b)
    {
        double high = Math.Max(a, b);
        return double.IsNegativeInfinity(high) ? high : high + Math.Log(Math.Exp(a - high) + Math.Exp(b - high));
    }

    private static double Erf(double z)
    {
        double term = z, sum = z, square = z * z;
        for (int n = 1; n < 200; n++)
        {
            term *= 2 * square / (2 * n + 1);
            sum += term;
            if (Math.Abs(term) < 1e-17 * Math.Abs(sum))
            {
                break;
            }
        }

        return 2 * InvSqrtPi * Math.Exp(-square) * sum;
    }

    /// <summary>e^(z²) erfc(z) for z ≥ 2.</summary>
    private static double ScaledErfc(double z)
    {
        const double tiny = 1e-300;
        double f = z, c = z, d = 0;
        for (int n = 1; n < 400; n++)
        {
            double a = 0.5 * n;
            d = z + a * d;
            d = 1 / (d == 0 ? tiny : d);
            c = z + a / c;
            double delta = c * d;
            f *= delta;
            if (Math.Abs(delta - 1) < 1e-16)
            {
                break;
            }
        }

        return InvSqrtPi / f;
    }
}
