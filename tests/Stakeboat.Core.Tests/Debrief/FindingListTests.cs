using Stakeboat.Core.Boats;
using Stakeboat.Core.Calls;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Debrief;

public class FindingListTests
{
    private const double Go = 60, Speed = 5, RaceMetres = 2000, End = Go + RaceMetres / Speed;

    private static HeardCall Heard(double t, Call call) => new(Instant<RecordingClock>.FromSeconds(t), 0.2, call, 0.9, "", 0, []);

    /// <summary>A race at an even 5 m/s and 36 strokes a minute, everything known.</summary>
    private static DebriefFacts Even(params HeardCall[] calls)
    {
        var t = new List<double>();
        for (double x = Go; x <= End; x += 1)
        {
            t.Add(x);
        }

        Curve Of(Func<double, double> f, double sd) => new([.. t], [.. t.Select(f)], [.. t.Select(_ => sd)]);
        var strokes = new List<StrokeFact>();
        for (double x = Go + 0.4; x < End; x += 60.0 / 36)
        {
            strokes.Add(new StrokeFact(x, 36, 0.3, Speed, 0.05, 0.9));
        }

        return new DebriefFacts
        {
            Hull = BoatClass.Eight.Geometry,
            Calls = calls,
            Go = new Estimate(Go, 0.1),
            Finish = new Estimate(End, 0.1),
            Distance = RaceMetres,
            Strokes = strokes,
            Rate = Of(_ => 36, 0.2),
            Metres = Of(x => Speed * (x - Go), 1),
            MetresMeasured = true,
            Speed = Of(_ => Speed, 0.05),
        };
    }

    [Fact]
    public void RatesCalledTooHigh_AreFoundWithTheirInterval()
    {
        var f = FindingList.From(Even(Heard(100, new RateCall(38, RateSense.Now)), Heard(150, new RateCall(37, RateSense.Now)),
            Heard(200, new RateCall(38, RateSense.Now)), Heard(210, new RateCall(40, RateSense.Wanted)), Heard(30, new RateCall(20, RateSense.Now))))
            .Single(x => x.Kind == FindingKind.RateCalls);
        Assert.Equal(3, f.N);
        Assert.Equal(5.0 / 3, f.Value, 9);
        // Student's t with 2 degrees of freedom, 2.920, times the standard error 0.3333.
        Assert.Equal(2.920 * 0.33333, f.High90 - f.Value, 3);
        Assert.True(f.DistinguishableFromZero);
    }

    [Fact]
    public void DistancesLeftAndGone_MeetOnOneAxis()
    {
        // At 500 m it is called as 520 gone, at 1000 m as 1020; at 1500 m as 480 left, which is 1520 gone.
        var f = FindingList.From(Even(Heard(Go + 100, new DistanceCall(520, DistanceSense.Gone)), Heard(Go + 200, new DistanceCall(1020, DistanceSense.Gone)),
                Heard(Go + 300, new DistanceCall(480, DistanceSense.Left))))
            .Single(x => x.Kind == FindingKind.DistanceCalls);
        Assert.Equal(20, f.Value, 6);
    }

    [Fact]
    public void AMisheardDistance_IsNotHeldAgainstTheCoxswain()
    {
        var f = FindingList.From(Even(Heard(Go + 100, new DistanceCall(520, DistanceSense.Gone)), Heard(Go + 200, new DistanceCall(1020, DistanceSense.Gone)),
                Heard(Go + 300, new DistanceCall(480, DistanceSense.Left)), Heard(Go + 350, new DistanceCall(30, DistanceSense.Gone))))
            .Single(x => x.Kind == FindingKind.DistanceCalls);
        Assert.Equal(20, f.Value, 6);
        Assert.Equal(3, f.N);
    }

