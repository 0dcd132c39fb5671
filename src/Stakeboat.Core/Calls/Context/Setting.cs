using Stakeboat.Core.Calls.Lattice;

namespace Stakeboat.Core.Calls.Context;

/// <summary>What is known around a run of words.</summary>
/// <param name="TalkOf">Crew last spoken of before it.</param>
/// <param name="Seats">Rowers in our boat.</param>
/// <param name="Track">A whole track is read, not a single line.</param>
/// <param name="Distance">Of the race, m.</param>
internal sealed record Setting(
    IReadOnlyList<CrewName> Crews, IReadOnlyList<string> Names, string? TalkOf, string? Phase, int Seats, double? Distance, IReadOnlyList<LearnedWord> Own, bool Track = false);

/// <summary>A call read in a run of words.</summary>
internal sealed record Reading(int FirstToken, int LastToken, Call Call, double Probability, IReadOnlyList<CallReading> Others, string Pattern, double Score);
