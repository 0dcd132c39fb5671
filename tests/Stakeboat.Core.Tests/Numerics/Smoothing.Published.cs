using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Tests.Numerics;

/// <summary>
/// Closed forms of steady gains (Kalata 1984; SciPy's Riccati solution agrees to 1e-14), a five-point smoothing example whose batch least squares
/// agrees to 4e-13, robust locations, and the Nile's level (Durbin and Koopman; statsmodels 0.13.5).
/// </summary>
public class SmoothingPublished
{
    internal static readonly double[] Nile =
    [
        1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180, 799, 958, 1140, 1100, 1210, 1150, 1250, 1260,
        1220, 1030, 1100, 774, 840, 874, 694, 940, 833, 701, 916, 692, 1020, 1050, 969, 831, 726, 456, 824, 702, 1120, 1100, 832, 764, 821, 768, 845,
        864, 862, 698, 845, 744, 796, 1040, 759, 781, 865, 845, 944, 984, 897, 822, 1010, 771, 676, 649, 846, 812, 742, 801, 1040, 860, 874, 848, 890,
        744, 749, 838, 1050, 918, 986, 797, 923, 975, 815, 1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
    ];

    [Theory]
    [InlineData(1, .75, .5)]
    [InlineData(.1, .36, .08)]
    [InlineData(.5, .628373457, .304805898)]
    public void AlphaBetaGains(double index, double alpha, double beta)
    {
        var (a, b) = SteadyGains.AlphaBeta(index);
        Assert.Equal(alpha, a, 8.0e-10);
        Assert.Equal(beta, b, 8.0e-10);
        Assert.Equal(index * index, b * b / (1 - a), 12);
    }

    [Theory]
    [InlineData(.1, 1, 9, .368178243, .083786883, 1.820331, .624037)]
    [InlineData(.5, 1, 2.25, .621258206, .290111777, 1.182299, .905937)]
    public void WhiteAccelerationGains(double q, double t, double r, double alpha, double beta, double position, double speed)
    {
        var g = SteadyGains.WhiteAcceleration(q, t, r);
        Assert.Equal(alpha, g.Alpha, 6e-10);
        Assert.Equal(beta, g.Beta, 6e-10);
        Assert.Equal(position, g.PositionSd, 6e-7);
        Assert.Equal(speed, g.SpeedSd, 6e-7);
    }

    [Fact]
    public void LocalLevelGain()
    {
        Assert.Equal(.2670563, SteadyGains.LocalLevel(.0973050), 6e-8);
        Assert.Equal(4032.160, SteadyGains.LocalLevel(1469.163 / 15098.54) * 15098.54, 6e-3);
    }

    private sealed class ConstantSpeed : IStateModel
    {
        public int Size => 2;

        public int Nodes => 5;

        public void Step(int node, Span<double> f, Span<double> u, Span<double> q)
        {
            (f[0], f[1], f[2], f[3]) = (1, 1, 0, 1);
            u.Clear();
            (q[0], q[1], q[2], q[3]) = (.1 / 3, .1 / 2, .1 / 2, .1);
        }
    }

    [Fact]
    public void FivePointsWithTheVarianceOfAChange()
    {
        double[] z = [.5, 4, 11.5, 15, 19];
        var observations = z.Select((v, i) => new Observation(i, 0, v, 9)).ToArray();
        var smoother = new StateSmoother(new ConstantSpeed(), [[1, 0]], [0, 5], [25, 0, 0, 4]);
        var run = smoother.Run(observations);
        double[] expected = [.27194675, 5.13246471, 9.98888169, 14.83495643, 19.67384958];
        for (int i = 0; i < 5; i++)
        {
            Assert.Equal(expected[i], run.At(i, 0), 6e-9);
        }

        Assert.Equal(4.86200191, run.At(0, 1), 6e-9);
        Assert.Equal(4.83764528, run.At(4, 1), 6e-9);
        Assert.Equal(3.99055404, run.CovarianceAt(0, 0, 0), 6e-9);
        Assert.Equal(-12.591014352, run.LogLikelihood, 6e-10);
        Assert.Equal(run.LogLikelihood, smoother.Evidence(observations), 12);
        double apart = run.CovarianceAt(0, 0, 0) + run.CovarianceAt(4, 0, 0);
        Assert.Equal(19.401903, run.At(4, 0) - run.At(0, 0), 6e-7);
        Assert.Equal(3.264524, Math.Sqrt(apart - 2 * run.CovarianceBetween(0, 0, 4, 0)), 6e-7);
        Assert.Equal(2.960983, Math.Sqrt(apart), 6e-7);
    }

    [Fact]
    public void NileLevelAndLikelihood()
    {
        var (level, variance, log) = LocalLevel.Smooth(Nile, 15098.54, 1469.163);
        Assert.Equal(-632.545625, log, 6e-7);
        Assert.Equal(-633.464564, log - 0.5 * Math.Log(2 * Math.PI), 6e-7);
        Assert.Equal(1111.6686, level[0], 6e-5);
        Assert.Equal(999.5858, level[27], 6e-5);
        Assert.Equal(798.3677, level[99], 6e-5);
        Assert.Equal(4032.1602, variance[0], 6e-4);
        Assert.Equal(2326.7694, variance[27], 6e-4);
        Assert.Equal(4032.1602, variance[99], 6e-4);
    }

    [Fact]
    public void NileWithFortyYearsMissing()
    {
        var y = (double[])Nile.Clone();
        for (int i = 20; i < 40; i++)
        {
            y[i] = y[i + 40] = double.NaN;
        }

        var (level, variance, _) = LocalLevel.Smooth(y, 15098.54, 1469.163);
        Assert.Equal(999.7133, level[19], 6e-5);
        Assert.Equal(3614.419, variance[19], 6e-3);
        Assert.Equal(903.4204, level[29], 6e-5);
        Assert.Equal(9715.337, variance[29], 6e-3);
        Assert.Equal(837.1764, level[69], 6e-5);
        Assert.Equal(9715.337, variance[69], 6e-3);
    }

    [Fact]
    public void OneOrMoreStepsOfTheNile()
    {
        double[] information = [1318, 1270, 1276, 1285, 1292, 1311];
        for (int m = 0; m <= 5; m++)
        {
            Assert.Equal(information[m], SteppedMean.Information(SteppedMean.Best(Nile, m, 15).SquaredError, 100, m), 0.5);
        }

        Assert.Equal(2835156.75, SteppedMean.Best(Nile, 0, 15).SquaredError, 6);
        Assert.Equal([28], SteppedMean.Best(Nile, 1, 15).After);
        Assert.Equal([28, 83], SteppedMean.Best(Nile, 2, 15).After);
        Assert.Equal(1552924, SteppedMean.Best(Nile, 2, 15).SquaredError, 0.6);
        var p = SteppedMean.Posterior(Nile, 2, 98);
        Assert.Equal(.7643, p[28], 6e-5);
        Assert.Equal(.1209, p[27], 6e-5);
        Assert.Equal(.0571, p[26], 6e-5);
        Assert.Equal(.0442, p[29], 6e-5);
    }

    [Fact]
    public void LocationOfSixNumbersOneOfThemWild()
    {
        double[] x = [4.9, 5, 5.1, 5.2, 5.05, 12];
        Assert.Equal(5.075, RobustLocation.Median(x), 12);
        Assert.Equal(5.1038, RobustLocation.Huber(x, 0.2), 6e-5);
        Assert.Equal(5.0554297, RobustLocation.StudentT(x, 0.2, 4), 6e-8);
    }
}
