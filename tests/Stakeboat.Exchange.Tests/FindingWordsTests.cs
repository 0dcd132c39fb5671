using Stakeboat.Core.Debrief;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Exchange.Tests;

public class FindingWordsTests
{
    public static TheoryData<FindingKind> Kinds => [.. Enum.GetValues<FindingKind>()];

    [Theory]
    [MemberData(nameof(Kinds))]
    public void EveryKindHasItsWords(FindingKind kind)
    {
        var f = new Finding(kind, -1.25, -2, -0.5, 3, 1, "birch", [], 2);
        Assert.EndsWith(".", FindingWords.Sentence(f));
        Assert.NotEmpty(FindingWords.Unit(kind));
        Assert.NotEmpty(FindingWords.Kind(kind));
        Assert.EndsWith(".", FindingWords.WouldConfirm(kind));
    }

    [Fact]
    public void AnIntervalOverZeroIsSaid()
    {
        var f = new Finding(FindingKind.OurMove, 1.5, -0.5, 3.5, 1, 1, "Birch", [], 0.5);
        Assert.Equal("Our move won 1.5 seats on Birch beyond the trend (± 2.0); 20 strokes later +0.5; not distinguishable from zero.", FindingWords.Sentence(f));
    }

    [Fact]
    public void ADistanceCalledEarlyIsSaidAsTheCrewFeltIt()
    {
        var f = new Finding(FindingKind.DistanceCalls, 22, 12, 32, 4, 1, "", []);
        Assert.Equal("Distances were called 22 m before the boat was there on average (± 10 m, 4 calls).", FindingWords.Sentence(f));
        Assert.Equal("Call marks 22 m later", FindingWords.NextPlan(f));
    }
}
