using Stakeboat.Core.Measurement;
using Stakeboat.Core.Signals;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Tests.Strokes;

/// <summary>Logs and tracks as phones and watches really write them, on simulated outings whose truth stays known.</summary>
public class TroubledLogsSynthetic
{
    private const int Outings = 10;

    private static OutingTrial Try(int seed, Func<MotionLog, MotionLog> bend)
    {
        var trial = new OutingTrial();
        for (int i = 0; i < Outings; i++)
        {
            trial.Add(seed + i, null, bend);
        }

        return trial;
    }

    private static MotionLog Change(MotionLog m, Func<int, double, double>? time = null, Func<int, int, double, double>? value = null, Func<int, bool>? keep = null)
    {
        int[] index = [.. Enumerable.Range(0, m.Count).Where(i => keep?.Invoke(i) ?? true)];
        double[]? Column(double[]? x, int axis) => x is null ? null : [.. index.Select(i => value?.Invoke(i, axis, x[i]) ?? x[i])];
        return new MotionLog(m.Name, [.. index.Select(i => time?.Invoke(i, m.Seconds[i]) ?? m.Seconds[i])], Column(m.AccelerationX, 0)!, Column(m.AccelerationY, 1)!,
            Column(m.AccelerationZ, 2)!, Column(m.RotationX, 3), Column(m.RotationY, 4), Column(m.RotationZ, 5), m.HasGravity);
    }

    private static void Holds(OutingTrial t, double recall = 0.995, double precision = 0.99)
    {
        string report = t.Report();
        Assert.True(t.Recall >= recall, report);
        Assert.True(t.Precision >= precision, report);
        Assert.Equal(Outings, t.Clocks);
        Assert.True(t.SpeedRmse.Average() <= 0.075, report);
    }

    [Fact]
    public void WildSamples()
    {
        var dice = new Random(1);
        Holds(Try(400, m => Change(m, value: (_, axis, x) => axis < 3 && dice.NextDouble() < .004 ? x + (dice.NextDouble() - .5) * 160 : x)));
    }

    [Fact]
    public void GravityTakenOutByTheDevice_WhateverTheFileSays()
    {
        static double[] Slow(MotionLog m, double[] x) =>
            SectionFilter.ZeroPhase(Butterworth.LowPass(1, 0.05, m.Count / (m.Seconds[^1] - m.Seconds[0])), x);
        Holds(Try(420, m =>
        {
            double[][] slow = [Slow(m, m.AccelerationX), Slow(m, m.AccelerationY), Slow(m, m.AccelerationZ)];
            return Change(m, value: (i, axis, x) => axis < 3 ? x - slow[axis][i] : x);
        }));
    }

    [Fact]
    public void TheLogsClockJumpsBack()
    {
        Holds(Try(440, m => Change(m, time: (i, t) => i > m.Count / 2 ? t - 30 : t)));
        var row = Change(Simulated().Motion!, time: (i, t) => i > 4000 ? t - 30 : t);
        var found = SensorAnalysis.Analyse(new SensorInput(row, null));
        Assert.Equal(-30, Assert.Single(found.Issues, i => i.Kind == SensorIssueKind.MotionClockJumped).Value!.Value, 0.1);
    }

    [Fact]
    public void StampsThatAreNoNumbersAbsurdOrTwice()
    {
        var dice = new Random(4);
        Holds(Try(460, m => Change(m,
            time: (i, t) => dice.NextDouble() switch { < .001 => double.NaN, < .002 => t + 1e9, < .003 => t - 1e9, < .004 when i > 0 => m.Seconds[i - 1], _ => t },
            value: (_, _, x) => dice.NextDouble() < .001 ? double.NaN : x)));
    }

    [Fact]
    public void StampsThatTremble()
    {
        var dice = new Random(5);
        Holds(Try(480, m => Change(m, time: (_, t) => t + (m.Seconds[1] - m.Seconds[0]) * 0.9 * (dice.NextDouble() - .5))));
    }

    [Fact]
    public void AHoleAMinute()
    {
        // Strokes inside a hole are lost; what is found is right, and the clocks hold.
        var dice = new Random(6);
        double until = -1;
        var trial = Try(500, m => Change(m, keep: i =>
        {
            if (i == 0)
            {
                until = double.NegativeInfinity;
            }

            if (m.Seconds[i] < until)
            {
                return false;
            }

            if (dice.NextDouble() < (m.Seconds[^1] - m.Seconds[0]) / m.Count / 60)
            {
                until = m.Seconds[i] + 1 + 4 * dice.NextDouble();
            }

            return true;
        }));
        string report = trial.Report();
        Assert.True(trial.Recall >= 0.85, report);
        Assert.True(trial.Precision >= 0.99, report);
        Assert.True(trial.Clocks >= Outings - 1, report);
    }

    [Fact]
    public void ThePhoneIsPickedUpAndLaidDownOtherwise()
    {
        var trial = Try(520, m =>
        {
            double c = Math.Cos(1.2), s = Math.Sin(1.2);
            int half = m.Count / 2;
            return Change(m, value: (i, axis, x) => i < half || axis is 0 or 3 ? x
                : axis switch
                {
                    1 => c * m.AccelerationY[i] - s * m.AccelerationZ[i],
                    2 => s * m.AccelerationY[i] + c * m.AccelerationZ[i],
                    4 => c * m.RotationY![i] - s * m.RotationZ![i],
                    _ => s * m.RotationY![i] + c * m.RotationZ![i],
                });
        });
        Holds(trial);
    }

    [Fact]
    public void OneFixFarInTheFutureAndOneAtZeroAreNotBelieved()
    {
        var row = Simulated();
        var fixes = row.Track!.Fixes.ToList();
        fixes.Insert(40, fixes[40] with { Time = Instant<SatelliteClock>.FromSeconds(fixes[40].Time!.Value.Seconds + 1e6) });
        fixes.Insert(0, fixes[0] with { LatitudeDegrees = 0, LongitudeDegrees = 0, Time = Instant<SatelliteClock>.FromSeconds(fixes[0].Time!.Value.Seconds - 1) });
        fixes.Insert(0, fixes[1] with { LatitudeDegrees = 20, LongitudeDegrees = 20, Time = Instant<SatelliteClock>.FromSeconds(fixes[1].Time!.Value.Seconds - 2) });
        var plain = SensorAnalysis.Analyse(new SensorInput(row.Motion, row.Track));
        var bent = SensorAnalysis.Analyse(new SensorInput(row.Motion, new Track("bent", fixes)));
        Assert.Equal(plain.Strokes.Count, bent.Strokes.Count);
        double way = plain.Hull!.At(plain.Hull.To).Metres - plain.Hull.At(plain.Hull.From).Metres;
        Assert.Equal(way, bent.Hull!.At(bent.Hull.To).Metres - bent.Hull.At(bent.Hull.From).Metres, 8.0);
    }

    private static Simulation.Racing.SimulatedPractice Simulated() => Simulation.Racing.PracticeSimulator.Run(OutingTrial.Scenario(541), 541);
}
