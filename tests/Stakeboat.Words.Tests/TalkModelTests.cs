using Stakeboat.Core.Boats;
using Stakeboat.Core.Crews;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Units;
using Stakeboat.Words.Language;

namespace Stakeboat.Words.Tests;

public class TalkModelTests
{
    private static readonly RaceSheet Sheet = new(
        Crew.Named("Alderholt", BoatClass.Eight) with { Names = ["Quill", "Tavi"], Words = [new CrewWord("anvil", "ten for legs")] },
        BoatClass.Eight.Geometry, Distance.FromMetres(2000), new Dictionary<int, string>(), ["Brack Mere", "Thornwater"], Distance.FromMetres(13.5), null);

    [Fact]
    public void NamesOfTheRaceAreInIt_AndClassesAreNot()
    {
        var words = TalkModel.For(Sheet).Words.ToHashSet(StringComparer.Ordinal);
        Assert.All(["brack", "mere", "thornwater", "thornwater's", "quill", "anvil", "alderholt"], w => Assert.Contains(w, words));
        Assert.DoesNotContain(words, w => w.Contains('<', StringComparison.Ordinal));
    }

    [Fact]
    public void EveryRateFromThirtyToThirtyNineCanBeHeard()
    {
        var m = TalkModel.For(Sheet).Model;
        foreach (string unit in new[] { "one", "two", "three", "four", "five", "six", "seven", "eight", "nine" })
        {
            Assert.True(m.Probability(unit, "thirty", "a") > 0.002, unit);
        }
    }

    [Fact]
    public void LeavingARaceOutChangesTheModel()
    {
        var all = TalkModel.For(Sheet).Model;
        var less = TalkModel.For(Sheet, new HashSet<string> { "dual-8" }).Model;
        Assert.True(less.Vocabulary.Predictable < all.Vocabulary.Predictable);
    }

    [Theory]
    [InlineData("{a|b} c", new[] { "a c", "b c" })]
    [InlineData("plain", new[] { "plain" })]
    [InlineData("{|up }{one|two}", new[] { "one", "two", "up one", "up two" })]
    public void FramesAreSpeltOut(string frame, string[] sentences) => Assert.Equal(sentences, TalkModel.Expand(frame));

    [Fact]
    public void EveryFrameOpensAndCloses() => Assert.All(TalkModel.Frames(), f => Assert.NotEmpty(TalkModel.Expand(f)));

    [Fact]
    public void ThePronunciationTableKeepsTheRecognisersOwnWords_AndSoundsOutNames()
    {
        using var own = new StringReader("seat S IY T\nseat(2) S IY D\nother AH DH ER\n");
        using var o = new StringWriter { NewLine = "\n" };
        PronunciationTable.Write(["seat", "tavi"], own, _ => "tavI", o);
        Assert.Equal("seat S IY T\nseat(2) S IY D\ntavi T AE V IY\n", o.ToString());
    }
}
