using Stakeboat.Core.Line;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Core.Tests.Line;

/// <summary>Closed forms of shortest ways, and the funnel and the least-bending way held to them.</summary>
public class WaysPublished
{
    private static List<Gate> Annulus(double inner, double outer, double degrees, int chords)
    {
        // The boat goes counter-clockwise about the middle: the inside is to port.
        PlanePoint At(double r, int i) => new(r * Math.Cos(degrees * Math.PI / 180 * i / chords), r * Math.Sin(degrees * Math.PI / 180 * i / chords));
        return [.. Enumerable.Range(0, chords + 1).Select(i => new Gate(At(inner, i), At(outer, i)))];
    }

    [Fact]
    public void RoundABend()
    {
        Assert.Equal(369.552329, ShortestWay.RoundBend(100, 150, Math.PI), 6e-7);
        Assert.Equal(212.132034, ShortestWay.RoundBend(100, 150, Math.PI / 2), 6e-7);
    }

    [Theory]
    [InlineData(180, 369.5505, 6e-5)]
    [InlineData(90, 212.132034, 6e-7)]
    public void TheFunnelRoundsABend(double degrees, double expected, double within)
    {
        var start = new PlanePoint(150, 0);
        var finish = new PlanePoint(150 * Math.Cos(degrees * Math.PI / 180), 150 * Math.Sin(degrees * Math.PI / 180));
        var way = ShortestWay.Through(start, Annulus(100, 200, degrees, 180), finish);
        Assert.Equal(expected, ShortestWay.Length(way), within);
    }

    [Fact]
    public void TheFunnelTurnsAtTheCornerOfAnL()
    {
        // Up a channel one wide, then to starboard at (1, 9).
        List<Gate> gates = [new(new(0, 9), new(1, 9)), new(new(1, 10), new(1, 9)), new(new(10, 10), new(10, 9))];
        var way = ShortestWay.Through(new(.5, 0), gates, new(10, 9.5));
        Assert.Equal([new(.5, 0), new(1, 9), new(10, 9.5)], way);
        Assert.Equal(18.027756, ShortestWay.Length(way), 6e-7);
    }

    [Fact]
    public void TheMirroredChannelIsAsLong()
    {
        List<Gate> gates = [new(new(-1, 9), new(0, 9)), new(new(-1, 9), new(-1, 10)), new(new(-10, 9), new(-10, 10))];
        Assert.Equal(18.027756, ShortestWay.Length(ShortestWay.Through(new(-.5, 0), gates, new(-10, 9.5))), 6e-7);
    }

    [Fact]
    public void AnOpenChannelIsStraight() =>
        Assert.Equal(2, ShortestWay.Through(new(0, 0), [new(new(-5, 10), new(5, 10)), new(new(-5, 20), new(5, 20))], new(1, 30)).Count);

    [Fact]
    public void ALaneFartherOutOnABend() => Assert.Equal(21.2058, ShortestWay.LaneExtra(Math.PI / 2, 13.5), 6e-5);

    [Fact]
    public void InAStraightCorridorNothingBends()
    {
        var (way, settled) = SmoothestWay.Through([.. Enumerable.Range(0, 20).Select(i => new Gate(new(-5 - i % 3, 10 * i), new(5 + i % 2, 10 * i)))]);
        Assert.True(settled);
        Assert.Equal(0, SmoothestWay.Bending(way), 1e-9);
    }

    [Fact]
    public void InAnAnnulusTheWayBendsLessThanItsMiddle()
    {
        var (way, settled) = SmoothestWay.Through(Annulus(100, 140, 90, 40));
        Assert.True(settled);
        double most = 0, least = double.PositiveInfinity, farthest = 0;
        for (int i = 1; i + 1 < way.Count; i++)
        {
            most = Math.Max(most, PathShape.Curvature(way[i - 1], way[i], way[i + 1]));
            least = Math.Min(least, PathShape.Length(new(0, 0), way[i]));
            farthest = Math.Max(farthest, PathShape.Length(new(0, 0), way[i]));
        }

        Assert.True(most < 1 / 120.0, $"{most}");

        // SciPy 1.10.1, optimize.lsq_linear on the same program.
        Assert.Equal(0.006664563486, most, 1e-8);
        Assert.True(least >= 100 - 1e-9 && farthest <= 140 + 1e-9);
        var middle = Annulus(120, 120, 90, 40).ConvertAll(g => g.Port);
        Assert.True(SmoothestWay.Bending(way) < SmoothestWay.Bending(middle));
    }

    // 3 % more drag for 20 s at 5.7 m/s: 1.1 m. Exact for small shares.
    [Fact]
    public void ARudderCostsMetres()
    {
        Assert.Equal(1.1, SteeringCost.Metres(.03, 20, 5.7), 0.06);
        Assert.Equal(-.01, SteeringCost.SpeedAtConstantPower(.03), 12);
        Assert.Equal(-.015, SteeringCost.SpeedAtConstantForce(.03), 12);
        Assert.Equal(Math.Pow(1.03, -1.0 / 3) - 1, SteeringCost.SpeedAtConstantPower(.03), 3e-4);
    }
}
