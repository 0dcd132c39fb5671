using Stakeboat.Core.Strokes;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Strokes;

/// <summary>Rates from counts and from sound, and their vote. Counted example and standard errors: closed form se(T) = s sqrt(12/(n(n²-1))), Monte Carlo .363 for n 10.</summary>
public class RatesPublished
{
    private static readonly double[] Spoken = [.02, 1.70, 3.31, 5.05, 6.60, 8.41, 9.98, 11.72, 13.30, 15.02];
    private static readonly int[] Numbers = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10];

    [Fact]
    public void TenCountedStrokes()
    {
        var (period, rate, error) = CountedRate.LeastSquares(Spoken, Numbers, null);
        Assert.Equal(1.665758, period, 6e-7);
        Assert.Equal(36.0196, rate, 6e-5);
        Assert.Equal(.114, error, 6e-4);
        var robust = CountedRate.Fit(Spoken, Numbers)!.Value;
        Assert.Equal(36.02, robust.Rate.Mean, 0.1);
        Assert.Equal(RateSource.Counts, robust.Source);
    }

    [Theory]
    [InlineData(10, .357, 6e-4)]
    [InlineData(20, .126, 6e-4)]
    [InlineData(5, 1.03, 6e-3)]
    public void StandardErrorOfARate(int n, double expected, double within)
    {
        var t = new double[n];
        var k = new int[n];
        for (int i = 0; i < n; i++)
        {
            k[i] = i + 1;
            t[i] = i * 60.0 / 36;
        }

        Assert.Equal(expected, CountedRate.LeastSquares(t, k, 0.15).StandardError, within);
    }

    [Fact]
    public void SkippedNumbersAndOneWildInstantDoNoHarm()
    {
        int[] numbers = [1, 2, 4, 5, 7, 8, 9, 10];
        double[] t = [.. numbers.Select(n => 10 + n * 60.0 / 33)];
        t[3] += 2;
        Assert.Equal(33, CountedRate.Fit(t, numbers, 0.15)!.Value.Rate.Mean, 0.35);
    }

    [Fact]
    public void ImpulsesOf1600MillisecondsGiveThirtySevenAndAHalf()
    {
        var envelope = new double[6000];
        for (int i = 0; i < envelope.Length; i += 160)
        {
            envelope[i] = 1;
        }

        var found = SoundRate.Find(envelope);
        Assert.NotEmpty(found);
        Assert.All(found, r => Assert.Equal(37.5, r.Rate.Mean, 0.05));
    }

    [Fact]
    public void SoundFollowsAStepOfTheRateInNoise()
    {
        var dice = new Random(5);
        var envelope = new double[12000];
        for (int i = 0; i < envelope.Length; i++)
        {
            envelope[i] = 0.25 * Math.Abs(dice.NextDouble() + dice.NextDouble() - 1);
        }

        for (double t = 0.3; t < 119; t += t < 60 ? 60.0 / 30 : 60.0 / 36)
        {
            envelope[(int)(t * 100) + dice.Next(-3, 4)] += 1;
        }

        var found = SoundRate.Find(envelope);
        int right = found.Count(r => Math.Abs(r.Rate.Mean - (r.Seconds < 60 ? 30 : 36)) < 1.5);
        Assert.True(right >= 0.85 * found.Count, $"{right} of {found.Count}");
    }

    [Fact]
    public void TheVoteSetsOctavesAndAliasesRightAndShowsWhoDisagrees()
    {
        RateReading R(double rate, double sd, RateSource s) => new(100, new Estimate(rate, sd), s);
        var merged = RateVote.At(100,
            [R(36, .3, RateSource.Motion), R(18.1, .3, RateSource.Counts), R(24.2, .4, RateSource.SlowFixes), R(29, .4, RateSource.Sound)])!;
        Assert.Equal(36, merged.Rate.Mean, 0.3);
        Assert.Equal([RateSource.Motion, RateSource.Counts, RateSource.SlowFixes], merged.Agreeing);
        Assert.Equal(2, merged.Changed.Count);
        Assert.Equal(RateSource.Sound, Assert.Single(merged.Disagreeing).Source);
    }

    [Fact]
    public void AgreeingSourcesAreMergedByPrecision()
    {
        var merged = RateVote.At(0, [new(0, new Estimate(30, 1), RateSource.Motion), new(0, new Estimate(31, .5), RateSource.FastFixes)])!;
        Assert.Equal((30 + 4 * 31) / 5.0, merged.Rate.Mean, 12);
        Assert.Equal(1 / Math.Sqrt(5), merged.Rate.Sd, 12);
    }
}
