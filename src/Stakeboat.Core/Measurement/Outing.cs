namespace Stakeboat.Core.Measurement;

/// <summary>Everything that was brought of one race or outing, as read. Any part may be missing; each further one only narrows intervals.</summary>
/// <param name="Name">Of the folder or the drop.</param>
/// <param name="Sheet">What the person typed in.</param>
/// <param name="Captions">Best captions first (word times, then cues, then blocks, then a recogniser's).</param>
public sealed record Outing(
    string Name,
    RaceSheet? Sheet,
    IReadOnlyList<CaptionTrack> Captions,
    IReadOnlyList<Track> Tracks,
    IReadOnlyList<MotionLog> Motions,
    ResultSheet? Result,
    SoundFacts? Sound);

/// <summary>What is known of a recording without listening to it.</summary>
/// <param name="FileName">Name only, no folder.</param>
/// <param name="DurationSeconds">Length of the sound.</param>
public sealed record SoundFacts(string FileName, double DurationSeconds);
