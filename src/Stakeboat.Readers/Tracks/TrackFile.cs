using Stakeboat.Core.Measurement;

namespace Stakeboat.Readers.Tracks;

/// <summary>A lap as the watch counted it.</summary>
/// <param name="StartSeconds">Satellite clock; null where the file had none.</param>
/// <param name="Seconds">Timer time.</param>
/// <param name="Metres">As the watch measured it.</param>
public sealed record Lap(double? StartSeconds, double? Seconds, double? Metres);

/// <summary>What a track file held.</summary>
/// <param name="Motions">Accelerometer records where the file had them (FIT).</param>
public sealed record TrackFile(
    IReadOnlyList<Track> Tracks, IReadOnlyList<NamedPlace> Places, IReadOnlyList<Lap> Laps, IReadOnlyList<MotionLog> Motions)
{
    /// <summary>Routes: lines that were planned and not rowed.</summary>
    public IReadOnlyList<MapLine> Lines { get; init; } = [];

    /// <summary>Whole outings as the watch counted them, each with its laps.</summary>
    public IReadOnlyList<Lap> Sessions { get; init; } = [];
}
