namespace Stakeboat.Core.Measurement;

/// <summary>
/// Lengths by the short formulas that others use, and what they get wrong against the geodesic. For comparison and for short pairs; splits
/// and lines go through <see cref="LocalPlane"/> or <see cref="Geodesic"/>.
/// </summary>
public static class PlainLengths
{
    /// <summary>Mean radius of the Earth, m (IUGG: (2a + b)/3 of the ellipsoid; Moritz 2000).</summary>
    public const double MeanRadius = 6371008.8;

    /// <summary>Great circle on the mean sphere by the haversine (Sinnott 1984), m. Short by 0.19 % on a diagonal at 51.5 degrees: 9.3 m in 5 km. Not for splits.</summary>
    public static double Haversine(double latitude1, double longitude1, double latitude2, double longitude2)
    {
        double p1 = latitude1 * Ellipsoid.Radian;
        double p2 = latitude2 * Ellipsoid.Radian;
        double dp = Math.Sin(0.5 * (p2 - p1));
        double dl = Math.Sin(0.5 * Ellipsoid.LongitudeStep(longitude1, longitude2) * Ellipsoid.Radian);
        return 2 * MeanRadius * Math.Asin(Math.Sqrt(Math.Min(1, (dp * dp) + (Math.Cos(p1) * Math.Cos(p2) * dl * dl))));
    }

    /// <summary>
    /// East and north of a point by degrees times the ellipsoid's metres for a degree at one fixed latitude. About one end of a course the
    /// diagonal is 0.14 m long at 2 km and 0.86 m at 5 km (51.5 degrees): use <see cref="LocalPlane"/> for a plane.
    /// </summary>
    public static PlanePoint Flat(double latitude, double longitude, double originLatitude, double originLongitude) => new(
        Ellipsoid.LongitudeStep(originLongitude, longitude) * Ellipsoid.MetresPerDegreeOfLongitude(originLatitude),
        (latitude - originLatitude) * Ellipsoid.MetresPerDegreeOfLatitude(originLatitude));

    /// <summary>Length of a short line with the metres for a degree at the pair's own middle latitude, m: 0.02 mm off at 2 km, 0.24 mm at 5 km (51.5 degrees, diagonal).</summary>
    public static double MiddleLatitude(double latitude1, double longitude1, double latitude2, double longitude2)
    {
        double middle = 0.5 * (latitude1 + latitude2);
        double e = Ellipsoid.LongitudeStep(longitude1, longitude2) * Ellipsoid.MetresPerDegreeOfLongitude(middle);
        double n = (latitude2 - latitude1) * Ellipsoid.MetresPerDegreeOfLatitude(middle);
        return Math.Sqrt((e * e) + (n * n));
    }

    /// <summary>
    /// Share by which white noise of <paramref name="sd"/> m on each axis lengthens a straight track that is summed fix by fix, steps of
    /// <paramref name="step"/> m: mean of a Rice variable of scale sqrt(2) sd (Rice 1945) over the step, less 1; about sd²/step² while that is small.
    /// </summary>
    public static double NoiseExcess(double sd, double step)
    {
        if (sd == 0)
        {
            return 0;
        }

        // Integral over the direction of the noise-free step: E|d| = s sqrt(pi/2) L(-v²/2s²), L(x) = e^(x/2) ((1-x) I0(-x/2) - x I1(-x/2)).
        double s2 = 2 * sd * sd;
        double x = step * step / (2 * s2);
        double h = 0.5 * x;
        double mean = Math.Sqrt(Math.PI * s2 / 2) * (((1 + x) * ScaledBessel(0, h)) + (x * ScaledBessel(1, h)));
        return (mean / step) - 1;
    }

    /// <summary>exp(-z) I_n(z), n 0 or 1, by the integral (1/pi) of exp(z (cos t - 1)) cos(nt) over 0..pi (Abramowitz and Stegun 1964, 9.6.19).</summary>
    private static double ScaledBessel(int n, double z)
    {
        // The trapezium rule converges beyond all orders for this periodic integrand; its width is about 1/sqrt(z).
        int steps = 64 + (int)(16 * Math.Sqrt(z));
        double sum = 0;
        for (int i = 0; i <= steps; i++)
        {
            double t = Math.PI * i / steps;
            double f = Math.Exp(z * (Math.Cos(t) - 1)) * (n == 0 ? 1 : Math.Cos(t));
            sum += i == 0 || i == steps ? 0.5 * f : f;
        }

        return sum / steps;
    }
}
