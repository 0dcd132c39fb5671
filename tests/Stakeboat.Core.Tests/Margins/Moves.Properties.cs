using Stakeboat.Core.Boats;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Margins;

public class MovesProperties
{
    private static readonly HullGeometry Eight = BoatClass.Eight.Geometry;

    private static Instant<RaceClock> At(double s) => Instant<RaceClock>.FromSeconds(s);

    /// <summary>A rival level until 200 s, then left behind by 0.15 m/s for twenty, then level again in speed.</summary>
    private static MarginSolution Burst(double every)
    {
        double True(double t) => t < 200 ? 0 : Math.Min(3, 0.15 * (t - 200));
        var evidence = new List<MarginEvidence> { new LevelStartEvidence() };
        for (double t = every; t < 370; t += every)
        {
            evidence.Add(new PositionEvidence(At(t + 1.2), "A", True(t) - 0.4, True(t) + 0.4, new SightSpread(1.2, 0.5, 0.97, 0.3)));
        }

        return MarginEngine.Solve(new MarginProblem(Eight, [new Rival("A", Eight, Distance.FromMetres(13.5))], evidence, Distance.FromMetres(2000), At(370),
            Bursts: [new KnownBurst(null, At(200), At(220))]));
    }

    [Fact]
    public void ACalledMove_IsGivenItsGainAndWhatTheTrendWouldHaveGiven()
    {
        var s = Burst(8);
        var gain = Moves.Find(s, [new Move(null, At(200), At(220), 12, MoveOrigin.Called)], findOthers: false).Single().Gains.Single();
        Assert.InRange(gain.Gained.Mean, 1.6, 3.8);
        Assert.InRange((gain.Gained.Mean - 3) / gain.Gained.Sd, -3, 3);
        Assert.InRange(gain.Trend.Mean, -1.5, 1.8);
        Assert.Equal(gain.Gained.Mean - gain.Trend.Mean, gain.Beyond.Mean, 9);
        Assert.True(gain.Distinguishable);
        Assert.InRange(gain.Held.Mean, 2, 4.5);
        Assert.Equal(gain.Beyond, gain.Share);
        Assert.Equal(1.4, gain.SeatMetres, 9);
    }

    [Fact]
    public void WithFewCallsTheSameMove_CannotBeToldFromNothing()
    {
        var sparse = MarginEngine.Solve(new MarginProblem(Eight, [new Rival("A", Eight, Distance.FromMetres(40.5))],
            [new LevelStartEvidence(), new PositionEvidence(At(100), "A", -0.7, 0.7, SightSpread.Usual)], Distance.FromMetres(2000), At(370)));
        var gain = Moves.Find(sparse, [new Move(null, At(200), At(217), 10, MoveOrigin.Called)], findOthers: false).Single().Gains.Single();
        Assert.False(gain.Distinguishable);
        Assert.True(gain.Gained.Low90 < 0 && gain.Gained.High90 > 0);
    }

    [Fact]
    public void AChangeThatNobodyCalledIsFoundNearItsPlace()
    {
        var found = Moves.Find(Burst(8), [], 36).Where(m => m.Move.Origin == MoveOrigin.Found).ToList();
        Assert.Contains(found, m => m.Move.From.Seconds is > 180 and < 215 && m.Move.To.Seconds is > 205 and < 245 && m.Gains[0].Beyond.Mean > 0);
        Assert.All(found, m => Assert.True(m.Gains.Single().BeyondTrend));
    }

    [Fact]
    public void OverlappingMoves_ShareOneGain()
    {
        var s = Burst(8);
        var outcomes = Moves.Find(s,
            [new Move(null, At(200), At(220), 12, MoveOrigin.Called), new Move("A", At(200), At(220), 12, MoveOrigin.RivalCalled)], findOthers: false);
        var ours = outcomes.Single(o => o.Move.Crew is null).Gains.Single();
        var theirs = outcomes.Single(o => o.Move.Crew == "A").Gains.Single();
        Assert.Equal(ours.Gained, theirs.Gained);
        Assert.Equal(ours.Share.Mean, theirs.Share.Mean, 6); // nothing tells them apart: half each, and wide
        Assert.InRange(ours.Share.Mean + theirs.Share.Mean, 0.5 * ours.Beyond.Mean, 1.05 * ours.Beyond.Mean);
        Assert.True(ours.Share.Sd > ours.Beyond.Sd * 0.7);
        Assert.Single(ours.SharedWith);
    }

    [Fact]
    public void PartlyOverlappingMoves_AreToldApartByTheirEdges()
    {
        var outcomes = Moves.Find(Burst(5),
            [new Move(null, At(200), At(220), 12, MoveOrigin.Called), new Move("A", At(214), At(240), 15, MoveOrigin.RivalCalled)], findOthers: false);
        double ours = outcomes.Single(o => o.Move.Crew is null).Gains.Single().Share.Mean;
        double theirs = outcomes.Single(o => o.Move.Crew == "A").Gains.Single().Share.Mean;
        Assert.True(ours > theirs + 0.5, $"ours {ours:0.0}, theirs {theirs:0.0}");
    }

    [Fact]
    public void MovesOutsideTheRaceOrOfStrangersAreLeftOut() => Assert.Empty(Moves.Find(Burst(20),
        [new Move(null, At(500), At(520), 10, MoveOrigin.Called), new Move("Nobody", At(100), At(117), 10, MoveOrigin.RivalCalled)], findOthers: false));
}
