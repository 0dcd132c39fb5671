using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Tests.Numerics;

/// <summary>Quantiles of chi-square (standard tables), and where the Nile's step lies (R's strucchange 1.5-3: 95 % interval 1895-1902).</summary>
public class GatesPublished
{
    [Theory]
    [InlineData(.99, 1, 6.634897)]
    [InlineData(.99, 2, 9.210340)]
    [InlineData(.999, 2, 13.815511)]
    public void ChiSquareGates(double p, int degrees, double value) => Assert.Equal(value, ChiSquare.Quantile(p, degrees), 6e-7);

    [Theory]
    [InlineData(0, 1)]
    [InlineData(1, 1)]
    [InlineData(.5, 3)]
    public void NonsenseIsRefused(double p, int degrees) => Assert.Throws<ArgumentOutOfRangeException>(() => ChiSquare.Quantile(p, degrees));

    [Fact]
    public void TheDistributionOfTheBreakIsSymmetricForEqualVariances()
    {
        Assert.Equal(0.5, ChangeInterval.Below(0, 1), 9);
        Assert.Equal(1, ChangeInterval.Below(7, 1) + ChangeInterval.Below(-7, 1), 9);

        // Bai 1997: the 95 % and 90 % intervals of the standard case reach to 11 and 7.
        Assert.Equal(.975, ChangeInterval.Below(11.03, 1), 1e-3);
        Assert.Equal(.95, ChangeInterval.Below(7.69, 1), 1e-3);
    }

    [Fact]
    public void TheNilesStepLiesBetween1895And1902()
    {
        var (low, high) = ChangeInterval.Of(SmoothingPublished.Nile, 28, .95);
        Assert.Equal((1895, 1902), (1870 + low, 1870 + high));
    }

    [Fact]
    public void TheNilesTwoLevels()
    {
        Assert.Equal(1097.75, SmoothingPublished.Nile[..28].Average(), 6e-3);
        Assert.Equal(849.9722, SmoothingPublished.Nile[28..].Average(), 6e-5);
    }

    [Fact]
    public void TheLikelihoodIsFlatAboutItsTop()
    {
        // statsmodels 0.13.5 stops at 15067.6 and 1484.8 with -633.464642; R's StructTS at 15098.577 and 1469.1466.
        double At(double eps, double level) => LocalLevel.Smooth(SmoothingPublished.Nile, eps, level).LogLikelihood - 0.5 * Math.Log(2 * Math.PI);
        Assert.Equal(-633.464642, At(15067.6, 1484.8), 6e-6);
        Assert.Equal(-633.464564, At(15098.577, 1469.1466), 6e-7);
    }
}
