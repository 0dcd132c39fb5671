using Stakeboat.Core.Calls.Lattice;

namespace Stakeboat.Core.Calls.Context;

/// <summary>What is known around a run of words.</summary>
/// <param name="TalkOf">Crew last spoken of before it.</param>
/// <param name="Seats">Rowers in our boat.</param>
/// <param name="Track">A whole track is read, not a single line.</param>
/// <param name="Distance">Of the race, m.</param>
internal sealed record Setting(
    IReadOnlyList<CrewName> Crews, IReadOnlyList<string> Names, string? TalkOf, string? Phase, int Seats, double? Distance, IReadOnlyList<LearnedWord> Own, bool Track = false)
{
    private const int Remembered = 24;

    /// <summary>Calls read before these words, the last one last.</summary>
    public IReadOnlyList<Call> Recent { get; init; } = [];

    /// <summary>The last position that was called before these words; null where none.</summary>
    public Call? LastPosition => Recent.LastOrDefault(SpokenOf.Speaks);

    public Call? LastOf(Type type) => Recent.LastOrDefault(c => c.GetType() == type);

    /// <summary>The setting after these calls were heard.</summary>
    public Setting After(IReadOnlyList<Reading> heard)
    {
        if (heard.Count == 0)
        {
            return this;
        }

        string? talkOf = TalkOf, phase = Phase;
        foreach (var r in heard)
        {
            (talkOf, phase) = (SpokenOf.Of(r.Call) ?? talkOf, TrackReader.PhaseAfter(phase, r.Call));
        }

        return this with { TalkOf = talkOf, Phase = phase, Recent = [.. Recent.Concat(heard.Select(r => r.Call)).TakeLast(Remembered)] };
    }
}

/// <summary>A call read in a run of words.</summary>
internal sealed record Reading(int FirstToken, int LastToken, Call Call, double Probability, IReadOnlyList<CallReading> Others, string Pattern, double Score);
