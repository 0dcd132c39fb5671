using Stakeboat.Core.Calls.Grammar;
using Stakeboat.Core.Calls.Lattice;
using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Calls.Context;

/// <summary>A call that the patterns offer for a stretch of the graph.</summary>
internal sealed class Offer(int from, int to, Draft draft, Match match)
{
    public int From { get; } = from;

    public int To { get; } = to;

    public Draft Draft { get; } = draft;

    public Match Match { get; } = match;

    /// <summary>Score by hand-set weights.</summary>
    public double ByHand { get; set; }

    /// <summary>Log odds at the first look: its own words.</summary>
    public double First { get; set; }

    /// <summary>Log odds at the second look: beside its rivals and after what was said before.</summary>
    public double Score { get; set; }

    public bool Overlaps(Offer other) => Match.FirstToken <= other.Match.LastToken && other.Match.FirstToken <= Match.LastToken;
}

/// <summary>Makes offers of matches and scores them by hand-set weights.</summary>
internal static class Offers
{
    /// <summary>What a word gains by standing inside a pattern.</summary>
    private const double PerWord = 1.0;

    /// <summary>What any call costs before its words are counted: most words belong to none.</summary>
    private const double PerCall = -3.0;

    public static List<Offer> Of(List<Match> matches, IReadOnlyList<CallToken> tokens, Setting setting)
    {
        var chains = new CountChains(matches);
        var found = new List<Offer>();
        var kept = new Dictionary<(int, int, Call, string), Offer>();
        foreach (var m in matches)
        {
            if (m.Score <= -6 || CallBuilder.Build(m, setting.Seats, setting.Distance) is not { } draft)
            {
                continue;
            }

            if (draft.Crew >= 0)
            {
                draft = draft with { Call = SpokenOf.With(draft.Call, setting.Crews[draft.Crew].Name) };
            }

            var key = (m.From, m.To, draft.Call, m.Rule.Id);
            if (kept.TryGetValue(key, out var before) && before.Match.Score >= m.Score)
            {
                continue;
            }

            kept[key] = new Offer(m.From, m.To, draft, m);
        }

        foreach (var o in kept.Values)
        {
            o.ByHand = PerCall + o.Match.Score + o.Match.Rule.Weight + (PerWord * o.Match.Words) + Prior.Of(o.Draft, o.Match, setting) + Alone(o.Match, tokens) + chains.Of(o.Draft, o.Match);
            found.Add(o);
        }

        return found;
    }

    /// <summary>Most words of any good match over the tokens of this one.</summary>
    public static Func<Match, int> Widest(List<Match> matches, int tokens)
    {
        var most = new int[tokens];
        foreach (var m in matches)
        {
            if (m.Score > -2.5)
            {
                for (int t = m.FirstToken; t <= m.LastToken; t++)
                {
                    most[t] = Math.Max(most[t], m.Words);
                }
            }
        }

        return m =>
        {
            int w = 0;
            for (int t = m.FirstToken; t <= m.LastToken; t++)
            {
                w = Math.Max(w, most[t]);
            }

            return w;
        };
    }

    /// <summary>A call that begins and ends where the captions break is likelier one.</summary>
    private static double Alone(Match m, IReadOnlyList<CallToken> tokens)
    {
        bool begins = tokens[m.FirstToken].BreakBefore;
        bool ends = m.LastToken + 1 >= tokens.Count || tokens[m.LastToken + 1].BreakBefore;
        return (begins && ends ? 1.2 : 0) + (begins ? 0.35 : 0) + (ends ? 0.35 : 0);
    }
}
