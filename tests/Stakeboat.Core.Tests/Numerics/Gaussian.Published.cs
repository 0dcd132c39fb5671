using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Tests.Numerics;

public class GaussianPublished
{
    /// <summary>Upper tails, Abramowitz and Stegun 1964, tables 26.1 and 26.2, from memory checked with SciPy's norm.sf.</summary>
    [Theory]
    [InlineData(0, 0.5)]
    [InlineData(1, 0.15865525393145707)]
    [InlineData(2, 0.022750131948179195)]
    [InlineData(3, 0.0013498980316300933)]
    [InlineData(5, 2.866515718791933e-07)]
    [InlineData(10, 7.619853024160489e-24)]
    [InlineData(20, 2.7536241186061556e-89)]
    [InlineData(-1, 0.8413447460685429)]
    [InlineData(2.8284, 0.0023391)]
    public void Above(double x, double p)
    {
        double tolerance = p == 0.0023391 ? 1e-4 : 1e-12;
        Assert.InRange(Gaussian.Above(x) / p, 1 - tolerance, 1 + tolerance);
        Assert.InRange(Gaussian.LogAbove(x) - Math.Log(p), -tolerance - 1e-13, tolerance + 1e-13);
        Assert.Equal(Gaussian.Above(x), Gaussian.Below(-x));
    }

    [Fact]
    public void TheTailsLogarithmStaysFiniteWhereTheTailIsNot()
    {
        // log Q(x) = -x²/2 - log(x √2π) - 1/x² + 5/(2x⁴) ... for large x.
        double expected = -0.5 * 1e4 - Math.Log(100 * Math.Sqrt(2 * Math.PI)) - 1e-4 + 2.5e-8;
        Assert.Equal(expected, Gaussian.LogAbove(100), 9);
    }

    [Theory]
    [InlineData(0.95, 1.6448536269514722)]
    [InlineData(0.975, 1.959963984540054)]
    [InlineData(0.5, 0)]
    [InlineData(1e-10, -6.361340902404056)]
    public void Quantiles(double p, double x) => Assert.Equal(x, Gaussian.Quantile(p), 11);

    [Fact]
    public void TheTwoMethodsMeetWithoutAStep()
    {
        double at = 2 * Math.Sqrt(2);
        double left = Gaussian.Above(at - 1e-9), right = Gaussian.Above(at + 1e-9);
        Assert.InRange(left - right, 0, 1e-10);
        Assert.InRange(left / right, 1, 1 + 1e-8);
    }
}
