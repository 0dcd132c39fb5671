using CsCheck;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Tests.Time;

public class ClocksTests
{
    private static readonly Gen<ClockMap<RecordingClock, RaceClock>> AnyMap =
        Gen.Select(Gen.Double[-1e4, 1e4], Gen.Double[-1e-3, 1e-3], Gen.Double[-1e4, 1e4])
            .Select((o, d, a) => new ClockMap<RecordingClock, RaceClock>(o, d, a, 0.1, 1e-6, "given"));

    [Fact]
    public void ThereAndBackIsTheSameInstant() =>
        Gen.Select(AnyMap, Gen.Double[-1e4, 1e4]).Sample((map, t) =>
        {
            var there = map.Map(Instant<RecordingClock>.FromSeconds(t));
            Assert.Equal(t, map.Inverse().Map(there).Seconds, 6);
        });

    [Fact]
    public void ChainedMapsAgreeWithOneAfterTheOther() =>
        Gen.Select(AnyMap, AnyMap, Gen.Double[-1e4, 1e4]).Sample((m1, m2, t) =>
        {
            var second = new ClockMap<RaceClock, MotionClock>(m2.Offset, m2.Drift, m2.Anchor, m2.OffsetSd, m2.DriftSd, "given");
            var from = Instant<RecordingClock>.FromSeconds(t);
            Assert.Equal(second.Map(m1.Map(from)).Seconds, m1.Then(second).Map(from).Seconds, 6);
        });

    [Fact]
    public void UncertaintyGrowsAwayFromTheAnchor()
    {
        var map = new ClockMap<MotionClock, RecordingClock>(0, 0, 100, 0.3, 1e-3, "correlation");
        Assert.Equal(0.3, map.SdAt(Instant<MotionClock>.FromSeconds(100)), 12);
        Assert.Equal(0.5, map.SdAt(Instant<MotionClock>.FromSeconds(500)), 12);
    }
}
