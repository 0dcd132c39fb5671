using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Tests.Numerics;

/// <summary>The smoother against closed forms and a worked series: values agree with batch least squares to 4e-13 and with SciPy's Riccati solution.</summary>
public class GaussianChainPublished
{
    private static readonly Functional Place = Functional.Of((0, 1)), Speed = Functional.Of((1, 1));

    private static ChainStep Step(double h, double q, double? z, double r)
    {
        var step = new ChainStep(
            h == 0 ? [] : [StateOp.Add(0, 1, h)],
            h == 0 ? [] : [new(0, 0, q * h * h * h / 3), new(0, 1, q * h * h / 2), new(1, 1, q * h)], Place);
        if (z is { } value)
        {
            step.Precision = 1 / r;
            step.Shift = value / r;
        }

        return step;
    }

    private static GaussianChain Five()
    {
        double[] z = [0.5, 4, 11.5, 15, 19];
        var chain = new GaussianChain([0, 5], [25, 0, 0, 4], [.. z.Select((v, i) => Step(i == 0 ? 0 : 1, 0.1, v, 9))]);
        chain.Smooth(keepCovariance: true);
        return chain;
    }

    [Fact]
    public void FivePointsOfConstantSpeed()
    {
        var chain = Five();
        double[] place = [0.27194675, 5.13246471, 9.98888169, 14.83495643, 19.67384958];
        for (int i = 0; i < 5; i++)
        {
            Assert.Equal(place[i], chain.Mean(i, Place), 7);
        }

        Assert.Equal(4.86200191, chain.Mean(0, Speed), 7);
        Assert.Equal(4.83764528, chain.Mean(4, Speed), 7);
        Assert.Equal(3.99055404, chain.Variance(0, Place), 7);
    }

    [Fact]
    public void LogLikelihoodOfTheFivePoints()
    {
        // The chain leaves out each site's own constant: log N(z; y, r) = shift y - precision y²/2 - (z²/r + log 2πr)/2.
        double[] z = [0.5, 4, 11.5, 15, 19];
        double constant = z.Sum(v => -0.5 * (v * v / 9 + Math.Log(2 * Math.PI * 9)));
        Assert.Equal(-12.591014352, Five().LogMass + constant, 8);
    }

    [Fact]
    public void AChangeNeedsTheCovarianceOfItsEnds()
    {
        var chain = Five();
        double[] c = chain.Covariances([(0, Place), (4, Place)]);
        Assert.Equal(19.401903, chain.Mean(4, Place) - chain.Mean(0, Place), 6);
        Assert.Equal(3.264524, Math.Sqrt(c[0] + c[3] - 2 * c[1]), 6);
        Assert.Equal(2.960983, Math.Sqrt(c[0] + c[3]), 5);
    }

    [Fact]
    public void MiddleOfABridge_OfARandomWalk()
    {
        // q T / 4 with q 0.02, T 100.
        ChainStep Walk(double h, double? z) => new(
            [], h == 0 ? [] : [new NoiseEntry(0, 0, 0.02 * h)], Place) { Precision = z is null ? 0 : 1e10, Shift = 0 };
        var chain = new GaussianChain([0], [1e4], [Walk(0, 0), Walk(50, null), Walk(50, 0)]);
        chain.Smooth(keepCovariance: true);
        Assert.Equal(0.5, chain.Variance(1, Place), 6);
    }

    [Fact]
    public void MiddleOfABridge_OfAnIntegratedWalk()
    {
        // q T³ / 48 with a flat rate prior, q 2e-5, T 100.
        var chain = new GaussianChain([0, 0], [1, 0, 0, 1e4], [Step(0, 2e-5, 0, 1e-8), Step(50, 2e-5, null, 1), Step(50, 2e-5, 0, 1e-8)]);
        chain.Smooth(keepCovariance: true);
        Assert.Equal(0.416667, chain.Variance(1, Place), 5);
    }

    [Theory]
    [InlineData(0.1, 9, 1.820331, 0.624037)]
    [InlineData(0.5, 2.25, 1.182299, 0.905937)]
    public void SteadyStateOfWhiteAcceleration(double q, double r, double placeSd, double speedSd)
    {
        var chain = new GaussianChain([0, 0], [100, 0, 0, 100], [.. Enumerable.Range(0, 300).Select(i => Step(i == 0 ? 0 : 1, q, 0, r))]);
        chain.Smooth(keepCovariance: true);

        // The last smoothed state is the filtered one.
        Assert.Equal(placeSd, Math.Sqrt(chain.Variance(299, Place)), 5);
        Assert.Equal(speedSd, Math.Sqrt(chain.Variance(299, Speed)), 5);
    }
}
