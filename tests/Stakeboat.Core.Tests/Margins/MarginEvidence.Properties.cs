using Stakeboat.Core.Boats;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Margins;

/// <summary>Each kind of evidence pulls the answer its own way.</summary>
public class MarginEvidenceProperties
{
    private static readonly HullGeometry Eight = BoatClass.Eight.Geometry;

    private static Instant<RaceClock> At(double s) => Instant<RaceClock>.FromSeconds(s);

    private static MarginSolution Solve(params MarginEvidence[] evidence) => MarginEngine.Solve(new MarginProblem(Eight,
        [new Rival("A", Eight, Distance.FromMetres(13.5)), new Rival("B", Eight, Distance.FromMetres(27))],
        [new LevelStartEvidence(), .. evidence], Distance.FromMetres(2000), At(370)));

    private static PositionEvidence Up(double t, double seats, string crew = "A") =>
        new(At(t), crew, (seats - 0.5) * 1.4, (seats + 0.5) * 1.4, SightSpread.Usual);

    [Fact]
    public void AChange_MovesTheLaterMarginByItself()
    {
        var before = Solve(Up(100, 2));
        var after = Solve(Up(100, 2), new ChangeEvidence(At(130), At(100), "A", 2.1, 3.5, SightSpread.Usual));
        Assert.True(after.MarginAt("A", At(128.5)).Mean > before.MarginAt("A", At(128.5)).Mean + 0.3);
        Assert.True(after.Gain("A", At(98.5), At(128.5)).Sd < before.Gain("A", At(98.5), At(128.5)).Sd);
    }

    [Fact]
    public void ATrend_TurnsTheRateAndNothingMore()
    {
        var calm = Solve(Up(100, 0), Up(200, 0));
        var walking = Solve(Up(100, 0), Up(200, 0), new TrendEvidence(At(150), "A", 1, SightSpread.Usual));
        int k = 146;
        Assert.True(walking.Rival("A").MarginRate[k].Mean > calm.Rival("A").MarginRate[k].Mean);
        Assert.InRange(walking.Rival("A").MarginRate[k].Mean - calm.Rival("A").MarginRate[k].Mean, 0, 0.1);
    }

    [Fact]
    public void AVerdict_OrdersTwoRivalsBetweenThemselves()
    {
        var s = Solve(new VerdictEvidence(At(0), "B", "A", 0, double.PositiveInfinity, 0.1));
        Assert.True(Standings.At(s, s.End).AheadOf[2][1] > 0.88); // a half-normal seen as a normal: 0.91
        var canvas = Solve(Up(300, 1), new VerdictEvidence(At(0), null, "A", 2.5, 4.5, 0.3));
        Assert.InRange(canvas.MarginAt("A", canvas.End).Mean, 2, 4.8);
    }

    [Fact]
    public void OfficialTimes_MoveTheCoxswainsBias()
    {
        // Told two seats better than the splits say, four times.
        var s = Solve(
            new MarkTimeEvidence(At(90), null, 500, 0.01), new MarkTimeEvidence(At(90), "A", 500, 0.01),
            new MarkTimeEvidence(At(182), null, 1000, 0.01), new MarkTimeEvidence(At(182), "A", 1000, 0.01),
            new MarkTimeEvidence(At(276), null, 1500, 0.01), new MarkTimeEvidence(At(276), "A", 1500, 0.01),
            Up(91.5, 1), Up(92, 1), Up(183.5, 1), Up(184, 1), Up(277.5, 1), Up(278, 1));
        Assert.True(s.CoxBias.Mean > MarginSettings.Default.BiasMean + 0.2);
        Assert.True(s.CoxBias.Sd < MarginSettings.Default.BiasSd);
        Assert.InRange(s.MarginAt("A", At(182)).Mean, -0.3, 0.3);
    }

    [Fact]
    public void ACrewNotNamed_IsFoundByWhereTheCrewsAre()
    {
        var s = Solve(Up(100, 6, "A"), Up(100, -2, "B"), Up(120, 7, "A"), Up(120, -2, "B"),
            new EitherEvidence(At(110), [new PositionReading(null, 8.4, 9.8, 1, "")], SightSpread.Usual));
        var e = s.Evidence.Single(x => x.Evidence is EitherEvidence);
        Assert.Equal("A", e.Crews[0]);
        Assert.True(e.Posterior[0] > 0.9);
        Assert.Equal(1, e.Posterior.Sum() + e.GrossError, 9);
    }

    [Fact]
    public void BowBallOrCoxswain_IsResolvedByContinuity()
    {
        var gauge = new HullGauge(Eight, Eight);
        var cox = gauge.CoxOnSeat(3)!.Value;
        var bow = gauge.BowOnSeat(3)!.Value;
        var s = Solve(Up(100, -4), Up(130, -5), new EitherEvidence(At(150),
            [new PositionReading("A", cox.Low, cox.High, 0.75, "cox"), new PositionReading("A", bow.Low, bow.High, 0.25, "bow ball")], SightSpread.Usual));
        Assert.True(s.Evidence.Single(x => x.Evidence is EitherEvidence).Posterior[1] > 0.95);
    }

    [Fact]
    public void OwnDistance_NarrowsAsMarksAreCalled()
    {
        var none = MarginEngine.Solve(new MarginProblem(Eight, [], [], Distance.FromMetres(2000), null));
        var one = MarginEngine.Solve(new MarginProblem(Eight, [], [new OwnPlaceEvidence(At(92), 500, 5, SightSpread.Usual)], Distance.FromMetres(2000), null));
        var two = MarginEngine.Solve(new MarginProblem(Eight, [],
            [new OwnPlaceEvidence(At(92), 500, 5, SightSpread.Usual), new OwnPlaceEvidence(At(184), 1000, 5, SightSpread.Usual), new OwnRateEvidence(At(120), 36, 0.5)],
            Distance.FromMetres(2000), null));
        double Sd(MarginSolution s) => s.OwnMetresAt(At(180)).Sd;
        Assert.True(Sd(none) > 2 * Sd(one));
        Assert.True(Sd(one) > Sd(two));
    }

    [Fact]
    public void WhatIsOutsideTheRaceOrAboutStrangers_IsLeftOutAndListed()
    {
        var s = Solve(Up(-30, 2), Up(500, 2), Up(100, 2, "Nobody"), Up(double.NaN, 1));
        Assert.Equal(4, s.LeftOut.Count);
    }

    [Fact]
    public void TwoRivalsOfOneNameAreRefused() => Assert.Throws<ArgumentException>(() =>
        MarginEngine.Solve(new MarginProblem(Eight, [new Rival("A", Eight, null), new Rival("A", Eight, null)], [], null, null)));

    [Fact]
    public void MirroringEveryCall_MirrorsTheAnswer()
    {
        // But for the coxswain's bias, which is set to none here.
        MarginSolution S(int sign) => MarginEngine.Solve(new MarginProblem(Eight, [new Rival("A", Eight, Distance.FromMetres(13.5))],
            [new LevelStartEvidence(), Up(80, sign * 2), Up(160, sign * 3), Up(250, sign * 1)], Distance.FromMetres(2000), At(370),
            Settings: new MarginSettings { BiasMean = 0 }));
        var a = S(1).Rival("A");
        var b = S(-1).Rival("A");
        for (int i = 0; i < a.Mean.Length; i += 20)
        {
            Assert.Equal(a.Mean[i], -b.Mean[i], 0.01);
            Assert.Equal(a.Sd[i], b.Sd[i], 0.01);
        }
    }
}
