using Stakeboat.Core.Boats;
using Stakeboat.Core.Calls;
using Stakeboat.Core.Crews;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Debrief;

public class RaceTimesTests
{
    private static HeardCall At(double t, Call call, double confidence = 0.9) => new(Instant<RecordingClock>.FromSeconds(t), 0.2, call, confidence, "", 0, []);

    private static RaceSheet Sheet(double? go = null) => new(Crew.Named("Alder", BoatClass.Eight), BoatClass.Eight.Geometry, Distance.FromMetres(2000),
        new Dictionary<int, string>(), [], Distance.FromMetres(13.5), go is { } g ? Instant<RecordingClock>.FromSeconds(g) : null);

    private static ResultSheet Result(double seconds) => new(Distance.FromMetres(2000),
        [new ResultRow(1, 2, "Alder", [new MarkTime(Distance.FromMetres(2000), Duration.FromSeconds(seconds))])]);

    private static readonly HeardCall[] Race =
    [
        At(20, new ShiftCall(RhythmChange.Start)), At(40, new CommandCall(Deed.Stop, "all")),
        At(100.7, new ShiftCall(RhythmChange.Start)), At(112, new RateCall(42, RateSense.Now)), At(135, new ShiftCall(RhythmChange.Settle)),
        At(195, new DistanceCall(500, DistanceSense.Gone)), At(290, new DistanceCall(1000, DistanceSense.Gone)), At(385, new DistanceCall(500, DistanceSense.Left)),
        At(470, new CountCall(9)), At(481, new CommandCall(Deed.Stop, "all")),
    ];

    [Fact]
    public void TheRaceIsFoundAfterAPracticeStart()
    {
        var times = RaceTimes.Find(Race, Sheet(), null, null, null);
        Assert.Equal(TimeSource.Heard, times.Go!.Value.Source);
        Assert.Equal(100, times.Go.Value.At.Mean, 6);
        Assert.Equal(478.8, times.Finish!.Value.At.Mean, 6);
    }

    [Fact]
    public void AGivenStartIsBelieved() => Assert.Equal(98, RaceTimes.Find(Race, Sheet(98), null, null, null).Go!.Value.At.Mean);

    [Fact]
    public void ThePublishedTimeSetsTheFinish()
    {
        var times = RaceTimes.Find(Race, Sheet(), Result(380.5), null, null);
        Assert.Equal(TimeSource.Result, times.Finish!.Value.Source);
        Assert.Equal(480.5, times.Finish.Value.At.Mean, 6);
    }

    [Fact]
    public void SensorsThatAgreeNarrowTheStart()
    {
        var alone = RaceTimes.Find(Race, Sheet(), null, null, null).Go!.Value.At;
        var both = RaceTimes.Find(Race, Sheet(), null, new Estimate(100.3, 0.2), null).Go!.Value.At;
        Assert.True(both.Sd < alone.Sd && both.Sd < 0.2);
        Assert.InRange(both.Mean, 100, 100.3);
    }

    [Fact]
    public void SensorsThatContradictAreFollowedOnlyWhereSurer() =>
        Assert.Equal(100, RaceTimes.Find(Race, Sheet(), null, new Estimate(160, 5), null).Go!.Value.At.Mean, 6);

    [Fact]
    public void WithoutAStartWord_TheMarksReckonIt()
    {
        var times = RaceTimes.Find([.. Race.Where(c => c.Call is not ShiftCall)], Sheet(), null, null, null);
        Assert.Equal(TimeSource.Reckoned, times.Go!.Value.Source);
        Assert.InRange(100, times.Go.Value.At.Low90, times.Go.Value.At.High90);
    }

    [Fact]
    public void APracticeWithoutARace_HasNoStart() =>
        Assert.Null(RaceTimes.Find([At(10, new CommandCall(Deed.Row, "all")), At(50, new RateCall(20, RateSense.Now)), At(90, new CommandCall(Deed.Stop, "all"))], null, null, null, null).Go);

    [Fact]
    public void NothingGivesNothing() => Assert.Null(RaceTimes.Find([], null, null, null, null).Go);
}
