using Stakeboat.Core.Time;
using Stakeboat.Simulation.Racing;

namespace Stakeboat.Simulation.Tests.Racing;

public class RaceSimulatorTests
{
    private static readonly SimulatedRace Race = RaceSimulator.Run(new RaceScenario(), 7);

    [Fact]
    public void TheRaceIsRowedFromRestToTheLine()
    {
        Assert.Equal(0, Race.Own.SpeedAt(30), 9);
        Assert.Equal(0, Race.Own.MetresAt(60), 6);
        Assert.Equal(2000, Race.Own.MetresAt(Race.FinishAt), 6);
        Assert.InRange(Race.FinishAt - Race.GoAt, 360, 400);
        Assert.InRange(Race.Strokes.Count, 190, 260);
    }

    [Fact]
    public void StrokesFollowEachOtherAndCarryTheirOwnSpeed()
    {
        var racing = Race.Strokes.Where(s => s.Next < Race.FinishAt).ToArray();
        for (int i = 1; i < racing.Length; i++)
        {
            Assert.Equal(racing[i - 1].Next, racing[i].Catch, 9);
            Assert.Equal(racing[i].Metres, Race.Own.MetresAt(racing[i].Next) - Race.Own.MetresAt(racing[i].Catch), 6);
        }

        // Common practice: a swing of about 2 m/s and a check of about 1 m/s in an eight at 36.
        var middle = racing.Where(s => s.Catch > Race.GoAt + 100 && s.Catch < Race.GoAt + 250).ToArray();
        Assert.InRange(middle.Average(s => s.Fastest - s.Slowest), 1.5, 3);
        Assert.InRange(middle.Average(s => s.MeanSpeed), 5.0, 5.6);
    }

    [Fact]
    public void SpeedIsTheSlopeOfDistance_AndAccelerationOfSpeed()
    {
        for (double t = 70.05; t < 400; t += 3.7)
        {
            double slope = (Race.Own.MetresAt(t + 1e-4) - Race.Own.MetresAt(t - 1e-4)) / 2e-4;
            Assert.Equal(slope, Race.Own.SpeedAt(t), 1e-2);
        }
    }

    [Fact]
    public void MarginsAreDifferencesOfDistances_AndSignsFollowTheResult()
    {
        foreach (var rival in Race.Rivals)
        {
            double atTheLine = Race.MarginAt(rival, Math.Min(Race.FinishAt, Race.FinishTimes[rival]));
            Assert.Equal(Race.FinishAt < Race.FinishTimes[rival], atTheLine > 0);
        }
    }

    [Fact]
    public void TheResultSheetIsTheTruthToAHundredth()
    {
        foreach (var row in Race.Result.Rows)
        {
            Assert.Equal(4, row.Times.Count);
            Assert.Equal(Race.FinishTimes[row.Crew] - Race.GoAt, row.Times[^1].Time.Seconds, 0.0051);
        }
    }

    [Fact]
    public void BurstsAreRowedAndGainTheirShare()
    {
        var ours = Race.Bursts.Where(b => b.Crew == "Foxholm").ToArray();
        Assert.Equal([10, 20], ours.Select(b => b.Strokes));
        Assert.All(ours, b => Assert.Equal(2, b.SeatsByRival.Count));
        Assert.Equal(20, Race.Strokes.Count(s => s.Catch >= ours[1].From - 1e-9 && s.Catch < ours[1].To - 1e-9));
    }

    [Fact]
    public void TheSameSeedGivesTheSameRace_AnotherSeedAnother()
    {
        var again = RaceSimulator.Run(new RaceScenario(), 7);
        Assert.Equal(Race.Motion!.AccelerationX, again.Motion!.AccelerationX);
        Assert.Equal(Race.Track!.Fixes, again.Track!.Fixes);
        Assert.NotEqual(Race.FinishAt, RaceSimulator.Run(new RaceScenario(), 8).FinishAt);
    }

    [Fact]
    public void AHeadWindCostsTime_ATailWindGivesIt()
    {
        double Time(double head) => RaceSimulator.Run(new RaceScenario { Wind = [new(0, head)], Satellite = null, Motion = null, Cox = null }, 3).FinishAt;
        Assert.InRange(Time(3) - Time(0), 8, 25);
        Assert.InRange(Time(0) - Time(-3), 8, 25);
    }

    [Fact]
    public void AnAnswerComesAfterTheMoveItAnswers()
    {
        var race = RaceSimulator.Run(new RaceScenario
        {
            Us = "A",
            Crews = [new("A", 1) { Bursts = [new(0, 10, 0.02, Answers: "B", AfterStrokes: 4)] }, new("B", 2) { Bursts = [new(800, 20, 0.02)] }],
            Satellite = null, Motion = null, Cox = null,
        }, 1);
        var b = race.Bursts.Single(x => x.Crew == "B");
        var a = race.Bursts.Single(x => x.Crew == "A");
        Assert.InRange(a.From - b.From, 3 * 60 / 35.0, 6 * 60 / 35.0);
        Assert.True(a.Answer);
    }

    [Fact]
    public void WhatContradictsItselfIsNamed()
    {
        var e = Assert.Throws<ScenarioException>(() => RaceSimulator.Run(new RaceScenario { Us = "Nobody" }, 1));
        Assert.Contains("Nobody", e.Message);
        Assert.Throws<ScenarioException>(() => RaceSimulator.Run(new RaceScenario { DistanceMetres = double.NaN }, 1));
        Assert.Throws<ScenarioException>(() => RaceSimulator.Run(new RaceScenario { Crews = [new("Foxholm", 1), new("B", 1)] }, 1));
    }

    [Fact]
    public void CatchesAreGivenOnEachClock()
    {
        double t = Race.Strokes[50].Catch;
        Assert.Equal(Race.ToMotion.Map(Instant<RecordingClock>.FromSeconds(t)).Seconds, Race.CatchesOnMotionClock[50], 9);
        Assert.InRange(Race.CatchesOnMotionClock[50] - t, 3.6, 3.8);
    }
}
