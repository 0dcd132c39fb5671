using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Measurement;

/// <summary>
/// Shortest lines on WGS 84. The integrals of the auxiliary sphere (Bessel 1825; Karney 2013, Algorithms for geodesics, eqs 7-8)
/// are taken by quadrature instead of a series, so distances agree with GeographicLib to about 1e-8 m.
/// Points that are nearly opposite on the globe (within about 1 degree of it) are not solved: <see cref="TryInverse"/> says so.
/// Angles in degrees, azimuths clockwise from north in (-180, 180], lengths in m.
/// </summary>
public static class Geodesic
{
    private static readonly GaussLegendre Rule = new(24);

    /// <summary>Length of the shortest line and its azimuths at both ends; false where the points are nearly antipodal.</summary>
    public static bool TryInverse(double lat1, double lon1, double lat2, double lon2, out double metres, out double azimuth1, out double azimuth2)
    {
        double l = Ellipsoid.LongitudeStep(lon1, lon2) * Ellipsoid.Radian;
        var (su1, cu1) = Reduced(lat1);
        var (su2, cu2) = Reduced(lat2);
        metres = azimuth1 = azimuth2 = 0;
        if (lat1 == lat2 && l == 0)
        {
            return true;
        }

        double lambda = l;
        for (int i = 0; i < 200; i++)
        {
            var (sl, cl) = Math.SinCos(lambda);
            double east = cu2 * sl;
            double north = (cu1 * su2) - (su1 * cu2 * cl);
            double sinSigma = Math.Sqrt((east * east) + (north * north));
            double cosSigma = (su1 * su2) + (cu1 * cu2 * cl);
            double alpha1 = Math.Atan2(east, north);
            var (sa1, ca1) = Math.SinCos(alpha1);
            double sin0 = sa1 * cu1;
            double cos0 = Math.Sqrt((ca1 * ca1) + (sa1 * su1 * (sa1 * su1)));
            double sigma1 = Math.Atan2(su1, ca1 * cu1);
            double sigma12 = Math.Atan2(sinSigma, cosSigma);
            double next = l + (Ellipsoid.Flattening * sin0 * LongitudeIntegral(cos0, sigma1, sigma1 + sigma12));
            if (Math.Abs(next) > Math.PI || sigma12 > Math.PI * 0.995)
            {
                return false;
            }

            double change = next - lambda;
            lambda = next;
            if (Math.Abs(change) < 1e-15)
            {
                metres = Ellipsoid.SemiMinor * DistanceIntegral(cos0, sigma1, sigma1 + sigma12);
                azimuth1 = alpha1 / Ellipsoid.Radian;
                azimuth2 = Math.Atan2(cu1 * sl, (-su1 * cu2) + (cu1 * su2 * cl)) / Ellipsoid.Radian;
                return true;
            }
        }

        return false;
    }

    /// <summary>Length of the shortest line, m.</summary>
    /// <exception cref="ArgumentException">The points are nearly antipodal.</exception>
    public static double Distance(double lat1, double lon1, double lat2, double lon2) =>
        TryInverse(lat1, lon1, lat2, lon2, out double s, out _, out _)
            ? s
            : throw new ArgumentException("The two points lie nearly opposite on the globe; no course does. Check for a wrong sign or swapped coordinates.", nameof(lat2));

    /// <summary>Where one comes to after <paramref name="metres"/> along a geodesic that leaves at an azimuth.</summary>
    public static (double Latitude, double Longitude, double Azimuth) Direct(double lat1, double lon1, double azimuth, double metres)
    {
        var (su1, cu1) = Reduced(lat1);
        var (sa1, ca1) = Math.SinCos(azimuth * Ellipsoid.Radian);
        double sin0 = sa1 * cu1;
        double cos0 = Math.Sqrt((ca1 * ca1) + (sa1 * su1 * (sa1 * su1)));
        double sigma1 = Math.Atan2(su1, ca1 * cu1);
        double target = metres / Ellipsoid.SemiMinor;
        double sigma12 = target;
        for (int i = 0; i < 50; i++)
        {
            double k2 = SecondEccentricity2 * cos0 * cos0;
            double s = Math.Sin(sigma1 + sigma12);
            double step = (target - DistanceIntegral(cos0, sigma1, sigma1 + sigma12)) / Math.Sqrt(1 + (k2 * s * s));
            sigma12 += step;
            if (Math.Abs(step) < 1e-16)
            {
                break;
            }
        }

        var (ss, cs) = Math.SinCos(sigma1 + sigma12);
        double sinBeta = cos0 * ss;
        double cosBeta = Math.Sqrt((sin0 * sin0) + (cos0 * cs * (cos0 * cs)));
        double lat2 = Math.Atan2(sinBeta, cosBeta * (1 - Ellipsoid.Flattening));
        double omega1 = Math.Atan2(sin0 * Math.Sin(sigma1), Math.Cos(sigma1));
        double omega2 = Math.Atan2(sin0 * ss, cs);
        double turn = omega2 - omega1;

        // Whole turns of the auxiliary sphere, which two arctangents do not see.
        turn += 2 * Math.PI * Math.Round((sigma12 - turn) / (2 * Math.PI)) * Math.Sign(sin0 == 0 ? 1 : sin0);
        double lambda = turn - (Ellipsoid.Flattening * sin0 * LongitudeIntegral(cos0, sigma1, sigma1 + sigma12));
        double azimuth2 = Math.Atan2(sin0, cos0 * cs) / Ellipsoid.Radian;
        return (lat2 / Ellipsoid.Radian, Ellipsoid.LongitudeStep(0, lon1 + (lambda / Ellipsoid.Radian)), azimuth2);
    }

    private const double SecondEccentricity2 = Ellipsoid.Eccentricity2 / (1 - Ellipsoid.Eccentricity2);

    private static (double Sin, double Cos) Reduced(double latitude)
    {
        var (s, c) = Math.SinCos(latitude * Ellipsoid.Radian);
        double y = s * (1 - Ellipsoid.Flattening);
        double h = Math.Sqrt((y * y) + (c * c));
        return (y / h, c / h);
    }

    /// <summary>Integral of sqrt(1 + k² sin² sigma).</summary>
    private static double DistanceIntegral(double cos0, double from, double to)
    {
        double k2 = SecondEccentricity2 * cos0 * cos0;
        return Rule.Integrate(
            s =>
            {
                double x = Math.Sin(s);
                return Math.Sqrt(1 + (k2 * x * x));
            },
            from, to);
    }

    /// <summary>Integral of (2 - f)/(1 + (1 - f) sqrt(1 + k² sin² sigma)).</summary>
    private static double LongitudeIntegral(double cos0, double from, double to)
    {
        double k2 = SecondEccentricity2 * cos0 * cos0;
        return Rule.Integrate(
            s =>
            {
                double x = Math.Sin(s);
                return (2 - Ellipsoid.Flattening) / (1 + ((1 - Ellipsoid.Flattening) * Math.Sqrt(1 + (k2 * x * x))));
            },
            from, to);
    }
}
