using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Tests.Numerics;

/// <summary>Expectation propagation against an exact reference (importance sampling) on random small races, in seats.</summary>
public class ExpectationPropagationDifferential(ITestOutputHelper output)
{
    /// <summary>Windows, one-sided calls and two readings: every mean within 0.05 seat, every sd within 5 %.</summary>
    [Fact]
    public void SixtyRaces_OfWindowsOneSidedCallsAndTwoReadings()
    {
        var (means, sds) = Compare(gross: false, branch: true, 60);
        Assert.All(means, m => Assert.InRange(m, 0, 0.05));
        Assert.All(sds, s => Assert.InRange(s, 0, 0.05));
    }

    /// <summary>
    /// Calls that may be wrong altogether, of another crew or of the other side leave several modes: branches over the doubtful calls are all of them.
    /// </summary>
    [Fact]
    public void SixtyRaces_WithGrossErrorsAndWrongCrews()
    {
        var (means, sds) = Compare(gross: true, branch: true, 60);
        Assert.All(means, m => Assert.InRange(m, 0, 0.05));
        Assert.All(sds, s => Assert.InRange(s, 0, 0.05));
    }

    /// <summary>The check can fail: one normal alone is another answer there.</summary>
    [Fact]
    public void WithoutBranches_OneNormalIsNotTwoModes()
    {
        var (means, sds) = Compare(gross: true, branch: false, 12);
        Assert.True(means.Count(m => m > 0.05) > 2);
        Assert.True(sds.Count(s => s > 0.05) > 6);
    }

    private (List<double> Means, List<double> Sds) Compare(bool gross, bool branch, int races)
    {
        var means = new List<double>();
        var sds = new List<double>();
        double least = double.PositiveInfinity;
        int most = 0;
        for (int seed = 1; seed <= races; seed++)
        {
            var race = new SmallRace(seed, gross);
            var found = race.Propagated(branch, out _, out var modes);
            most = Math.Max(most, modes.Count);
            if (!branch)
            {
                race.Propagated(true, out _, out modes); // to propose from
            }

            var exact = race.Exact(20_000, seed, modes, out double effective);
            least = Math.Min(least, effective);
            for (int i = 0; i < found.Length; i++)
            {
                // Three standard errors of the reference are its own.
                double error = exact[i].Sd / Math.Sqrt(effective);
                double m = Math.Max(0, Math.Abs(found[i].Mean - exact[i].Mean) - 3 * error);
                double s = Math.Max(0, Math.Abs(found[i].Sd / exact[i].Sd - 1) - 3 / Math.Sqrt(2 * effective));
                means.Add(m);
                sds.Add(s);
                if (branch && (m > 0.03 || s > 0.03))
                {
                    output.WriteLine($"seed {seed}, {i}: {found[i].Mean:0.000} ± {found[i].Sd:0.000}, exact {exact[i].Mean:0.000} ± {exact[i].Sd:0.000} ({effective:0}), {modes.Count} modes");
                }
            }
        }

        output.WriteLine($"{means.Count} margins: worst mean {means.Max():0.000} seats, worst sd {100 * sds.Max():0.0} %; within 0.05 seat {means.Count(m => m < 0.05)}, within 5 % {sds.Count(s => s < 0.05)}; at most {most} modes, at least {least:0} effective draws");
        Assert.True(least > 1000, $"{least:0} effective draws are too few for a reference.");
        return (means, sds);
    }
}
