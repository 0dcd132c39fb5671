namespace Stakeboat.Core.Measurement;

/// <summary>The WGS 84 ellipsoid (NIMA TR8350.2, 2000: a = 6378137 m, 1/f = 298.257223563). Angles in degrees, lengths in m.</summary>
public static class Ellipsoid
{
    public const double SemiMajor = 6378137;
    public const double Flattening = 1 / 298.257223563;
    public const double SemiMinor = SemiMajor * (1 - Flattening);
    public const double Eccentricity2 = Flattening * (2 - Flattening);
    internal const double Radian = Math.PI / 180;

    /// <summary>Metres for one degree of latitude, pi/180 M, M the meridian's radius of curvature.</summary>
    public static double MetresPerDegreeOfLatitude(double latitudeDegrees)
    {
        double s = Math.Sin(latitudeDegrees * Radian);
        double w = 1 - (Eccentricity2 * s * s);
        return Radian * SemiMajor * (1 - Eccentricity2) / (w * Math.Sqrt(w));
    }

    /// <summary>Metres for one degree of longitude, pi/180 N cos(latitude), N the prime vertical's radius of curvature.</summary>
    public static double MetresPerDegreeOfLongitude(double latitudeDegrees)
    {
        double s = Math.Sin(latitudeDegrees * Radian);
        return Radian * SemiMajor * Math.Cos(latitudeDegrees * Radian) / Math.Sqrt(1 - (Eccentricity2 * s * s));
    }

    /// <summary>Earth-centred, earth-fixed coordinates of a point at <paramref name="height"/> above the ellipsoid.</summary>
    public static (double X, double Y, double Z) ToEarthCentred(double latitudeDegrees, double longitudeDegrees, double height = 0)
    {
        var (sp, cp) = Math.SinCos(latitudeDegrees * Radian);
        var (sl, cl) = Math.SinCos(longitudeDegrees * Radian);
        double n = SemiMajor / Math.Sqrt(1 - (Eccentricity2 * sp * sp));
        return ((n + height) * cp * cl, (n + height) * cp * sl, ((n * (1 - Eccentricity2)) + height) * sp);
    }

    /// <summary>Signed step in longitude from a to b in [-180, 180), across the date line.</summary>
    public static double LongitudeStep(double a, double b) => ((((b - a + 180) % 360) + 360) % 360) - 180;
}
