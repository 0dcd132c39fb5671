using Stakeboat.Core.Time;

namespace Stakeboat.Core.Calls;

/// <summary>What a person says of a call. Kept apart from the analysis and applied again after every new run.</summary>
/// <param name="At">When the corrected call was, on the recording's clock.</param>
/// <param name="Heard">The caption words that the correction is about; empty where a call was missed altogether.</param>
/// <param name="Was">The call as it was read when it was corrected; null where one was missed.</param>
/// <param name="Is">What it is: another type, value or crew; null for "not a call".</param>
/// <param name="Moved">Where it belongs in time, where that was put right.</param>
/// <param name="Said">"This is what was said", where the person typed it: it teaches the crew's lexicon.</param>
public sealed record CallCorrection(
    Instant<RecordingClock> At, string Heard, Call? Was, Call? Is, Instant<RecordingClock>? Moved = null, string? Said = null);

/// <summary>What became of a correction in this run.</summary>
public enum CorrectionFate
{
    /// <summary>It changed, removed or added a call.</summary>
    Applied,

    /// <summary>The engine now reads by itself what the person said.</summary>
    NoLongerNeeded,

    /// <summary>The words it was about are no longer in the captions: kept, not applied, shown.</summary>
    NotFound,
}

public sealed record CorrectionOutcome(CallCorrection Correction, CorrectionFate Fate);
