using CsCheck;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Units;

public class QuantitiesTests
{
    [Fact]
    public void PaceHasNoPlus() =>
        Assert.DoesNotContain(typeof(Pace).GetMethods(), m => m.Name is "op_Addition" or "op_Subtraction" or "op_Multiply");

    [Fact]
    public void PaceOfTwoPiecesGoesThroughDistanceAndTime()
    {
        // 500 m in 90 s and 500 m in 110 s: 1000 m in 200 s is 1:40. 250 m at each pace is the same by symmetry of distance,
        // but a minute at each pace is not: (500/90 + 500/110) * 60 m in 120 s is 99.0 s per 500 m.
        Assert.Equal(100, Pace.Over(Distance.FromMetres(1000), Duration.FromSeconds(200)).SecondsPer500, 12);
        var metres = Distance.FromMetres((500.0 / 90 + 500.0 / 110) * 60);
        Assert.Equal(99, Pace.Over(metres, Duration.FromSeconds(120)).SecondsPer500, 9);
    }

    [Fact]
    public void MetresPerStroke_AnEightAtThirtySix()
    {
        // 2000 m in 6:00 is 5.5556 m/s; at 36 strokes a minute 9.259 m a stroke.
        var v = Distance.FromMetres(2000) / Duration.FromMinutes(6);
        Assert.Equal(9.259, StrokeRate.FromPerMinute(36).PerStroke(v).Metres, 3);
    }

    [Theory]
    [InlineData(350, 10, 20)]
    [InlineData(10, 350, -20)]
    [InlineData(0, 180, 180)]
    [InlineData(180, 0, 180)]
    [InlineData(90, 90, 0)]
    public void BearingTurnsTheShortWay(double from, double to, double turn) =>
        Assert.Equal(turn, Bearing.FromDegrees(from).To(Bearing.FromDegrees(to)).Degrees, 9);

    [Fact]
    public void PaceAndSpeedAreInverse() =>
        Gen.Double[0.1, 20].Sample(v =>
        {
            var speed = SpeedOverGround.FromMetresPerSecond(v);
            Assert.Equal(v, speed.ToPace().ToSpeed().MetresPerSecond, 12);
        });

    [Fact]
    public void StreamCancels() =>
        Gen.Select(Gen.Double[0, 7], Gen.Double[-3, 3]).Sample((v, c) =>
            Assert.Equal(v, SpeedOverGround.FromMetresPerSecond(v).ThroughWater(c).OverGround(c).MetresPerSecond, 12));
}
