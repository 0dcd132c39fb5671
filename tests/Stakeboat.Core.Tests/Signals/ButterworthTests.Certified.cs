using Stakeboat.Core.Signals;

namespace Stakeboat.Core.Tests.Signals;

/// <summary>Against SciPy 1.10.1: signal.butter(..., output="sos") and signal.sosfiltfilt with their default padding.</summary>
public class ButterworthCertifiedTests
{
    [Fact]
    public void BandPassOfSecondOrderFromAFifthOfAHertzToSix()
    {
        var s = Butterworth.BandPass(2, 0.2, 6, 100);
        Assert.Equal(2, s.Length);
        Near(new Section(0.026226015418, 0.052452030835, 0.026226015418, -1.50185024957, 0.608078283686), s[0]);
        Near(new Section(1, -2, 1, -1.982300446065, 0.982467199858), s[1]);
        Assert.Equal(.70710678, Butterworth.Magnitude(s, 0.2, 100), 8);
        Assert.Equal(.99827652, Butterworth.Magnitude(s, 0.6, 100), 8);
        Assert.Equal(.99999912, Butterworth.Magnitude(s, 1.0, 100), 8);
        Assert.Equal(.70710678, Butterworth.Magnitude(s, 6, 100), 8);
    }

    [Fact]
    public void BandPassOfSecondOrderFromAFifthOfAHertzToSixFifths()
    {
        var s = Butterworth.BandPass(2, 0.2, 1.2, 100);
        Near(new Section(9.446918438402e-4, 2 * 9.446918438402e-4, 9.446918438402e-4, -1.924847909208, .9291988384384), s[0]);
        Near(new Section(1, -2, 1, -1.984495800297, .9846932614974), s[1]);
        Assert.Equal(.86601099, Butterworth.Magnitude(s, 1, 100), 8);
    }

    [Fact]
    public void ZeroPhaseSamplesAndAutocorrelation()
    {
        var y = SectionFilter.ZeroPhase(Butterworth.BandPass(2, 0.2, 6, 100), TwoTones());
        Assert.Equal(-.08505089, y[100], 8);
        Assert.Equal(-.01174554, y[500], 8);
        Assert.Equal(.35990984, y[900], 8);
        var r = Correlation.Biased(TwoTones(), 400);
        int lag = 1;
        while (!(r[lag] > r[lag - 1] && r[lag] >= r[lag + 1]))
        {
            lag++;
        }

        Assert.Equal(167, lag);
        Assert.Equal(.8332276, r[lag], 7);
    }

    [Fact]
    public void OneSampleAtATimeIsTheSameAsTheWholeArray()
    {
        var sections = Butterworth.BandPass(2, 0.2, 6, 100);
        var x = TwoTones();
        var whole = (double[])x.Clone();
        new SectionFilter(sections).Run(whole);
        var single = new SectionFilter(sections);
        for (int i = 0; i < x.Length; i++)
        {
            Assert.Equal(whole[i], single.Step(x[i]), 12);
        }
    }

    private static double[] TwoTones()
    {
        var x = new double[1000];
        for (int i = 0; i < x.Length; i++)
        {
            double t = i / 100.0;
            x[i] = Math.Sin(2 * Math.PI * 0.6 * t) + (0.5 * Math.Sin(2 * Math.PI * 1.2 * t)) + 3;
        }

        return x;
    }

    private static void Near(Section expected, Section actual)
    {
        Assert.Equal(expected.B0, actual.B0, 10);
        Assert.Equal(expected.B1, actual.B1, 10);
        Assert.Equal(expected.B2, actual.B2, 10);
        Assert.Equal(expected.A1, actual.A1, 10);
        Assert.Equal(expected.A2, actual.A2, 10);
    }
}
