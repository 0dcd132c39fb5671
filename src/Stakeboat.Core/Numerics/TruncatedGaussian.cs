namespace Stakeboat.Core.Numerics;

/// <summary>Log of the mass, mean and variance of a distribution that was cut by a likelihood.</summary>
public readonly record struct CutMoments(double LogMass, double Mean, double Variance);

/// <summary>
/// A normal distribution seen through a soft window: x ~ N(mean, variance), and lo &lt; x + e &lt; hi with e ~ N(0, softness²).
/// </summary>
/// <remarks>
/// With t² = V + s², a = (lo-μ)/t, b = (hi-μ)/t, Z = Φ(b)-Φ(a), g = (φ(a)-φ(b))/Z, d = (aφ(a)-bφ(b))/Z:
/// mean = μ + V g/t, variance = V - V²(g²-d)/t². In the tails Z is formed from logarithms, so nothing is lost at 30 standard deviations.
/// </remarks>
public static class TruncatedGaussian
{
    /// <param name="lo">May be -∞.</param>
    /// <param name="hi">May be +∞; greater than lo.</param>
    /// <param name="softness">Standard deviation of the edge, ≥ 0, in the unit of x.</param>
    public static CutMoments Moments(double mean, double variance, double lo, double hi, double softness)
    {
        if (!(variance > 0) || !(hi > lo) || !(softness >= 0))
        {
            throw new ArgumentOutOfRangeException(nameof(variance), variance,
                "A cut needs a positive variance, an upper edge above the lower and a softness of at least 0.");
        }

        double t2 = variance + softness * softness;
        double t = Math.Sqrt(t2);
        double a = (lo - mean) / t, b = (hi - mean) / t;
        bool mirrored = a + b < 0;
        if (mirrored)
        {
            (a, b) = (-b, -a);
        }

        // Now the window's middle is at or above the mean: a may be negative, b is positive.
        double logZ, g, d;
        if (b - a < 1e-5)
        {
            // So narrow that the density is flat across it: exact to (b-a)².
            double middle = 0.5 * (a + b), width = b - a;
            logZ = Gaussian.LogDensity(middle, 0, 1) + Math.Log(width);
            g = middle;
            d = middle * middle - 1 + width * width / 12;
        }
        else if (a < 0)
        {
            double z = 1 - Gaussian.Above(-a) - Gaussian.Above(b);
            double fa = Gaussian.Density(a), fb = Gaussian.Density(b);
            logZ = Math.Log(z);
            g = (fa - fb) / z;
            d = ((double.IsInfinity(a) ? 0 : a * fa) - (double.IsInfinity(b) ? 0 : b * fb)) / z;
        }
        else
        {
            double logA = Gaussian.LogAbove(a);
            double rest = double.IsInfinity(b) ? 0 : Math.Exp(Gaussian.LogAbove(b) - logA);
            logZ = logA + Math.Log(1 - rest);
            double fa = Math.Exp(Gaussian.LogDensity(a, 0, 1) - logZ);
            double fb = double.IsInfinity(b) ? 0 : Math.Exp(Gaussian.LogDensity(b, 0, 1) - logZ);
            g = fa - fb;
            d = a * fa - (double.IsInfinity(b) ? 0 : b * fb);
        }

        double shift = variance * g / t;
        double cut = variance - variance * variance * (g * g - d) / t2;
        return new CutMoments(logZ, mirrored ? mean - shift : mean + shift, Math.Max(cut, variance * 1e-12));
    }
}
