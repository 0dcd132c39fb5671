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

    /// <summary>"Two seats" without up or down, several times: ahead and behind stay two answers, and both are shown.</summary>
    [Fact]
    public void ASideThatNobodySaid_StaysTwoAnswers()
    {
        EitherEvidence Two(double t) => new(At(t),
            [new PositionReading("A", 2.1, 3.5, 0.5, "ahead"), new PositionReading("A", -3.5, -2.1, 0.5, "behind")], SightSpread.Usual);
        var s = MarginEngine.Solve(new MarginProblem(Eight, [Lane("A")], [new LevelStartEvidence(), Two(150), Two(170), Two(190), Two(210)],
            Distance.FromMetres(2000), At(370), Settings: new MarginSettings { BiasMean = 0 }));
        Assert.True(s.Modes >= 2);
        Assert.InRange(s.MarginAt("A", At(180)).Mean, -0.8, 0.8);
        Assert.InRange(s.MarginAt("A", At(180)).Sd, 2, 4);
        Assert.All(s.Evidence, e => Assert.InRange(e.Posterior[0], 0.3, 0.7));
        Assert.InRange(Standings.At(s, At(180)).AheadOf[0][1], 0.35, 0.65);

        // One word on the side settles all of them.
        var told = MarginEngine.Solve(new MarginProblem(Eight, [Lane("A")], [new LevelStartEvidence(), Two(150), Two(170), Up(180, 2), Two(190), Two(210)],
            Distance.FromMetres(2000), At(370)));
        Assert.All(told.Evidence.Where(e => e.Evidence is EitherEvidence), e => Assert.True(e.Posterior[0] > 0.9));
    }

    [Fact]
    public void TheSameProblemGivesTheSameAnswer_AndTracesAgreeWithTheCovariances()
    {
        var problem = Race([Lane("A"), Lane("B", 2)], new LevelStartEvidence(), Up(100, 2), Up(200, 4), Up(150, -3, "B"), Up(201, -12));
        var s = MarginEngine.Solve(problem);
        Assert.Equal(s.Rival("B").Mean, MarginEngine.Solve(problem).Rival("B").Mean);
        double[] c = s.CovarianceOf("A");
        int n = s.Seconds.Length;
        for (int i = 0; i < n; i += 37)
        {
            Assert.Equal(s.Rival("A").Sd[i], Math.Sqrt(c[i * n + i]), 6);
            Assert.Equal(s.Rival("A").Mean[i], s.MarginAt("A", At(s.Seconds[i])).Mean, 9);
            double[] across = s.CovarianceAcross(i);
            Assert.Equal(s.Rival("B").Sd[i], Math.Sqrt(across[3]), 6);
            Assert.Equal(across[1], across[2], 9);
        }
    }
}
