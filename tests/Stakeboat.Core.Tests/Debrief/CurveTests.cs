using Stakeboat.Core.Debrief;

namespace Stakeboat.Core.Tests.Debrief;

public class CurveTests
{
    private static readonly Curve Ramp = new([0, 1, 2, 20], [0, 10, 20, 200], [1, 1, 2, 2], 6);

    [Fact]
    public void BetweenSamplesItIsLinear() => Assert.Equal(15, Ramp.At(1.5)!.Value.Mean, 12);

    [Theory]
    [InlineData(-0.1)]
    [InlineData(20.1)]
    [InlineData(10)]
    public void OutsideAndInsideGapsItSaysNothing(double t) => Assert.Null(Ramp.At(t));

    [Fact]
    public void FirstReachesInterpolates() => Assert.Equal(1.25, Ramp.FirstReaches(12.5)!.Value, 12);

    [Fact]
    public void TimeThatDoesNotRiseIsRefused() => Assert.Throws<ArgumentException>(() => new Curve([0, 0], [1, 1], [1, 1]));
}
