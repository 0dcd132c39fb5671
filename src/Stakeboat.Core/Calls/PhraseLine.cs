namespace Stakeboat.Core.Calls;

/// <summary>One line of talk without times or a race.</summary>
/// <param name="Heard">As captions had it.</param>
/// <param name="Crews">Rivals that may be spoken of.</param>
/// <param name="TalkOf">The crew last spoken of; null where none.</param>
/// <param name="Phase">"before", "race" or "practice".</param>
/// <param name="Run">Lines with the same run follow each other; null where the line stands alone.</param>
public sealed record PhraseLine(string Heard, IReadOnlyList<string> Crews, string? TalkOf, string? Phase, string? Run);

/// <summary>A call read in a line.</summary>
/// <param name="Line">0-based.</param>
/// <param name="Word">Index of the word at whose end it is complete.</param>
public sealed record LineCall(int Line, int Word, Call Call, double Confidence, string Words, IReadOnlyList<CallReading> Others);
