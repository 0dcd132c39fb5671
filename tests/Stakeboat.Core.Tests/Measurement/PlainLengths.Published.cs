using Stakeboat.Core.Measurement;

namespace Stakeboat.Core.Tests.Measurement;

/// <summary>What the short formulas get wrong on a diagonal from 51.5 N, against GeographicLib (which our geodesic reproduces to 1e-9 m).</summary>
public class PlainLengthsPublished
{
    private static (double Latitude, double Longitude) Diagonal(double metres)
    {
        var (lat, lon, _) = Geodesic.Direct(51.5, -.2, 45, metres);
        return (lat, lon);
    }

    [Fact]
    public void TheHaversineIsNineMetresShortInFiveKilometres()
    {
        var (lat, lon) = Diagonal(5000);
        double error = PlainLengths.Haversine(51.5, -.2, lat, lon) - 5000;
        Assert.Equal(-9.3, error, 0.06);
        Assert.Equal(-.0019, error / 5000, 6e-5);
    }

    [Theory]
    [InlineData(2000, .138, .02e-3, .006e-3)]
    [InlineData(5000, .86, .24e-3, .006e-3)]
    public void OneLatitudeForAllStretchesADiagonal_ThePairsOwnDoesNot(double metres, double oneEnd, double middle, double within)
    {
        var (lat, lon) = Diagonal(metres);
        var flat = PlainLengths.Flat(lat, lon, 51.5, -.2);
        Assert.Equal(oneEnd, Math.Sqrt(flat.East * flat.East + flat.North * flat.North) - metres, oneEnd < .5 ? 6e-4 : 6e-3);
        Assert.Equal(middle, PlainLengths.MiddleLatitude(51.5, -.2, lat, lon) - metres, within);
    }

    [Fact]
    public void AboutOneEndFiveMetresAcrossReadLess()
    {
        // 2000 m at azimuth 30 from 51.47 N; the point truly lies 5.000 m to starboard, 1000 m along.
        PlanePoint At(double lat, double lon) => PlainLengths.Flat(lat, lon, 51.47, -.22);
        var frame = CourseFrame.Between(new PlanePoint(0, 0), At(51.485567076, -.205603732));
        var (_, across) = frame.To(At(51.477761290, -.212740768));
        Assert.Equal(4.914, across, 6e-4);
    }

    [Fact]
    public void AboutTheMiddleTheScaleDriftsAndTheCourseBows()
    {
        var (lat, lon) = Diagonal(5000);
        var (midLat, midLon) = Diagonal(2500);
        PlanePoint At(double a, double b) => PlainLengths.Flat(a, b, midLat, midLon);
        var frame = CourseFrame.Between(At(51.5, -.2), At(lat, lon));
        Assert.Equal(.63, Math.Abs(frame.To(At(midLat, midLon)).Across), 6e-2);

        // A kilometre at each end.
        var (lat1, lon1) = Diagonal(1000);
        var (lat4, lon4) = Diagonal(4000);
        double first = PathShape.Length(At(51.5, -.2), At(lat1, lon1)) - 1000;
        double last = PathShape.Length(At(lat4, lon4), At(lat, lon)) - 1000;
        Assert.InRange(Math.Abs(first), .1, .28);
        Assert.Equal(-first, last, .02);
    }

    [Theory]
    [InlineData(.5, 5, .0102, 3e-4)]
    [InlineData(1.5, 5, .095, 1.5e-3)]
    public void SummingNoisyFixesLengthensATrack(double sd, double step, double simulated, double within)
    {
        Assert.Equal(simulated, PlainLengths.NoiseExcess(sd, step), within);
        Assert.Equal(sd * sd / (step * step), PlainLengths.NoiseExcess(sd, step), sd < 1 ? 1e-4 : 6e-3);
    }

    [Fact]
    public void TheNoiseExcessIsThatOfAMonteCarlo()
    {
        var dice = new Random(4);
        double Normal() => Math.Sqrt(-2 * Math.Log(1 - dice.NextDouble())) * Math.Cos(2 * Math.PI * dice.NextDouble());
        const int N = 200_000;
        double sum = 0;
        for (int i = 0; i < N; i++)
        {
            double e = 5 + 1.5 * (Normal() - Normal()), n = 1.5 * (Normal() - Normal());
            sum += Math.Sqrt(e * e + n * n);
        }

        Assert.Equal(sum / N / 5 - 1, PlainLengths.NoiseExcess(1.5, 5), 4e-3);
    }
}
