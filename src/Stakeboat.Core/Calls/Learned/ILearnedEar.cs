namespace Stakeboat.Core.Calls.Learned;

/// <summary>One word of the captions as the decoder and a learned ear both see it.</summary>
/// <param name="Text">Lower case, without punctuation; digits stand as they stood ("36", "1:40").</param>
/// <param name="BreakBefore">A sentence mark, a comma or the edge of a cue stood before it.</param>
/// <param name="CueIndex">Index of the cue in the caption track; 0 for a single line.</param>
/// <param name="Others">What else a recogniser thought of here, with log P of each against the word that stands; null for none.</param>
public sealed record CallToken(string Text, bool BreakBefore, int CueIndex, IReadOnlyList<(string Text, double LogRatio)>? Others = null);

/// <summary>What a learned ear is told besides the words.</summary>
/// <param name="Us">Our crew's name where known.</param>
/// <param name="Crews">Rivals that may be spoken of.</param>
/// <param name="TalkOf">The crew last spoken of before these words; null where unknown.</param>
/// <param name="Phase">"before", "race", "practice" or "after"; null where unknown.</param>
/// <param name="Names">First names of our crew.</param>
/// <param name="Seats">Rowers in our boat; 8 where unknown.</param>
/// <param name="Distance">Length of the race in metres; null where unknown.</param>
public sealed record EarContext(
    string? Us, IReadOnlyList<string> Crews, string? TalkOf, string? Phase, IReadOnlyList<string> Names, int Seats = 8, double? Distance = null);

/// <summary>A call that a learned ear proposes.</summary>
/// <param name="Token">Index of the token at whose end the call is complete.</param>
/// <param name="Call">The call with its likeliest fields.</param>
/// <param name="Probability">Calibrated probability that a call of this type with these deciding fields is complete here.</param>
public sealed record LearnedCandidate(int Token, Call Call, double Probability);

/// <summary>An ear that was trained and not written: it reads words and proposes calls, which the decoder weighs with its own.</summary>
public interface ILearnedEar
{
    IReadOnlyList<LearnedCandidate> Read(IReadOnlyList<CallToken> tokens, EarContext context);
}
