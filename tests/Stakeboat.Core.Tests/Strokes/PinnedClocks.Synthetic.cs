using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Simulation.Racing;

namespace Stakeboat.Core.Tests.Strokes;

/// <summary>A person pins the motion log's clock to the satellites'. Truth: simulated outings whose clocks are off by many seconds and drift apart.</summary>
public class PinnedClocksSynthetic
{
    private static (SimulatedPractice Row, ClockMap<MotionClock, SatelliteClock> Truth) Outing(int seed)
    {
        var scenario = OutingTrial.Scenario(seed);
        scenario = scenario with
        {
            Motion = scenario.Motion! with { ClockOffset = 812.25, ClockDrift = 4e-4 },
            Satellite = scenario.Satellite! with { ClockOffset = -13.75, ClockDrift = -3e-4 },
        };
        var row = PracticeSimulator.Run(scenario, (ulong)seed);
        return (row, row.ToMotion.Inverse().Then(row.ToSatellite));
    }

    private static (double First, double Last) Errors(SimulatedPractice row, SensorFindings found)
    {
        var truth = row.ToSatellite.Inverse().Then(row.ToMotion).Then(found.Motion!.Value);
        double At(int i)
        {
            var t = row.Track!.Fixes[i].Time!.Value;
            return found.Satellite!.Value.Map(t).Seconds - truth.Map(t).Seconds;
        }

        return (At(0), At(row.Track!.Fixes.Count - 1));
    }

    private static double SpeedRmse(SimulatedPractice row, SensorFindings found)
    {
        var back = row.ToMotion.Then(found.Motion!.Value).Inverse();
        var errors = found.Hull!.Sample(5).Select(s => (s.SpeedMps, T: back.Map(s.At).Seconds)).Where(s => row.Own.RateAt(s.T) is not null)
            .Select(s => s.SpeedMps - row.Own.SpeedAt(s.T)).ToList();
        return Math.Sqrt(errors.Average(e => e * e));
    }

    [Theory]
    [InlineData(2)]
    [InlineData(5)]
    [InlineData(7)]
    public void AnExactPinIsTakenWithItsOffsetAndItsDrift(int seed)
    {
        var (row, truth) = Outing(seed);
        var found = SensorAnalysis.Analyse(new SensorInput(row.Motion, row.Track, null, truth with { Origin = "pinned" }));
        var (first, last) = Errors(row, found);
        Assert.Equal(0, first, 1e-5);
        Assert.Equal(0, last, 1e-5);
        Assert.Equal("pinned", found.Satellite!.Value.Origin);
        Assert.InRange(SpeedRmse(row, found), 0, 0.09);
        Assert.DoesNotContain(found.Issues, i => i.Kind is SensorIssueKind.ClocksNotJoined or SensorIssueKind.NoOverlap);
    }

    [Theory]
    [InlineData(2, 0.12)]
    [InlineData(5, -0.15)]
    public void APinByHandIsSharpenedInsideItsSpread(int seed, double off)
    {
        var (row, truth) = Outing(seed);
        var pin = truth with { Offset = truth.Offset + off, OffsetSd = 0.1, Origin = "pinned" };
        var found = SensorAnalysis.Analyse(new SensorInput(row.Motion, row.Track, null, pin));
        var (first, last) = Errors(row, found);
        Assert.Equal(0, first, 0.05);
        Assert.Equal(0, last, 0.05);
        Assert.InRange(SpeedRmse(row, found), 0, 0.1);
    }

    [Fact]
    public void APinStandsAgainstTheEvidence()
    {
        var (row, truth) = Outing(2);
        var pin = truth with { Offset = truth.Offset + 2, OffsetSd = 0.05, Origin = "pinned" };
        var found = SensorAnalysis.Analyse(new SensorInput(row.Motion, row.Track, null, pin));
        var (first, last) = Errors(row, found);

        // Pinned 2 s too high on the satellite clock, a fix lies 2 s too early on the sensors'.
        Assert.Equal(-2, first, 0.01);
        Assert.Equal(-2, last, 0.01);
    }

    [Fact]
    public void WithoutAPinTheSameDriftIsFound()
    {
        var (row, _) = Outing(2);
        var found = SensorAnalysis.Analyse(new SensorInput(row.Motion, row.Track));
        Assert.Equal("correlation", found.Satellite!.Value.Origin);
        var middle = row.Track!.Fixes[row.Track.Fixes.Count / 2].Time!.Value;
        var truth = row.ToSatellite.Inverse().Then(row.ToMotion).Then(found.Motion!.Value);
        Assert.Equal(truth.Map(middle).Seconds, found.Satellite.Value.Map(middle).Seconds, 0.1);
    }
}
