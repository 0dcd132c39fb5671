using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Strokes;

/// <summary>How far a stroke's numbers may be trusted.</summary>
public enum StrokeQuality
{
    /// <summary>Clear catch, regular neighbours, speed well held.</summary>
    Good,

    /// <summary>Something is off: a weak catch, an uneven neighbour, few fixes, or a period that was cut by a pause.</summary>
    Fair,

    /// <summary>Shown for completeness only: a first stroke, a lone one, or one inside a gap.</summary>
    Poor,
}

/// <summary>
/// One stroke, from its catch to the next. A number that the sensors could not give is null.
/// Sds are those of the sensor model: 90 % intervals are mean ± 1.645 sd.
/// </summary>
/// <param name="Index">Counted from 0 through the outing.</param>
/// <param name="Catch">Instant of the catch: the deepest point of the hull's acceleration.</param>
/// <param name="CatchSd">Its standard deviation, s. A shift shared by all catches is not in it.</param>
/// <param name="PeriodSeconds">To the next catch, or for the last stroke of a stretch the one before.</param>
/// <param name="Rate">Strokes/min over this stroke, 60 / period.</param>
/// <param name="Metres">Way made over ground in this stroke, m.</param>
/// <param name="Speed">Mean speed over ground in this stroke, m/s.</param>
/// <param name="Lowest">Lowest speed within the stroke, m/s.</param>
/// <param name="Highest">Highest speed within the stroke, m/s.</param>
/// <param name="Check">Speed at the catch less the lowest speed after it, m/s; positive.</param>
/// <param name="Roll">Mean roll against that of the minute around, degrees, positive to starboard (a phone that slips and a boat that leans for long look alike); needs gravity.</param>
/// <param name="RollSpread">Standard deviation of roll within the stroke, degrees: how the boat sat.</param>
/// <param name="Yaw">Peak-to-peak yaw within the stroke, degrees; needs a gyroscope.</param>
/// <param name="Quality">How far the numbers may be trusted.</param>
public sealed record Stroke(
    int Index,
    Instant<SensorClock> Catch,
    double CatchSd,
    double PeriodSeconds,
    Estimate Rate,
    Estimate? Metres,
    Estimate? Speed,
    Estimate? Lowest,
    Estimate? Highest,
    Estimate? Check,
    Estimate? Roll,
    Estimate? RollSpread,
    Estimate? Yaw,
    StrokeQuality Quality);
