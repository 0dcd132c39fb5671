using Stakeboat.Core.Time;

namespace Stakeboat.Core.Measurement;

/// <summary>One satellite fix in WGS 84. What a file did not say is null.</summary>
/// <param name="Time">Satellite time; null where the file had none.</param>
/// <param name="LatitudeDegrees">Positive north, [-90, 90].</param>
/// <param name="LongitudeDegrees">Positive east, [-180, 180).</param>
/// <param name="AltitudeMetres">As given, above whatever the file means.</param>
/// <param name="SpeedMps">Speed over ground that the receiver itself gave (Doppler), m/s.</param>
/// <param name="CourseDegrees">Course over ground that the receiver gave.</param>
/// <param name="HorizontalDilution">HDOP.</param>
/// <param name="AccuracyMetres">Horizontal accuracy that the device claimed, m.</param>
/// <param name="HeartRate">Beats a minute, of whoever wore the device.</param>
/// <param name="Cadence">Per minute, as the device gave it.</param>
/// <param name="Segment">Index of the file's track segment or lap; no fix is joined to one of another segment.</param>
public readonly record struct Fix(
    Instant<SatelliteClock>? Time,
    double LatitudeDegrees,
    double LongitudeDegrees,
    double? AltitudeMetres = null,
    double? SpeedMps = null,
    double? CourseDegrees = null,
    double? HorizontalDilution = null,
    double? AccuracyMetres = null,
    double? HeartRate = null,
    double? Cadence = null,
    int Segment = 0);

/// <summary>Satellite fixes in the order of time.</summary>
public sealed record Track(string Name, IReadOnlyList<Fix> Fixes);

/// <summary>Samples of an inertial sensor, one array a column, all of one length. Frame: the device's own.</summary>
/// <param name="Seconds">On the log's own clock, s.</param>
/// <param name="AccelerationX">m/s²; with gravity when <paramref name="HasGravity"/>.</param>
/// <param name="RotationX">rad/s; null where the log had no gyroscope.</param>
public sealed record MotionLog(
    string Name,
    double[] Seconds,
    double[] AccelerationX, double[] AccelerationY, double[] AccelerationZ,
    double[]? RotationX, double[]? RotationY, double[]? RotationZ,
    bool HasGravity)
{
    public int Count => Seconds.Length;
}
