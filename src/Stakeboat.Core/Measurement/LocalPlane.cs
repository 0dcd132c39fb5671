namespace Stakeboat.Core.Measurement;

/// <summary>A point of a local plane: metres east and north of its origin.</summary>
public readonly record struct PlanePoint(double East, double North);

/// <summary>
/// The plane that touches the ellipsoid at an origin: east, north, up by way of earth-centred coordinates.
/// Lengths along the ground are short by 0.03 mm at 2 km and 0.5 mm at 5 km; do not use beyond 20 km (0.03 m).
/// </summary>
public sealed class LocalPlane
{
    private readonly double _x0;
    private readonly double _y0;
    private readonly double _z0;
    private readonly double _sp;
    private readonly double _cp;
    private readonly double _sl;
    private readonly double _cl;

    public LocalPlane(double latitudeDegrees, double longitudeDegrees)
    {
        LatitudeDegrees = latitudeDegrees;
        LongitudeDegrees = longitudeDegrees;
        (_sp, _cp) = Math.SinCos(latitudeDegrees * Ellipsoid.Radian);
        (_sl, _cl) = Math.SinCos(longitudeDegrees * Ellipsoid.Radian);
        (_x0, _y0, _z0) = Ellipsoid.ToEarthCentred(latitudeDegrees, longitudeDegrees);
    }

    public double LatitudeDegrees { get; }

    public double LongitudeDegrees { get; }

    public PlanePoint ToPlane(double latitudeDegrees, double longitudeDegrees)
    {
        var (e, n, _) = ToEastNorthUp(latitudeDegrees, longitudeDegrees);
        return new PlanePoint(e, n);
    }

    /// <summary>East, north and up of a point on the ellipsoid.</summary>
    public (double East, double North, double Up) ToEastNorthUp(double latitudeDegrees, double longitudeDegrees)
    {
        var (x, y, z) = Ellipsoid.ToEarthCentred(latitudeDegrees, longitudeDegrees);
        double dx = x - _x0;
        double dy = y - _y0;
        double dz = z - _z0;
        double radial = (_cl * dx) + (_sl * dy);
        return ((-_sl * dx) + (_cl * dy), (-_sp * radial) + (_cp * dz), (_cp * radial) + (_sp * dz));
    }

    /// <summary>The point of the ellipsoid that <see cref="ToPlane"/> takes to <paramref name="point"/>, to 1e-9 degrees.</summary>
    public (double LatitudeDegrees, double LongitudeDegrees) FromPlane(PlanePoint point)
    {
        double lat = LatitudeDegrees + (point.North / Ellipsoid.MetresPerDegreeOfLatitude(LatitudeDegrees));
        double lon = LongitudeDegrees + (point.East / Ellipsoid.MetresPerDegreeOfLongitude(LatitudeDegrees));
        for (int i = 0; i < 8; i++)
        {
            var at = ToPlane(lat, lon);
            lat += (point.North - at.North) / Ellipsoid.MetresPerDegreeOfLatitude(lat);
            lon += (point.East - at.East) / Ellipsoid.MetresPerDegreeOfLongitude(lat);
        }

        return (lat, LongitudeDegrees + Ellipsoid.LongitudeStep(LongitudeDegrees, lon));
    }
}

/// <summary>Axes of a straight course in a local plane: along from start to finish, across positive to starboard of it.</summary>
public readonly record struct CourseFrame(PlanePoint Origin, double EastPerMetre, double NorthPerMetre)
{
    public static CourseFrame Between(PlanePoint start, PlanePoint finish)
    {
        double e = finish.East - start.East;
        double n = finish.North - start.North;
        double l = Math.Sqrt((e * e) + (n * n));
        if (l == 0)
        {
            throw new ArgumentException("A course frame needs a start and a finish that are not the same point.", nameof(finish));
        }

        return new CourseFrame(start, e / l, n / l);
    }

    public (double Along, double Across) To(PlanePoint p)
    {
        double e = p.East - Origin.East;
        double n = p.North - Origin.North;
        return ((e * EastPerMetre) + (n * NorthPerMetre), (e * NorthPerMetre) - (n * EastPerMetre));
    }

    public PlanePoint From(double along, double across) => new(
        Origin.East + (along * EastPerMetre) + (across * NorthPerMetre),
        Origin.North + (along * NorthPerMetre) - (across * EastPerMetre));
}
