using Stakeboat.Core.Time;

namespace Stakeboat.Core.Measurement;

/// <summary>How much a caption file knew of time.</summary>
public enum CaptionTiming
{
    /// <summary>Each cue has a start and an end.</summary>
    Cues,

    /// <summary>Blocks with a start alone, in whole seconds; a block lasts until the next.</summary>
    Blocks,

    /// <summary>Each word has its own start and end.</summary>
    Words,
}

/// <summary>Another word that the recogniser thought of for the same stretch of sound.</summary>
public readonly record struct WordAlternative(string Text, double Probability);

/// <summary>One word with its time, as a recogniser gave it.</summary>
/// <param name="Probability">Recogniser's own, in [0, 1]; null where it gave none. Not calibrated.</param>
public sealed record CaptionWord(
    string Text, Instant<RecordingClock> Start, Instant<RecordingClock> End, double? Probability = null,
    IReadOnlyList<WordAlternative>? Alternatives = null);

/// <summary>One cue or block of captions.</summary>
/// <param name="Words">Word times where the file had them, else empty.</param>
/// <param name="Voice">Speaker where the file named one.</param>
public sealed record CaptionCue(
    Instant<RecordingClock> Start, Instant<RecordingClock> End, string Text, IReadOnlyList<CaptionWord> Words, string? Voice = null);

/// <summary>The words of a recording with whatever times the file had.</summary>
public sealed record CaptionTrack(string Name, CaptionTiming Timing, IReadOnlyList<CaptionCue> Cues);
