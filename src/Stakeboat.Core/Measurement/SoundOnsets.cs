namespace Stakeboat.Core.Measurement;

/// <summary>How much new sound began at each moment of a recording: what is left of it for those who seek its rhythm.</summary>
/// <param name="Values">Even in time.</param>
/// <param name="Hz">Values a second.</param>
/// <param name="StartSeconds">Second of the recording at which the first value stands.</param>
public sealed record SoundOnsets(double[] Values, double Hz, double StartSeconds);
