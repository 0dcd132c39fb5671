using Stakeboat.Core.Measurement;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Simulation.Racing;

namespace Stakeboat.Core.Tests.Strokes;

/// <summary>Other sensors than the usual: fixes at 0.3, 2 and 10 Hz, fixes without a speed, a log alone, a track alone; and what only some of them show.</summary>
public class SensorsSynthetic
{
    private static OutingTrial Try(int seed, Func<PracticeScenario, PracticeScenario> change)
    {
        var trial = new OutingTrial();
        for (int i = 0; i < 10; i++)
        {
            trial.Add(seed + i, change);
        }

        return trial;
    }

    [Theory]
    [InlineData(10, true, 0.045)]
    [InlineData(0.3, true, 0.09)]
    [InlineData(1, false, 0.11)]
    public void FixesOfOtherRates(double hertz, bool doppler, double rmse)
    {
        var trial = Try(600, s => s with { Satellite = s.Satellite! with { Hertz = hertz, SpeedSd = doppler ? s.Satellite.SpeedSd : null } });
        string report = trial.Report();
        Assert.True(trial.Recall >= 0.995, report);
        Assert.True(trial.Precision >= 0.99, report);
        Assert.Equal(10, trial.Clocks);
        Assert.Equal(trial.StartsTrue, trial.StartsFound);
        Assert.True(trial.SpeedRmse.Average() <= rmse, report);
    }

    [Fact]
    public void MotionAloneFindsTheStrokesAndSaysWhatItLacks()
    {
        int truth = 0, found = 0, matched = 0;
        for (int seed = 620; seed < 640; seed++)
        {
            var row = PracticeSimulator.Run(OutingTrial.Scenario(seed), (ulong)seed);
            var f = SensorAnalysis.Analyse(new SensorInput(row.Motion, null));
            Assert.Contains(f.Issues, i => i.Kind == SensorIssueKind.NoTrack);
            Assert.Contains(f.Issues, i => i.Kind == SensorIssueKind.PolarityByShape);
            Assert.Null(f.Hull);
            Assert.All(f.Strokes, s => Assert.True(s.Metres is null && s.Speed is null));
            var map = row.ToMotion.Then(f.Motion!.Value);
            var at = f.Strokes.Select(s => s.Catch.Seconds).ToList();
            var catches = row.Strokes.Select(s => map.Map(Instant<RecordingClock>.FromSeconds(s.Catch)).Seconds).ToList();
            truth += catches.Count;
            found += at.Count;
            matched += catches.Count(c => at.Exists(x => Math.Abs(x - c) < 0.3));
        }

        Assert.True(matched >= 0.99 * truth && matched >= 0.985 * found, $"{matched} of {truth}, found {found}");
    }

    [Fact]
    public void ATrackAloneOfFiveHertzHoldsRateAndWay()
    {
        int strokes = 0, right = 0;
        for (int seed = 0; seed < 6; seed++)
        {
            var race = RaceSimulator.Run(new RaceScenario { DistanceMetres = 1000, Cox = null, Satellite = new() { Hertz = 5, SpeedSd = 0.1 } }, (ulong)seed);
            var f = SensorAnalysis.Analyse(new SensorInput(null, race.Track, Core.Units.Distance.FromMetres(1000)));
            Assert.NotNull(f.Race);
            Assert.All(f.Rates, r => Assert.Equal(RateSource.FastFixes, r.Source));
            var back = f.Satellite!.Value.Inverse().Then(race.ToSatellite.Inverse());
            foreach (var r in f.Rates)
            {
                double t = back.Map(r.At).Seconds;
                if (t > race.Scenario.GoAt + 20 && race.Own.RateAt(t) is { } rate)
                {
                    strokes++;
                    right += Math.Abs(rate - r.Rate.Mean) < 2 ? 1 : 0;
                }
            }
        }

        Assert.True(right > 0.9 * strokes && strokes > 500, $"{right} of {strokes}");
    }

    private static SensorFindings Steady(double rate, double speed, double hertz, ulong seed, bool doppler = true)
    {
        var row = PracticeSimulator.Run(new PracticeScenario
        {
            Steps = [new PracticeStep.Rest(20), new PracticeStep.Strokes(120, rate, speed), new PracticeStep.Rest(20)],
            Satellite = new() { Hertz = hertz, SpeedSd = doppler ? 0.08 : null },
            Motion = null,
        }, seed);
        return SensorAnalysis.Analyse(new SensorInput(null, row.Track));
    }

