using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Maps;
using Stakeboat.Readers.Motion;
using Stakeboat.Readers.Tracks;

namespace Stakeboat.Readers;

/// <summary>What one file turned out to hold. Lists are empty and the rest null where it held none of that.</summary>
public sealed record FileContents(string Name, FileKind Kind)
{
    public IReadOnlyList<Track> Tracks { get; init; } = [];

    public IReadOnlyList<MotionLog> Motions { get; init; } = [];

    /// <summary>Turning rates alone, of a logger that writes a file for each sensor.</summary>
    public TurningLog? Turning { get; init; }

    public IReadOnlyList<NamedPlace> Places { get; init; } = [];

    public IReadOnlyList<MapLine> Lines { get; init; } = [];

    public IReadOnlyList<Lap> Laps { get; init; } = [];

    public IReadOnlyList<Lap> Sessions { get; init; } = [];

    public CaptionTrack? Captions { get; init; }

    public RaceSheet? Sheet { get; init; }

    public ResultSheet? Result { get; init; }

    public SoundFacts? Sound { get; init; }

    /// <summary>How a log of numbers was taken to be laid out.</summary>
    public LogLayout? Layout { get; init; }

    /// <summary>What an archive held.</summary>
    public IReadOnlyList<FileContents> Parts { get; init; } = [];

    /// <summary>This file and everything in it.</summary>
    public IEnumerable<FileContents> Flatten() => Parts.SelectMany(p => p.Flatten()).Prepend(this);
}
