using Stakeboat.Core.Measurement;

namespace Stakeboat.Core.Tests.Measurement;

/// <summary>Against GeographicLib 2.1.2 (GeodSolve) and its published test rows; plane and lengths against radii of curvature.</summary>
public class GeodesyCertified
{
    [Theory]
    [InlineData(40.6, -73.8, 51.6, -.5, 5551759.400319, 6e-7)]
    [InlineData(35.60777, -139.44815, -11.17491, -69.95921, 8935244.5604818305, 1e-7)]
    [InlineData(55.52454, 106.05087, 77.03196, 197.18234, 4105086.1713924406, 1e-7)]
    public void Lengths(double lat1, double lon1, double lat2, double lon2, double metres, double within) =>
        Assert.Equal(metres, Geodesic.Distance(lat1, lon1, lat2, lon2), within);

    [Fact]
    public void Azimuths()
    {
        Assert.True(Geodesic.TryInverse(40.6, -73.8, 51.6, -.5, out _, out double a1, out double a2));
        Assert.Equal(51.19888285, a1, 6e-9);
        Assert.Equal(107.82177674, a2, 6e-9);
    }

    [Fact]
    public void Direct()
    {
        var (lat, lon, _) = Geodesic.Direct(40.6, -73.8, 51, 5.5e6);
        Assert.Equal(51.884564505607, lat, 1e-11);
        Assert.Equal(-1.141172861201, lon, 1e-11);
    }

    [Fact]
    public void NearlyOppositePointsAreRefused()
    {
        Assert.False(Geodesic.TryInverse(0, 0, 0.2, 179.9, out _, out _, out _));
        Assert.Throws<ArgumentException>(() => Geodesic.Distance(0, 0, 0.2, 179.9));
    }

    [Fact]
    public void OneDegree()
    {
        Assert.Equal(111319.490793, Ellipsoid.MetresPerDegreeOfLongitude(0), 6e-7);
        Assert.Equal(110574.388558, Geodesic.Distance(0, 0, 1, 0), 6e-7);
        Assert.Equal(111257.8337, Ellipsoid.MetresPerDegreeOfLatitude(51.5), 6e-5);
        Assert.Equal(69440.5166, Ellipsoid.MetresPerDegreeOfLongitude(51.5), 6e-5);
        Assert.Equal(.0002, Ellipsoid.LongitudeStep(179.9999, -179.9999), 10);
    }

    [Theory]
    [InlineData(2000, -.03e-3, .01e-3)]
    [InlineData(5000, -.5e-3, .06e-3)]
    [InlineData(7000, -1.4e-3, .06e-3)]
    public void ThePlaneIsShortByLessThanAMillimetreAtFiveKilometres(double metres, double error, double within)
    {
        var (lat, lon, _) = Geodesic.Direct(51.5, -.2, 45, metres);
        var p = new LocalPlane(51.5, -.2).ToPlane(lat, lon);
        Assert.Equal(error, Math.Sqrt(p.East * p.East + p.North * p.North) - metres, within);
    }

    [Fact]
    public void AlongAndAcross()
    {
        var plane = new LocalPlane(51.47, -.22);
        var frame = CourseFrame.Between(new PlanePoint(0, 0), plane.ToPlane(51.485567076, -.205603732));
        var (along, across) = frame.To(plane.ToPlane(51.477761290, -.212740768));
        Assert.Equal(1000, along, 1e-3);
        Assert.Equal(5, across, 1e-3);
    }

    [Fact]
    public void PlaneAndBack()
    {
        var plane = new LocalPlane(51.47, 179.999);
        var (lat, lon) = plane.FromPlane(new PlanePoint(1500, -700));
        var p = plane.ToPlane(lat, lon);
        Assert.Equal(1500, p.East, 1e-4);
        Assert.Equal(-700, p.North, 1e-4);
    }

    [Fact]
    public void CircleAndWeave()
    {
        PlanePoint At(double a) => new(100 * Math.Cos(a), 100 * Math.Sin(a));
        Assert.Equal(.01, PathShape.Curvature(At(.1), At(.2), At(.35)), 12);
        Assert.Equal(.00098623, PathShape.WeaveExcess(2, 200), 6e-9);
        Assert.Equal(1.972, 2000 * PathShape.WeaveExcess(2, 200), 6e-4);
        Assert.Equal(7.872, 2000 * PathShape.WeaveExcess(10, 500), 6e-4);
        Assert.Equal(17.649, 2000 * PathShape.WeaveExcess(3, 100), 6e-4);
    }
}