    [Theory]
    [InlineData(18, 3.4, true)]
    [InlineData(20, 3.6, true)]
    [InlineData(22, 3.5, true)]
    [InlineData(25, 3.4, true)]
    [InlineData(20, 3.6, false)]
    public void OneFixASecondGivesARateBelow27ThatNoMirrorImageContests(double rate, double speed, bool doppler)
    {
        for (ulong seed = 1; seed < 4; seed++)
        {
            var f = Steady(rate, speed, 1, seed, doppler);
            Assert.True(f.Rates.Count > 40, $"{f.Rates.Count}");
            Assert.All(f.Rates, r => Assert.Equal(RateSource.SlowFixes, r.Source));
            Assert.All(f.Rates.Skip(5).SkipLast(5), r => Assert.Equal(rate, r.Rate.Mean, doppler ? 1.0 : 1.5));
            Assert.True(f.Rates.Count(r => r.Rate.Low90 <= rate && rate <= r.Rate.High90) > 0.8 * f.Rates.Count);
            Assert.DoesNotContain(f.Issues, i => i.Kind == SensorIssueKind.RateRefusedAliasing);
        }
    }

    [Theory]
    [InlineData(32, 5.2)]
    [InlineData(36, 5.4)]
    [InlineData(40, 5.6)]
    public void OneFixASecondRefusesARateAbove27AndSaysWhy(double rate, double speed)
    {
        for (ulong seed = 1; seed < 4; seed++)
        {
            var f = Steady(rate, speed, 1, seed);
            Assert.True(f.Rates.Count < 0.05 * f.Folded.Count, $"{f.Rates.Count} rates");
            Assert.Contains(f.Issues, i => i.Kind == SensorIssueKind.RateRefusedAliasing && i.Value is > 0.9 and < 1.1);

            // What is kept for the vote is the mirror image.
            double folded = f.Folded.Select(r => r.Rate.Mean).Order().ElementAt(f.Folded.Count / 2);
            Assert.Equal(60 - rate, folded, 1.0);
        }
    }

    [Fact]
    public void WhereARateAndItsMirrorImageBothMakeSenseNeitherIsGiven()
    {
        var f = Steady(25, 4.4, 1, 2);
        Assert.True(f.Rates.Count < 0.1 * f.Folded.Count, $"{f.Rates.Count} of {f.Folded.Count}");
        Assert.Equal(25, Assert.Single(f.Issues, i => i.Kind == SensorIssueKind.RateAmbiguousAliasing).Value!.Value, 2.0);
    }

    [Fact]
    public void TwoFixesASecondHoldARacingRate()
    {
        var f = Steady(36, 5.4, 2, 3);
        Assert.True(f.Rates.Count > 40);
        Assert.All(f.Rates.Skip(5).SkipLast(5), r => Assert.Equal(36, r.Rate.Mean, 1.0));
    }

    [Fact]
    public void AFixEachThreeSecondsHoldsNoRate()
    {
        var f = Steady(20, 3.6, 0.3, 3);
        Assert.Empty(f.Rates);
        Assert.Contains(f.Issues, i => i.Kind == SensorIssueKind.RateRefusedAliasing);
    }

    [Fact]
    public void TurnsAreFoundWithTheirAngle()
    {
        foreach (double angle in (double[])[180, -180])
        {
            for (ulong seed = 0; seed < 8; seed++)
            {
                var row = PracticeSimulator.Run(new PracticeScenario
                {
                    Steps =
                    [
                        new PracticeStep.Rest(15), new PracticeStep.Strokes(40, 22, 4), new PracticeStep.Turn(8, angle), new PracticeStep.Strokes(40, 22, 4),
                        new PracticeStep.Rest(15),
                    ],
                }, seed);
                var f = SensorAnalysis.Analyse(new SensorInput(row.Motion, row.Track));
                var turn = Assert.Single(f.Turns);
                Assert.Equal(angle, turn.Degrees, 20.0);
                double truth = row.ToMotion.Then(f.Motion!.Value).Map(Instant<RecordingClock>.FromSeconds(row.Strokes[40].Catch)).Seconds;
                Assert.InRange(truth + 20, turn.Span.From.Seconds - 15, turn.Span.To.Seconds + 15);
            }
        }
    }

