using Stakeboat.Core.Line;

namespace Stakeboat.Core.Tests.Line;

public class LineRowedTests
{
    /// <summary>A path at 5 m/s, sampled once a second, turned to bear 30 degrees off east.</summary>
    private static LineRowed Rowed(Func<double, double> across, double length, double noise = 0, int seed = 1)
    {
        int n = (int)(length / 5) + 1;
        var random = new Random(seed);
        double[] t = new double[n], e = new double[n], no = new double[n];
        double c = Math.Cos(Math.PI / 6), s = Math.Sin(Math.PI / 6);
        for (int i = 0; i < n; i++)
        {
            double x = 5.0 * i, y = across(x) + noise * Normal(random), xn = x + noise * Normal(random);
            t[i] = i;
            e[i] = xn * c + y * s;
            no[i] = xn * s - y * c;
        }

        return LineRowed.Fit(t, e, no)!;
    }

    private static double Normal(Random r) => Math.Sqrt(-2 * Math.Log(1 - r.NextDouble())) * Math.Cos(2 * Math.PI * r.NextDouble());

    [Fact]
    public void AStraightLineCostsNothing()
    {
        var line = Rowed(_ => 0, 2000);
        Assert.True(line.Straight);
        Assert.Equal(0, line.Extra.Mean, 9);
        Assert.Equal(2000, line.Along[^1], 6);
    }

    // y = A sin(2 pi x / lambda), A 2 m, lambda 200 m: 1.972 m in 2 km (exact by the elliptic integral). The smoothing of 1.5 s keeps
    // exp(-(2 pi 7.5 / 200)^2) = 0.946 of the slope's square.
    [Fact]
    public void ASineWeaveCostsWhatTheEllipticIntegralSays()
    {
        var line = Rowed(x => 2 * Math.Sin(2 * Math.PI * x / 200), 2000);
        Assert.InRange(line.Extra.Mean, 1.972 * 0.92, 1.972 * 0.96);
        Assert.InRange(line.Weave, 1.8, 2.05);
        Assert.Equal(Math.Sqrt(2), line.AcrossSd, 1);
    }

    [Fact]
    public void PositiveAcrossIsToStarboard()
    {
        // Across is measured from the fitted straight: a bulge to starboard in the middle stands out positive there.
        var line = Rowed(x => x is > 900 and < 1100 ? 3 : 0, 2000);
        Assert.True(line.Across[200] > 1.5);
    }

    [Fact]
    public void WhiteNoiseIsTakenOut_AndTheIntervalHoldsTheTruth()
    {
        int held = 0;
        double sum = 0;
        for (int seed = 0; seed < 100; seed++)
        {
            var line = Rowed(x => 2 * Math.Sin(2 * Math.PI * x / 200), 2000, 0.5, seed);
            sum += line.Extra.Mean;
            held += line.Extra.Low90 <= 1.866 && 1.866 <= line.Extra.High90 ? 1 : 0;
        }

        Assert.InRange(sum / 100, 1.75, 2.0);
        Assert.InRange(held, 85, 100);
    }

    [Fact]
    public void ABendIsNoExtraDistance()
    {
        // A quarter circle of radius 1000 m: no straight fits; the slow shape is the reference.
        int n = 315;
        double[] t = new double[n], e = new double[n], no = new double[n];
        for (int i = 0; i < n; i++)
        {
            double a = i * 5.0 / 1000;
            (t[i], e[i], no[i]) = (i, 1000 * Math.Sin(a), 1000 * (1 - Math.Cos(a)));
        }

        var line = LineRowed.Fit(t, e, no)!;
        Assert.False(line.Straight);
        Assert.InRange(line.Extra.Mean, 0, 1.5);
    }

    [Fact]
    public void TooShortAPathGivesNothing() => Assert.Null(LineRowed.Fit(new double[10], new double[10], new double[10]));
}
