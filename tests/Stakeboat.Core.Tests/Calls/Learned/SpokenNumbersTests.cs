using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Tests.Calls.Learned;

/// <summary>Spoken forms of numbers as the issue of the trade's talk lists them: each must be among the readings over the words that hold it.</summary>
public sealed class SpokenNumbersTests
{
    [Theory]
    [InlineData("thirty four and a half", 34.5)]
    [InlineData("three six", 36)]
    [InlineData("seven fifty", 750)]
    [InlineData("fifteen hundred", 1500)]
    [InlineData("a hundred and forty", 140)]
    [InlineData("one thousand", 1000)]
    [InlineData("one forty", 100)]
    [InlineData("one forty", 140)]
    [InlineData("one thirty nine", 99)]
    [InlineData("two oh one", 121)]
    [InlineData("one three nine", 99)]
    [InlineData("1:40", 100)]
    [InlineData("37 and a half", 37.5)]
    [InlineData("to in a half", 2.5)]
    [InlineData("three quarters", .75)]
    [InlineData("two thirds", .67)]
    [InlineData("one and three quarters", 1.75)]
    [InlineData("two and change", 2.25)]
    [InlineData("minus one point five", 1.5)]
    [InlineData("twelve fifty", 1250)]
    [InlineData("for seats", 4)]
    [InlineData("1/3", .33)]
    public void Spoken_forms_are_among_the_readings(string text, double value)
    {
        var spans = SpokenNumbers.Spans(text.Split(' '));
        Assert.Contains(spans, s => Math.Abs(s.Value - value) < 1e-9);
    }

    [Theory]
    [InlineData("boathouse")]
    [InlineData("and")]
    [InlineData("1:")]
    [InlineData("...")]
    [InlineData("")]
    public void What_is_no_number_gives_none(string text) => Assert.Empty(SpokenNumbers.Spans([text]));
}
