namespace Stakeboat.Core.Numerics;

/// <summary>Student's t distribution for whole degrees of freedom.</summary>
public static class StudentT
{
    /// <summary>
    /// The value that |t| stays below with probability <paramref name="probability"/>, by bisection on <see cref="Within"/>; relative error below 1e-12.
    /// </summary>
    public static double TwoSided(double probability, int degreesOfFreedom)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(degreesOfFreedom, 1);
        if (!(probability > 0 && probability < 1))
        {
            throw new ArgumentOutOfRangeException(nameof(probability), probability, "A probability strictly between 0 and 1 is needed.");
        }

        double lo = 0, hi = 1;
        while (Within(hi, degreesOfFreedom) < probability)
        {
            hi *= 2;
        }

        while (hi - lo > 1e-12 * hi)
        {
            double mid = 0.5 * (lo + hi);
            if (Within(mid, degreesOfFreedom) < probability)
            {
                lo = mid;
            }
            else
            {
                hi = mid;
            }
        }

        return 0.5 * (lo + hi);
    }

    /// <summary>P(|T| &lt; t): a finite sum (Abramowitz and Stegun 1964, 26.7.3 for odd, 26.7.4 for even degrees of freedom).</summary>
    public static double Within(double t, int degreesOfFreedom)
    {
        double theta = Math.Atan(t / Math.Sqrt(degreesOfFreedom));
        double sin = Math.Sin(theta), cos = Math.Cos(theta), cos2 = cos * cos;
        bool odd = (degreesOfFreedom & 1) == 1;
        if (odd && degreesOfFreedom == 1)
        {
            return 2 * theta / Math.PI;
        }

        double term = odd ? cos : 1, sum = term;
        for (int k = odd ? 3 : 2; k <= degreesOfFreedom - 2; k += 2)
        {
            term *= cos2 * (k - 1) / k;
            sum += term;
        }

        return odd ? 2 / Math.PI * (theta + sin * sum) : sin * sum;
    }
}
