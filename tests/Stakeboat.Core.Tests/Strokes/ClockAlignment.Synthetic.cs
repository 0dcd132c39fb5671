using Stakeboat.Core.Strokes;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Simulation.Racing;

namespace Stakeboat.Core.Tests.Strokes;

public class ClockAlignmentSynthetic
{
    [Fact]
    public void CalledRatesAndTheStartJoinTheRecording()
    {
        int inside = 0;
        var errors = new List<double>();
        for (int seed = 0; seed < 10; seed++)
        {
            var race = RaceSimulator.Run(new RaceScenario { DistanceMetres = 1000, Cox = null }, (ulong)seed);
            var found = SensorAnalysis.Analyse(new SensorInput(race.Motion, race.Track, Core.Units.Distance.FromMetres(1000)));
            double truth = -race.ToMotion.Then(found.Motion!.Value).Offset;
            var dice = new Random(seed);
            var rates = new List<HeardMark>();
            for (double t = race.Scenario.GoAt + 8; race.Own.RateAt(t) is { } rate; t += 25)
            {
                rates.Add(new HeardMark(t + 2 + 2 * dice.NextDouble(), Math.Round(rate), 1));
            }

            double first = race.Strokes.First(s => s.Catch > race.Scenario.GoAt - 0.5).Catch;
            var map = ClockAlignment.Find(found, rates, [new HeardMark(first, 0, 0.3)], 600);
            Assert.NotNull(map);
            double error = map.Value.Offset - truth;
            errors.Add(error);
            inside += Math.Abs(error) <= 2 * map.Value.OffsetSd ? 1 : 0;
        }

        Assert.All(errors, e => Assert.Equal(0, e, 0.6));
        Assert.True(inside >= 8, string.Join(", ", errors));
    }

    [Fact]
    public void APinStandsAboveAll()
    {
        var map = ClockAlignment.Pinned(12.5, 100);
        Assert.Equal(100, map.Map(Instant<SensorClock>.FromSeconds(12.5)).Seconds, 12);
    }

    [Fact]
    public void NothingSharedIsNoAnswer()
    {
        var race = RaceSimulator.Run(new RaceScenario { DistanceMetres = 500, Cox = null }, 3);
        var found = SensorAnalysis.Analyse(new SensorInput(race.Motion, race.Track));
        Assert.Null(ClockAlignment.Find(found, [], [], 600));
        Assert.Null(ClockAlignment.Find(found, [new HeardMark(100, 36, 1)], [], 600));
    }
}
