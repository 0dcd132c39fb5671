using Stakeboat.Core.Boats;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Margins;

public class MarginEngineProperties
{
    private static readonly HullGeometry Eight = BoatClass.Eight.Geometry;

    private static Instant<RaceClock> At(double s) => Instant<RaceClock>.FromSeconds(s);

    private static Rival Lane(string name, int lanes = 1) => new(name, Eight, Distance.FromMetres(13.5 * lanes));

    private static MarginProblem Race(IReadOnlyList<Rival> rivals, params MarginEvidence[] evidence) =>
        new(Eight, rivals, evidence, Distance.FromMetres(2000), At(370));

    private static PositionEvidence Up(double t, double seats, string crew = "A") =>
        new(At(t), crew, (seats - 0.5) * 1.4, (seats + 0.5) * 1.4, SightSpread.Usual);

    [Fact]
    public void WithNothingSaid_TheAnswerIsWideAndCentredOnLevel()
    {
        var s = MarginEngine.Solve(Race([Lane("A")], new LevelStartEvidence()));
        var a = s.Rival("A");
        Assert.Equal(371, s.Seconds.Length);
        Assert.All(a.Mean, m => Assert.Equal(0, m, 6));
        Assert.True(a.Sd[0] < 0.2);
        Assert.InRange(a.Sd[^1], 20, 120);
    }

    [Fact]
    public void WithoutRivals_ThereIsStillOurOwnRace()
    {
        var s = MarginEngine.Solve(Race([], new OwnPlaceEvidence(At(186), 1000, 5, SightSpread.Usual)));
        Assert.Empty(s.Rivals);
        Assert.InRange(s.OwnMetresAt(At(370)).Mean, 1995, 2005);
        Assert.InRange(s.OwnMetresAt(At(185)).Mean, 980, 1020);
    }

    [Fact]
    public void OneCall_NarrowsItsSurroundingsAndShiftsTheRest()
    {
        var s = MarginEngine.Solve(Race([Lane("A")], new LevelStartEvidence(), Up(200, 4)));
        Assert.InRange(s.MarginAt("A", At(198.5)).Mean, 4.0, 6.5);
        Assert.InRange(s.MarginAt("A", At(198.5)).Sd, 0.3, 8);
        Assert.InRange(s.MarginAt("A", At(370)).Mean, 5, 14);
    }

    [Fact]
    public void ContradictingCalls_MeetBetweenOrOneIsGivenUp()
    {
        var s = MarginEngine.Solve(Race([Lane("A")], new LevelStartEvidence(), Up(100, 2), Up(200, 4), Up(201, -12), Up(300, 5)));
        Assert.InRange(s.MarginAt("A", At(199)).Mean, 4, 6.5);
        var odd = s.Evidence.Single(e => e.Evidence is PositionEvidence { Low: < -10 });
        Assert.True(odd.GrossError > 0.95);
    }

    [Fact]
    public void AResultSheetAlone_PutsEveryMarginThroughTheMarks()
    {
        var s = MarginEngine.Solve(Race([Lane("A")], new LevelStartEvidence(),
            new MarkTimeEvidence(At(180), null, 1000, 0.01), new MarkTimeEvidence(At(181), "A", 1000, 0.01),
            new MarkTimeEvidence(At(370), null, 2000, 0.01), new MarkTimeEvidence(At(368), "A", 2000, 0.01)));
        Assert.InRange(s.MarginAt("A", At(180)).Mean, 4.8, 5.9);
        Assert.InRange(s.MarginAt("A", At(180)).Sd, 0, 0.25);
        Assert.InRange(s.MarginAt("A", At(368)).Mean, -11.5, -10);
        Assert.True(s.MarginAt("A", At(270)).Sd > s.MarginAt("A", At(370)).Sd);
    }
}
