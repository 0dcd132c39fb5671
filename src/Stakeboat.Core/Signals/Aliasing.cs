namespace Stakeboat.Core.Signals;

/// <summary>What slow sampling makes of a fast rhythm.</summary>
public static class Aliasing
{
    /// <summary>Where a rhythm of <paramref name="frequency"/> appears when sampled <paramref name="sampleRate"/> times in the same unit of time: |f - F round(f/F)|.</summary>
    public static double Appears(double frequency, double sampleRate) => Math.Abs(frequency - (sampleRate * Math.Round(frequency / sampleRate)));
}
