using Stakeboat.Simulation.Racing;

namespace Stakeboat.Simulation.Talk;

/// <summary>Says what a coxswain would say of a race.</summary>
internal static class Coxswain
{
    public static SpokenRace Speak(RaceView race, CoxHabits habits, Dice dice) => new([]);
}
