using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Calls;

/// <summary>What is known besides the words. Every part may be missing.</summary>
/// <param name="RatesNear">Measured stroke rate (strokes/min) by second of the recording, in order; empty where there is no track.</param>
/// <param name="Corrections">What a person put right; applied after every run.</param>
/// <param name="CrewLexicon">What earlier corrections taught of this crew's own words: heard words and what they meant.</param>
public sealed record CallContext(
    IReadOnlyList<MeasuredRate> RatesNear,
    IReadOnlyList<CallCorrection> Corrections,
    IReadOnlyList<LearnedWord> CrewLexicon)
{
    public static CallContext None { get; } = new([], [], []);
}

/// <summary>A stroke rate measured by something else than the ear, strokes/min.</summary>
public readonly record struct MeasuredRate(Instant<RecordingClock> At, double Spm);

/// <summary>A word or phrase of captions that a person explained: "anvil" or "and will" is "anvil".</summary>
/// <param name="Heard">As the captions had it.</param>
/// <param name="Said">What was said.</param>
/// <param name="Times">How often it was confirmed.</param>
public sealed record LearnedWord(string Heard, string Said, int Times);

/// <summary>Why text was set aside.</summary>
public enum SetAsideWhy
{
    /// <summary>A sentence that recognisers are known to invent over silence.</summary>
    Invented,

    /// <summary>The same long text again and again.</summary>
    Repeated,

    /// <summary>More words than a mouth can say in the time.</summary>
    TooFast,

    /// <summary>Not the language of the lexicon.</summary>
    OtherLanguage,

    /// <summary>Numbers without a word that would give them a meaning.</summary>
    NumbersOnly,
}

/// <summary>Caption text from which no call is read; shown so that a person can overrule it.</summary>
public sealed record SetAside(int CueIndex, Instant<RecordingClock> From, Instant<RecordingClock> To, string Text, SetAsideWhy Why);

/// <summary>Everything that was read from one caption track.</summary>
/// <param name="Calls">In order of time.</param>
public sealed record CallReadings(
    string TrackName, CaptionTiming Timing, IReadOnlyList<HeardCall> Calls, IReadOnlyList<SetAside> Aside, TalkStatistics Talk,
    IReadOnlyList<CorrectionOutcome> Corrections);
