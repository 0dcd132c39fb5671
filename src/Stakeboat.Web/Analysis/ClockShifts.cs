using Stakeboat.Core.Debrief;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Exchange.Corrections;

namespace Stakeboat.Web.Analysis;

/// <summary>
/// What a person said of the clocks, as pins of the next debrief. Shifts are counted from where the clocks stand by themselves. The
/// sensors' clock is the motion log's where there is one: shifting it takes the track along, and shifting the track then moves it
/// against the log.
/// </summary>
internal static class ClockShifts
{
    /// <summary>How well a person sets a clock by eye on the page, s (my judgement, no source).</summary>
    private const double HandSd = 0.05;

    /// <summary>Null where nothing is to be shifted.</summary>
    public static DebriefInput? Apply(DebriefInput input, RaceDebrief made, IReadOnlyList<CorrectionDocument> standing)
    {
        double Sum(string clock) => standing.Where(c => c.Clock?.Clock == clock).Sum(c => c.Clock!.Shift);
        double motion = Sum("motion"), satellite = Sum("satellite");
        bool both = made.Sensors is { Motion: not null };
        double whole = both ? motion : satellite;
        var result = input;
        if (whole != 0 && made.SensorMap is { } map)
        {
            double at = map.Anchor;
            result = result with { Pin = new ClockPin(at, map.Map(Instant<SensorClock>.FromSeconds(at)).Seconds + whole) };
        }

        if (both && satellite != 0 && made.Sensors is { Motion: { } log, Satellite: { } fixes })
        {
            var moved = fixes with { Offset = fixes.Offset + satellite, OffsetSd = HandSd, Origin = "pinned" };
            result = result with { SensorClocks = log.Then(moved.Inverse()) with { Origin = "pinned" } };
        }

        return ReferenceEquals(result, input) ? null : result;
    }
}
