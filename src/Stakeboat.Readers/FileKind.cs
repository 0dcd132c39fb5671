namespace Stakeboat.Readers;

/// <summary>What a file is, by its content.</summary>
public enum FileKind
{
    Unknown,
    Empty,
    Gpx,
    Tcx,
    Fit,
    Nmea,
    NumberLog,
    WebVtt,
    SubRip,
    TimedText,
    WordJson,
    RaceSheet,
    ResultSheet,
    ResultText,
    GeoJson,
    Wav,
    Flac,
    Mp3,
    OggVorbis,
    OggOpus,
    M4a,
    Zip,

    /// <summary>A picture, a page, a program: recognised, and not ours to read.</summary>
    Foreign,

    /// <summary>A truth or label file of a simulated race: not looked at.</summary>
    Labels,
}