    [Fact]
    public void TechnicalCalls_ThatTheBoatAnswers_AreTold()
    {
        double[] at = [160, 220, 280, 340];
        var facts = Even([.. at.Select(t => Heard(t, new TechniqueCall(Focus.Catch)))]);
        var strokes = facts.Strokes.Select((s, i) => s with
        {
            Speed = at.Any(t => s.T > t && s.T < t + 18) ? Speed + 0.1 + 0.002 * (i % 3) : Speed + 0.002 * (i % 3),
        }).ToList();
        var f = FindingList.From(facts with { Strokes = strokes }).Single(x => x.Kind == FindingKind.TechnicalCalls);
        Assert.Equal(4, f.N);
        Assert.InRange(f.Value, 0.095, 0.105);
        Assert.True(f.DistinguishableFromZero);
        Assert.InRange(f.Other!.Value, 0.09, 0.11);
    }

    [Fact]
    public void TechnicalCalls_ThatNothingFollows_AreNotDistinguishable()
    {
        double[] at = [160, 220, 280, 340];
        var random = new Random(5);
        var facts = Even([.. at.Select(t => Heard(t, new TechniqueCall(Focus.Catch)))]);
        var strokes = facts.Strokes.Select(s => s with { Speed = Speed + 0.1 * (random.NextDouble() - 0.5) }).ToList();
        Assert.False(FindingList.From(facts with { Strokes = strokes }).Single(x => x.Kind == FindingKind.TechnicalCalls).DistinguishableFromZero);
    }

    [Fact]
    public void EvenSpeedCostsNothing_AndAKnownWaveCostsItsVariance()
    {
        Assert.Equal(0, FindingList.From(Even()).Single(x => x.Kind == FindingKind.Unevenness).Value, 6);

        // v = 5 (1 + 0.06 sin(2 pi x / 500)): relative variance 0.0018, cost 1.5 x 0.0018 x 370 s = 1.0 s.
        var t = new List<double>();
        var metres = new List<double>();
        double pos = 0;
        for (double x = Go; pos <= RaceMetres + 5; x += 0.25)
        {
            t.Add(x);
            metres.Add(pos);
            pos += 0.25 * 5 * (1 + 0.06 * Math.Sin(2 * Math.PI * pos / 500));
        }

        var facts = Even() with { Metres = new Curve([.. t], [.. metres], [.. metres.Select(_ => 0.01)]), Finish = new Estimate(t[^1], 0.1) };
        Assert.InRange(FindingList.From(facts).Single(x => x.Kind == FindingKind.Unevenness).Value, 0.85, 1.15);
    }

    [Fact]
    public void ARivalsMoveAnswered_GivesTheDelayAndWhatWasLost()
    {
        double[] t = [Go, End];
        var margins = new Dictionary<string, Curve> { ["Birch"] = new(t, [10, -10], [0.1, 0.1], 1000) };
        var facts = Even(Heard(200, new RivalMoveCall("Birch")), Heard(208, new MoveCall(10, null))) with { Margins = margins };
        var f = FindingList.From(facts).Single(x => x.Kind == FindingKind.AnswerDelay);
        Assert.Equal(8, f.Value, 9);
        Assert.Equal(8 * 20 / (End - Go) / 1.4, f.Other!.Value, 6);
    }

    [Fact]
    public void TheSprint_IsFoundWhereTheRateRose()
    {
        var facts = Even();
        var t = facts.Rate!.T.ToArray();
        double sprintAt = Go + 1700 / Speed;
        facts = facts with
        {
            Rate = new Curve(t, [.. t.Select(x => x >= sprintAt ? 39.0 : 36)], [.. t.Select(_ => 0.2)]),
            Segments = [new SegmentFact("sprint", 1750, 2000, 40, null, true)],
        };
        var f = FindingList.From(facts).Single(x => x.Kind == FindingKind.SprintBegan);
        Assert.InRange(f.Value, 295, 305);
        Assert.Equal(250, f.Other);
    }

    [Fact]
    public void NothingKnown_GivesNoFindingAndNoCrash() =>
        Assert.Empty(FindingList.From(new DebriefFacts { Hull = BoatClass.Single.Geometry }));

    [Fact]
    public void TheOrderIsThatOfWorth()
    {
        var all = FindingList.From(Even(Heard(100, new RateCall(38, RateSense.Now)), Heard(150, new RateCall(37, RateSense.Now))));
        Assert.Equal(all.Select(f => f.WorthSeconds).OrderByDescending(w => w), all.Select(f => f.WorthSeconds));
    }
}
