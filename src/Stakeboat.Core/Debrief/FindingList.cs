using Stakeboat.Core.Debrief.Findings;

namespace Stakeboat.Core.Debrief;

/// <summary>All findings that the facts allow, in order of worth to the next race. Indicators are never rolled into one score.</summary>
public static class FindingList
{
    public static IReadOnlyList<Finding> From(DebriefFacts facts)
    {
        var all = new List<Finding>();
        all.AddRange(PlanAgainstDone.Find(facts));
        all.AddRange(MovesMade.Find(facts));
        all.AddRange(SaidAgainstTruth.Find(facts));
        all.AddRange(TechnicalCalls.Find(facts));
        all.AddRange(Talk.Find(facts));
        all.AddRange(Pieces.Find(facts));

        // What cannot be told from zero counts a tenth. Stable: equal worth keeps the order of the race.
        return [.. all.Select(f => f.DistinguishableFromZero ? f : f with { WorthSeconds = 0.1 * f.WorthSeconds }).OrderByDescending(f => f.WorthSeconds)];
    }
}
