using Stakeboat.Core.Time;

namespace Stakeboat.Core.Calls;

/// <summary>What the coxswain's talk was like, as numbers. No judgement of language.</summary>
/// <param name="Seconds">From the first to the last word, s.</param>
/// <param name="Words">Words spoken outside text that was set aside.</param>
/// <param name="PerMinute">Calls a minute by type (the name of the record without "Call").</param>
/// <param name="CountingShare">Counted strokes as a share of all calls, 0-1.</param>
/// <param name="RepeatShare">Calls that say again what the call of the same type before them said, within 20 s, as a share of all; counts left out.</param>
/// <param name="LongestSilence">Longest time between words in each quarter of the talk, s; four values.</param>
/// <param name="PositionsPer500">Margin calls for each 500 m where a distance is known (the race's, or called marks), else null.</param>
/// <param name="RateError">Called minus measured rate, strokes/min: mean over calls that claim a rate now, where rates were measured; else null.</param>
public sealed record TalkStatistics(
    double Seconds, int Words, IReadOnlyDictionary<string, double> PerMinute, double CountingShare, double RepeatShare,
    IReadOnlyList<double> LongestSilence, double? PositionsPer500, double? RateError);