    /// <summary>A hull that rolls and yaws in a known way with each stroke, under a phone of any pose.</summary>
    [Theory]
    [InlineData(0.6, 1.5)]
    [InlineData(1.2, 3)]
    public void RollAndYawOfEachStroke(double rollSd, double yawSwing)
    {
        var row = PracticeSimulator.Run(new PracticeScenario { Steps = [new PracticeStep.Rest(15), new PracticeStep.Strokes(80, 28, 4.6), new PracticeStep.Rest(10)] }, 9);
        var dice = new Random(3);
        double Normal() => Math.Sqrt(-2 * Math.Log(1 - dice.NextDouble())) * Math.Cos(2 * Math.PI * dice.NextDouble());
        const double Degree = Math.PI / 180, Hz = 50;
        double Phase(double t)
        {
            var s = row.Strokes.LastOrDefault(x => x.Catch <= t);
            return s is null || t > s.Next ? 0 : 2 * Math.PI * (t - s.Catch) / (s.Next - s.Catch);
        }

        double Roll(double t) => rollSd * Math.Sqrt(2) * Math.Sin(Phase(t)) * Degree;
        double Yaw(double t) => 0.5 * yawSwing * Math.Sin(Phase(t)) * Degree;
        int n = (int)(row.Own.To * Hz);
        var c = new double[7][];
        for (int k = 0; k < 7; k++)
        {
            c[k] = new double[n];
        }

        // Phone turned about the upright, then tipped about its own x: hull axes x to the bow, y to port, z up.
        double turn = 2.2, tip = 0.7;
        for (int i = 0; i < n; i++)
        {
            double t = i / Hz, h = 1e-3;
            double fx = row.Own.AccelerationAt(t), fy = 9.80665 * Math.Sin(Roll(t)), fz = 9.80665 * Math.Cos(Roll(t));
            double wx = (Roll(t + h) - Roll(t - h)) / (2 * h), wz = -(Yaw(t + h) - Yaw(t - h)) / (2 * h);
            (double X, double Y, double Z) Phone(double x, double y, double z)
            {
                double a = Math.Cos(turn) * x + Math.Sin(turn) * y, b = -Math.Sin(turn) * x + Math.Cos(turn) * y;
                return (a, Math.Cos(tip) * b + Math.Sin(tip) * z, -Math.Sin(tip) * b + Math.Cos(tip) * z);
            }

            var f = Phone(fx, fy, fz);
            var w = Phone(wx, 0, wz);
            (c[0][i], c[1][i], c[2][i], c[3][i]) = (t, f.X + 0.15 * Normal(), f.Y + 0.15 * Normal(), f.Z + 0.15 * Normal());
            (c[4][i], c[5][i], c[6][i]) = (w.X + 0.004 * Normal(), w.Y + 0.004 * Normal(), w.Z + 0.004 * Normal());
        }

        var found = SensorAnalysis.Analyse(new SensorInput(new MotionLog("m", c[0], c[1], c[2], c[3], c[4], c[5], c[6], true), null));
        var good = found.Strokes.Where(s => s.Quality == StrokeQuality.Good).ToList();
        Assert.True(good.Count > 60);
        Assert.Equal(rollSd, good.Average(s => s.RollSpread!.Value.Mean), 0.15 * rollSd + 0.05);
        Assert.Equal(yawSwing, good.Average(s => s.Yaw!.Value.Mean), 0.1 * yawSwing + 0.1);
        Assert.True(good.Count(s => Math.Abs(s.RollSpread!.Value.Mean - rollSd) <= 1.645 * s.RollSpread.Value.Sd + 0.1 * rollSd) > 0.9 * good.Count);
        Assert.True(good.Count(s => Math.Abs(s.Yaw!.Value.Mean - yawSwing) <= 1.645 * s.Yaw.Value.Sd + 0.1 * yawSwing) > 0.9 * good.Count);
        Assert.All(good, s => Assert.InRange(s.Roll!.Value.Mean, -0.6, 0.6));
    }

    [Fact]
    public void ALeanToStarboardIsPositive()
    {
        var row = PracticeSimulator.Run(new PracticeScenario { Steps = [new PracticeStep.Rest(15), new PracticeStep.Strokes(80, 26, 4.4), new PracticeStep.Rest(10)] }, 10);
        int n = (int)(row.Own.To * 50);
        double[] t = new double[n], x = new double[n], y = new double[n], z = new double[n];
        double half = row.Strokes[40].Catch;
        for (int i = 0; i < n; i++)
        {
            t[i] = i / 50.0;

            // Starboard down by two degrees for twelve seconds: the phone's y, to port, then feels a part of what holds it up.
            double roll = t[i] > half && t[i] < half + 12 ? 2 * Math.PI / 180 : 0;
            (x[i], y[i], z[i]) = (row.Own.AccelerationAt(t[i]), 9.80665 * Math.Sin(roll), 9.80665 * Math.Cos(roll));
        }

        var f = SensorAnalysis.Analyse(new SensorInput(new MotionLog("m", t, x, y, z, null, null, null, true), null));
        double zero = row.Strokes[40].Catch;
        var lean = f.Strokes.Where(s => s.Catch.Seconds > zero + 3 && s.Catch.Seconds < zero + 7).ToList();
        Assert.NotEmpty(lean);
        Assert.All(lean, s => Assert.InRange(s.Roll!.Value.Mean, 1.4, 2.1));
        Assert.Equal(0, f.Strokes.Where(s => s.Catch.Seconds < zero - 20).Average(s => s.Roll!.Value.Mean), 0.3);
    }
}
