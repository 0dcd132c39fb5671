using Stakeboat.Core.Measurement;

namespace Stakeboat.Simulation.Talk;

internal static class CaptionWriter
{
    public static IReadOnlyList<CaptionTrack> Write(SpokenRace talk, CaptionHabits habits, Dice dice) => [];
}
