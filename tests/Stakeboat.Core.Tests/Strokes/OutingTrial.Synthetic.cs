using Stakeboat.Core.Measurement;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Simulation.Racing;

namespace Stakeboat.Core.Tests.Strokes;

/// <summary>Two hundred and ten simulated outings over boats, rates, sensors and phone poses; figures in docs/strokes/accuracy.md.</summary>
public class OutingTrialSynthetic
{
    [Fact]
    public void StrokesSpeedClocksAndTheirIntervalsOverManyOutings()
    {
        var trial = new OutingTrial();
        for (int seed = 0; seed < 210; seed++)
        {
            trial.Add(seed);
        }

        string report = trial.Report();
        TestContext.Current.SendDiagnosticMessage(report);
        Assert.True(trial.Recall >= 0.995, report);
        Assert.True(trial.Precision >= 0.99, report);
        Assert.True(OutingTrial.Rms(trial.RateErrors) <= 0.3, report);
        Assert.True(trial.SpeedRmse.Average() <= 0.06, report);
        Assert.True(OutingTrial.Trimmed(trial.ClockErrors) <= 0.1, report);
        Assert.True(trial.Clocks >= 0.99 * trial.ClocksTried, report);
        Assert.True(trial.StartsFound >= 0.99 * trial.StartsTrue && trial.StartsTrue == 210, report);
        Assert.InRange((double)trial.Cover["clock"].Inside / trial.Cover["clock"].All, 0.85, 0.95);
        foreach (string name in new[] { "rate", "metres", "speed", "lowest", "highest", "check", "hull speed" })
        {
            var (inside, all) = trial.Cover[name];
            Assert.True((double)inside / all is >= 0.87 and <= 0.93, name + Environment.NewLine + report);
        }
    }

