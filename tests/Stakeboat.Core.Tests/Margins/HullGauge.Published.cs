using Stakeboat.Core.Boats;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Margins;

/// <summary>How margins are spoken and what they mean in an eight: the trade's table (17.6 m, seats 1.4 m apart, bow seat 4.2 m, coxswain 15.4 m).</summary>
public class HullGaugePublished
{
    private static readonly HullGauge Eights = new(BoatClass.Eight.Geometry, BoatClass.Eight.Geometry);

    [Theory]
    [InlineData(8, 1.4)]
    [InlineData(3, 8.4)]
    [InlineData(1, 11.2)]
    public void OurCoxswainOnTheirSeat(int seat, double metres)
    {
        var range = Eights.CoxOnSeat(seat)!.Value;
        Assert.Equal(metres, range.Middle, 9);
        Assert.Equal(1.4, range.High - range.Low, 9);
    }

    [Theory]
    [InlineData(1, -4.2)]
    [InlineData(3, -7.0)]
    [InlineData(8, -14.0)]
    public void OurBowBallOnTheirSeat(int seat, double metres) => Assert.Equal(metres, Eights.BowOnSeat(seat)!.Value.Middle, 9);

    [Fact]
    public void LengthsCanvasAndOpenWater()
    {
        Assert.Equal(17.6, Eights.Lengths(1).Middle, 9);
        Assert.Equal(8.8, Eights.Lengths(0.5).Middle, 9);
        Assert.Equal(13.2, Eights.Lengths(0.75).Middle, 9);
        Assert.Equal(3.4, Eights.CanvasBy(1).Middle, 9);
        Assert.Equal(-3.4, Eights.CanvasBy(-1).Middle, 9);
        Assert.Equal(17.6, Eights.OpenWater(1).Low, 9);
        Assert.Equal(double.PositiveInfinity, Eights.OpenWater(1).High);
        Assert.Equal(-17.6, Eights.OpenWater(-1).High, 9);
        Assert.Equal(26.4, Eights.OpenWater(1, 0.5).Middle, 9); // "half a length of open water": 1.5 L
    }

    [Fact]
    public void OurBowBallOnTheirCoxswainAndOurCoxswainOnTheirBowBall()
    {
        var cox = BoatClass.Eight.Geometry.Cox!.Value;
        Assert.Equal(-15.4, Eights.Level(Distance.Zero, cox).Middle, 9);
        Assert.Equal(15.4, Eights.Level(cox, Distance.Zero).Middle, 9);
        Assert.Equal(11, -Eights.ToSeats(Distance.FromMetres(-15.4)), 9);
    }

    [Theory]
    [InlineData(1.4, 0.255)]
    [InlineData(8.4, 1.527)]
    [InlineData(17.6, 3.2)]
    public void SecondsAtFiveAndAHalf(double metres, double seconds) =>
        Assert.Equal(seconds, HullGauge.ToTime(Distance.FromMetres(metres), SpeedOverGround.FromMetresPerSecond(5.5)).Seconds, 3);

    /// <summary>M8+ 2004 heat 2: 0.61 s between crews at 6.253 m/s were called two and a half seats: 3.81 m, 1.53 m a seat.</summary>
    [Fact]
    public void ACalledVerdictAgainstTheClock()
    {
        var gap = HullGauge.FromTime(Duration.FromSeconds(0.61), SpeedOverGround.FromMetresPerSecond(6.253));
        Assert.Equal(3.81, gap.Metres, 2);
        Assert.InRange(Eights.ToSeats(gap), 2.5, 2.9);
    }

    [Fact]
    public void EachHullCountsWithItsOwnGeometry()
    {
        var four = BoatClass.FourBowCoxed.Geometry;
        var mixed = new HullGauge(BoatClass.Eight.Geometry, four);
        Assert.Equal(15.4 - four.Seat(4).Metres, mixed.CoxOnSeat(4)!.Value.Middle, 9);
        Assert.Null(mixed.CoxOnSeat(5));
        Assert.Equal(17.6, mixed.Lengths(1).Middle, 9);
        Assert.Equal(-four.Length.Metres, mixed.Lengths(-1).Middle, 9);
        Assert.Null(new HullGauge(BoatClass.Four.Geometry, four).CoxOnSeat(1));
    }

    [Fact]
    public void MirroredCalls()
    {
        Assert.Equal(4.2 + 3 * 1.4, Eights.TheirBowOnOurSeat(4)!.Value.Middle, 9);
        Assert.Equal(4.2 + 3 * 1.4 - 15.4, Eights.TheirCoxOnOurSeat(4)!.Value.Middle, 9);
    }
}
