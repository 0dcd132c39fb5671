namespace Stakeboat.Simulation.Sensors;

/// <summary>
/// A flat piece of WGS 84 about the start of lane 1: metres along the heading and to starboard become degrees through the radii of
/// curvature at the middle latitude of start and point. Against a geodesic at 2 km: below 0.05 m in length.
/// </summary>
public sealed class CoursePlane(double latitudeDegrees, double longitudeDegrees, double headingDegrees)
{
    // WGS 84: semi-major axis in m and flattening (NIMA TR8350.2, 2000).
    private const double A = 6378137;
    private const double F = 1 / 298.257223563;
    private const double Degree = Math.PI / 180;

    /// <summary>Metres for a degree of latitude and of longitude.</summary>
    public static (double North, double East) MetresPerDegree(double latitudeDegrees)
    {
        double e2 = F * (2 - F), sin = Math.Sin(latitudeDegrees * Degree), w = 1 - e2 * sin * sin;
        return (Degree * A * (1 - e2) / (w * Math.Sqrt(w)), Degree * A / Math.Sqrt(w) * Math.Cos(latitudeDegrees * Degree));
    }

    public (double Latitude, double Longitude) ToDegrees(double along, double starboard)
    {
        double h = headingDegrees * Degree;
        double north = along * Math.Cos(h) - starboard * Math.Sin(h), east = along * Math.Sin(h) + starboard * Math.Cos(h);
        double lat = latitudeDegrees + north / MetresPerDegree(latitudeDegrees).North;
        lat = latitudeDegrees + north / MetresPerDegree((latitudeDegrees + lat) / 2).North;
        return (lat, longitudeDegrees + east / MetresPerDegree((latitudeDegrees + lat) / 2).East);
    }
}
