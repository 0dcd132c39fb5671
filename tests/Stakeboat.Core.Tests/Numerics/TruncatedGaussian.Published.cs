using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Tests.Numerics;

/// <summary>Moments of a normal seen through a soft window: values computed independently with nine digits.</summary>
public class TruncatedGaussianPublished
{
    [Theory]
    [InlineData(0, 4, 1, 2, 0.5, 1.384355576, 0.308087177, 0.147825169)]
    [InlineData(3, 1, double.NegativeInfinity, 2, 0.5, 1.710907542, 0.369514601, double.NaN)]
    [InlineData(0, 4, 1, 2, 0, 1.469080918, 0.082071981, double.NaN)]
    [InlineData(0, 1, 0, 1, 0, 0.459862229, 0.079651825, double.NaN)]
    [InlineData(0, 1, 5, 6, 0, 5.183147091, 0.029452430, 2.85664984e-7)]
    public void Moments(double mean, double variance, double lo, double hi, double softness, double cutMean, double cutVariance, double mass)
    {
        var m = TruncatedGaussian.Moments(mean, variance, lo, hi, softness);
        Assert.Equal(cutMean, m.Mean, 8);
        Assert.Equal(cutVariance, m.Variance, 8);
        if (!double.IsNaN(mass))
        {
            Assert.Equal(1, Math.Exp(m.LogMass) / mass, 8);
        }

        var mirror = TruncatedGaussian.Moments(-mean, variance, -hi, -lo, softness);
        Assert.Equal(-m.Mean, mirror.Mean, 12);
        Assert.Equal(m.Variance, mirror.Variance, 12);
        Assert.Equal(m.LogMass, mirror.LogMass, 10);
    }
}
