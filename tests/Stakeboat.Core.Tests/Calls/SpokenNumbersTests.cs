using Stakeboat.Core.Calls.Words;

namespace Stakeboat.Core.Tests.Calls;

/// <summary>The number grammar against a table written by hand from how English counts.</summary>
public class SpokenNumbersCertified
{
    [Theory]
    [InlineData("four", NumberKind.Plain, 4)]
    [InlineData("thirty four", NumberKind.Plain, 34)]
    [InlineData("thirty four and a half", NumberKind.Plain, 34.5)]
    [InlineData("three six", NumberKind.Digits, 36)]
    [InlineData("two fifty", NumberKind.Brief, 250)]
    [InlineData("seven fifty", NumberKind.Brief, 750)]
    [InlineData("twelve fifty", NumberKind.Brief, 1250)]
    [InlineData("fifteen hundred", NumberKind.Plain, 1500)]
    [InlineData("a thousand", NumberKind.Plain, 1000)]
    [InlineData("two hundred and fifty", NumberKind.Plain, 250)]
    [InlineData("one thousand two hundred", NumberKind.Plain, 1200)]
    [InlineData("k and a half", NumberKind.Plain, 1500)]
    [InlineData("half a", NumberKind.Fraction, 0.5)]
    [InlineData("three quarters", NumberKind.Fraction, 0.75)]
    [InlineData("two thirds", NumberKind.Fraction, 2 / 3.0)]
    [InlineData("one and three quarters", NumberKind.Plain, 1.75)]
    [InlineData("one forty", NumberKind.Clock, 100)]
    [InlineData("one thirty nine", NumberKind.Clock, 99)]
    [InlineData("two oh one", NumberKind.Clock, 121)]
    [InlineData("one thirty one six", NumberKind.Clock, 91.6)]
    [InlineData("one thirty two point four", NumberKind.Clock, 92.4)]
    [InlineData("forty flat", NumberKind.Clock, 100)]
    [InlineData("three four", NumberKind.Range, 3.5)]
    [InlineData("a couple of", NumberKind.Plain, 2)]
    public void Reads(string words, NumberKind kind, double value) =>
        Assert.Contains(SpokenNumbers.Read(words.Split(' ')), r => r.Kind == kind && Math.Abs(r.Value - value) < 1e-9);

    [Theory]
    [InlineData("36", "thirty six")]
    [InlineData("250", "two fifty")]
    [InlineData("500", "five hundred")]
    [InlineData("1500", "fifteen hundred")]
    [InlineData("1:40", "one forty")]
    [InlineData("2:01.5", "two oh one point five")]
    [InlineData("36.5", "thirty six point five")]
    [InlineData("4c", "four seat")]
    public void FiguresAreSpelt(string figures, string words) => Assert.Contains(DigitReadings.Of(figures), r => string.Join(' ', r) == words);

    [Fact]
    public void EveryCardinalBelowTenThousandReadsBack()
    {
        for (int n = 1; n < 10000; n++)
        {
            var words = DigitReadings.Cardinal(n);
            Assert.Contains(SpokenNumbers.Read(words), r => r.Kind == NumberKind.Plain && r.Value == n);
        }
    }
}
