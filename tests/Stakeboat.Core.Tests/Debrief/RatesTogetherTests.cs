using Stakeboat.Core.Calls;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Signals;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;
using Stakeboat.Simulation.Racing;

namespace Stakeboat.Core.Tests.Debrief;

/// <summary>Motion, counts, sound and what was called, joined on one clock; truth: a simulated race.</summary>
public class RatesTogetherTests
{
    private static readonly SimulatedRace Race = RaceSimulator.Run(new RaceScenario { DistanceMetres = 1000, Cox = null }, 11);

    /// <summary>A knock at each catch and a smaller one at each finish, in noise; on the recording's clock.</summary>
    private static SoundOnsets Knocks(int seed)
    {
        var dice = new Random(seed);
        var x = new double[(int)((Race.Strokes[^1].Next + 10) * 100)];
        for (int i = 0; i < x.Length; i++)
        {
            x[i] = 0.2 * dice.NextDouble();
        }

        foreach (var s in Race.Strokes)
        {
            x[(int)(s.Catch * 100) + dice.Next(-3, 4)] += 1;
            x[(int)(s.Finish * 100) + dice.Next(-3, 4)] += 0.4;
        }

        return new SoundOnsets(x, 100, 0);
    }

    private static List<HeardCall> Counting(double from, int strokes, int every)
    {
        var first = Race.Strokes.First(s => s.Catch > from);
        int k = Race.Strokes.ToList().IndexOf(first);
        return [.. Enumerable.Range(0, strokes).Select(i => new HeardCall(
            Instant<RecordingClock>.FromSeconds(Race.Strokes[k + (every * i)].Catch + 0.2), 0.1, new CountCall(i + 1), 0.9, "n", i, []))];
    }

    private static double Truth(double t) => Race.Own.RateAt(t) ?? double.NaN;

    [Fact]
    public void SoundAloneFindsTheRateAndTheRecordingsClock()
    {
        var sensors = SensorAnalysis.Analyse(new SensorInput(Race.Motion, Race.Track));
        var sound = SoundRate.Find(Knocks(1).Values, 100, 0);
        var map = Core.Debrief.JoinedClocks.Find(sensors, [], sound, true, null, null);
        Assert.NotNull(map);
        double truth = -Race.ToMotion.Then(sensors.Motion!.Value).Offset;
        Assert.InRange(map.Value.Offset - truth, -3 * map.Value.OffsetSd, 3 * map.Value.OffsetSd);
        Assert.InRange(Math.Abs(map.Value.Offset - truth), 0, 4);
        var together = RatesTogether.Of(sensors, map, [], sound, 1);
        var inRace = together.Merged.Where(m => m.Seconds > Race.Scenario.GoAt + 20 && m.Seconds < Race.Strokes[^1].Catch - 10).ToList();
        Assert.True(inRace.Count > 50);
        Assert.All(inRace, m => Assert.Equal(Truth(m.Seconds), m.Rate.Mean, 2.0));
        Assert.True(inRace.Count(m => m.Agreeing.Contains(RateSource.Sound) && m.Agreeing.Contains(RateSource.Motion)) > 0.8 * inRace.Count);
    }

    [Fact]
    public void ACountOfEverySecondStrokeIsDoubledAndSaysSo()
    {
        var sensors = SensorAnalysis.Analyse(new SensorInput(Race.Motion, Race.Track));
        var map = ClockMap<SensorClock, RecordingClock>.FromOffset(-Race.ToMotion.Then(sensors.Motion!.Value).Offset, 0, "given");
        var together = RatesTogether.Of(sensors, map, Counting(Race.Scenario.GoAt + 60, 10, 2), [], 1);
        var dispute = Assert.Single(together.Disputes);
        Assert.Equal(RateSource.Counts, dispute.Source);
        Assert.True(dispute.Changed);
        Assert.Equal(dispute.Merged, 2 * dispute.Said, 1.0);
    }

    [Fact]
    public void ASourceThatFitsNobodyIsLeftOutAndShown()
    {
        var sensors = SensorAnalysis.Analyse(new SensorInput(Race.Motion, Race.Track));
        var map = ClockMap<SensorClock, RecordingClock>.FromOffset(-Race.ToMotion.Then(sensors.Motion!.Value).Offset, 0, "given");
        double at = Race.Scenario.GoAt + 60;
        var wrong = Enumerable.Range(0, 10).Select(i => new RateReading(at + (2 * i), new Estimate(Truth(at) * 0.8, 0.3), RateSource.Sound)).ToList();
        var together = RatesTogether.Of(sensors, map, [], wrong, 1);
        var dispute = Assert.Single(together.Disputes);
        Assert.False(dispute.Changed);
        Assert.Equal(RateSource.Sound, dispute.Source);
        Assert.All(together.Merged.Where(m => m.Seconds > at + 5 && m.Seconds < at + 15), m => Assert.Equal(Truth(m.Seconds), m.Rate.Mean, 1.5));
    }

    [Fact]
    public void CalledRatesAreComparedAndNotMerged()
    {
        var said = new HeardCall(Instant<RecordingClock>.FromSeconds(100), 0.3, new RateCall(41, RateSense.Now), 0.9, "forty one", 0, []);
        var together = RatesTogether.Of(null, null, [said], [], 1);
        Assert.Empty(together.Merged);
        Assert.Equal(RateSource.Spoken, Assert.Single(together.Readings).Source);
    }

    [Fact]
    public void CountsJoinTheClocksWithoutAStart()
    {
        var sensors = SensorAnalysis.Analyse(new SensorInput(Race.Motion, Race.Track));
        var calls = new List<HeardCall>();
        for (double t = Race.Scenario.GoAt + 3; t < Race.Strokes[^1].Catch - 25; t += 24)
        {
            calls.AddRange(Counting(t, 10, 1));
        }

        var map = Core.Debrief.JoinedClocks.Find(sensors, calls, [], true, null, null);
        Assert.NotNull(map);
        double truth = -Race.ToMotion.Then(sensors.Motion!.Value).Offset;
        Assert.InRange(map.Value.Offset - truth, -3 * map.Value.OffsetSd, 3 * map.Value.OffsetSd);
    }

    [Fact]
    public void ADebriefOfCaptionsAndSoundHasARateWithoutAnySensor()
    {
        var outing = new Outing("sound", null, [], [], [], null, new SoundFacts("a.wav", Race.Strokes[^1].Next));
        var made = RaceDebrief.Make(new DebriefInput(outing) { Onsets = Knocks(2) });
        Assert.NotNull(made.Facts.Rate);
        double t = Race.Scenario.GoAt + 100;
        Assert.Equal(Truth(t), made.Facts.Rate.At(t)!.Value.Mean, 1.5);
    }
}