    [Fact]
    public void StrokesOneSampleAtATime()
    {
        int truth = 0;
        int matched = 0;
        int found = 0;
        for (int seed = 0; seed < 24; seed++)
        {
            var row = PracticeSimulator.Run(OutingTrial.Scenario(seed), (ulong)seed);
            var log = row.Motion!;
            var detector = new StreamingStrokeDetector();
            var catches = new List<double>();
            int k = 0;
            var fixes = row.Track!.Fixes;
            var satelliteToMotion = row.ToSatellite.Inverse().Then(row.ToMotion);
            for (int i = 0; i < log.Count; i++)
            {
                while (k < fixes.Count && satelliteToMotion.Map(fixes[k].Time!.Value).Seconds <= log.Seconds[i])
                {
                    detector.PushSpeed(fixes[k++].SpeedMps!.Value);
                }

                if (detector.Push(log.Seconds[i], log.AccelerationX[i], log.AccelerationY[i], log.AccelerationZ[i], out var e))
                {
                    catches.Add(e.Seconds);
                    Assert.True(e.KnownAt - e.Seconds < 3.6);
                }
            }

            // The first 45 s are its own to learn the phone's pose in.
            var known = row.CatchesOnMotionClock.Where(c => c > log.Seconds[0] + 45).ToList();
            catches.RemoveAll(c => c < log.Seconds[0] + 44);
            truth += known.Count;
            found += catches.Count;
            matched += known.Count(c => catches.Exists(x => Math.Abs(x - c) < 0.3));
        }

        Assert.True(matched >= 0.97 * truth, $"{matched} of {truth}, found {found}");
        Assert.True(matched >= 0.97 * found, $"{matched} of {truth}, found {found}");
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    [InlineData(6)]
    public void ARaceIsFoundWithItsStartAndSplits(int seed)
    {
        var race = RaceSimulator.Run(new RaceScenario { DistanceMetres = 1000, Cox = null }, (ulong)seed);
        var found = SensorAnalysis.Analyse(new SensorInput(race.Motion, race.Track, Core.Units.Distance.FromMetres(1000)));
        Assert.NotNull(found.Race);
        var map = race.ToMotion.Then(found.Motion!.Value);
        double first = map.Map(Instant<RecordingClock>.FromSeconds(race.Strokes.First(s => s.Catch > race.Scenario.GoAt - 0.5).Catch)).Seconds;
        Assert.Equal(first, found.Race!.Start.Mean, 0.5);
        Assert.Equal(PieceKind.StandingStart, found.Race.Kind);
        double truly = race.Own.TimeAtMetres(1000)!.Value - race.Own.TimeAtMetres(500)!.Value;
        Assert.Equal(truly, found.Race.Splits500[1].Time.Mean, 1.5);
    }

    [Fact]
    public void DrillsPausesAndSingleStrokesAreNoRace()
    {
        for (int seed = 0; seed < 12; seed++)
        {
            var row = PracticeSimulator.Run(new PracticeScenario
            {
                Steps =
                [
                    new PracticeStep.Rest(20), new PracticeStep.Strokes(30, 18, 3.4), new PracticeStep.PauseDrill(15, 22, 3.4, 1.5),
                    new PracticeStep.Turn(6, 180), new PracticeStep.Strokes(1, 20, 1.5, 0.6), new PracticeStep.Rest(12),
                    new PracticeStep.Strokes(40, 20, 3.8), new PracticeStep.Rest(20),
                ],
            }, (ulong)seed);
            var found = SensorAnalysis.Analyse(new SensorInput(row.Motion, row.Track));
            Assert.Null(found.Race);
        }
    }

    [Fact]
    public void ARateFromOneFixASecondIsRefusedWithItsReason()
    {
        var race = RaceSimulator.Run(new RaceScenario { DistanceMetres = 500, Cox = null, Satellite = new() { Hertz = 1 } }, 7);
        var found = SensorAnalysis.Analyse(new SensorInput(null, race.Track));
        Assert.Empty(found.Rates);
        Assert.Contains(found.Issues, i => i.Kind == SensorIssueKind.RateRefusedAliasing && i.Value is > 0.9 and < 1.1);
        Assert.NotNull(found.Hull);
    }

    /// <summary>The page's detector and the whole log's are the same filters, period score and picker: they find the same catches.</summary>
    [Fact]
    public void OneSampleAtATimeFindsWhatTheWholeLogHolds()
    {
        int whole = 0, both = 0, extra = 0;
        var apart = new List<double>();
        for (int seed = 30; seed < 42; seed++)
        {
            var row = PracticeSimulator.Run(OutingTrial.Scenario(seed), (ulong)seed);
            var found = SensorAnalysis.Analyse(new SensorInput(row.Motion, row.Track));
            double zero = row.Motion!.Seconds[0];
            var streamed = Stream(row).Where(t => t > zero + 45).ToList();
            var batch = found.Strokes.Select(s => s.Catch.Seconds + zero).Where(t => t > zero + 45).ToList();
            whole += batch.Count;
            extra += streamed.Count(t => !batch.Exists(b => Math.Abs(b - t) < 0.3));
            var off = batch.Select(b => streamed.Select(t => t - b).Where(d => Math.Abs(d) < 0.3).Cast<double?>().FirstOrDefault()).ToList();
            both += off.Count(d => d is not null);

            // A delay that all share is the causal filter's; about it they agree.
            double middle = off.Where(d => d is not null).Select(d => d!.Value).Order().ElementAt(off.Count(d => d is not null) / 2);
            apart.AddRange(off.Where(d => d is not null).Select(d => Math.Abs(d!.Value - middle)));
        }

        Assert.True(both >= 0.98 * whole && extra <= 0.02 * whole, $"{both} of {whole}, {extra} more");
        Assert.True(apart.Order().ElementAt((int)(0.9 * apart.Count)) < 0.06, $"{apart.Order().ElementAt((int)(0.9 * apart.Count))}");
    }

    [Fact]
    public void OneSampleAtATimeKeepsNothing()
    {
        var row = PracticeSimulator.Run(OutingTrial.Scenario(3), 3);
        var log = row.Motion!;
        var detector = new StreamingStrokeDetector();
        int half = log.Count / 2;
        long before = 0;
        int events = 0;
        for (int i = 0; i < log.Count; i++)
        {
            if (i == half)
            {
                before = GC.GetAllocatedBytesForCurrentThread();
            }

            events += detector.Push(log.Seconds[i], log.AccelerationX[i], log.AccelerationY[i], log.AccelerationZ[i], out _) ? 1 : 0;
        }

        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
        Assert.True(events > 50);
    }

    private static List<double> Stream(SimulatedPractice row)
    {
        var log = row.Motion!;
        var detector = new StreamingStrokeDetector();
        var catches = new List<double>();
        int k = 0;
        var fixes = row.Track!.Fixes;
        var satelliteToMotion = row.ToSatellite.Inverse().Then(row.ToMotion);
        for (int i = 0; i < log.Count; i++)
        {
            while (k < fixes.Count && satelliteToMotion.Map(fixes[k].Time!.Value).Seconds <= log.Seconds[i])
            {
                detector.PushSpeed(fixes[k++].SpeedMps!.Value);
            }

            if (detector.Push(log.Seconds[i], log.AccelerationX[i], log.AccelerationY[i], log.AccelerationZ[i], out var e))
            {
                catches.Add(e.Seconds);
            }
        }

        return catches;
    }
}
