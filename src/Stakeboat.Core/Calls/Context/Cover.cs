using Stakeboat.Core.Calls.Grammar;
using Stakeboat.Core.Calls.Lattice;
using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Calls.Context;

/// <summary>
/// The best way to lay patterns and plain words end to end over the whole graph (Viterbi), and how sure each piece is (forward and backward
/// sums over all ways).
/// </summary>
internal static class Cover
{
    /// <summary>What a word gains by standing inside a pattern.</summary>
    private const double PerWord = 0.75;

    private sealed record Edge(int From, int To, double Score, Draft? Draft, Match? Match, WordArc? Arc);

    public static List<Reading> Best(WordGraph graph, List<Match> matches, IReadOnlyList<CallToken> tokens, Setting setting)
    {
        var edges = new List<Edge>[graph.Points];
        foreach (int p in graph.Order)
        {
            edges[p] = [.. graph.From(p).Select(a => new Edge(p, a.To, a.LogShare, null, null, a))];
        }

        foreach (var group in matches.Where(m => m.Score > -9).GroupBy(m => (m.From, m.To)))
        {
            var kept = new Dictionary<Call, Edge>();
            foreach (var m in group)
            {
                if (CallBuilder.Build(m, setting.Seats, setting.Distance) is not { } draft)
                {
                    continue;
                }

                double score = m.Score + m.Rule.Weight + (PerWord * m.Words) + Prior.Of(draft, m, setting);
                var keyed = draft.Crew >= 0 ? SpokenOf.With(draft.Call, setting.Crews[draft.Crew].Name) : draft.Call;
                if (!kept.TryGetValue(keyed, out var before) || before.Score < score)
                {
                    kept[keyed] = new Edge(m.From, m.To, score, draft with { Call = keyed }, m, null);
                }
            }

            edges[group.Key.From].AddRange(kept.Values);
        }

        var best = new double[graph.Points];
        var sum = new double[graph.Points];
        var back = new double[graph.Points];
        var via = new Edge?[graph.Points];
        Array.Fill(best, double.NegativeInfinity);
        Array.Fill(sum, double.NegativeInfinity);
        Array.Fill(back, double.NegativeInfinity);
        (best[graph.First], sum[graph.First], back[graph.Last]) = (0, 0, 0);
        foreach (int p in graph.Order)
        {
            foreach (var e in edges[p])
            {
                if (best[p] + e.Score > best[e.To])
                {
                    (best[e.To], via[e.To]) = (best[p] + e.Score, e);
                }

                sum[e.To] = Add(sum[e.To], sum[p] + e.Score);
            }
        }

        for (int k = graph.Order.Count - 1; k >= 0; k--)
        {
            int p = graph.Order[k];
            foreach (var e in edges[p])
            {
                back[p] = Add(back[p], e.Score + back[e.To]);
            }
        }

        double all = sum[graph.Last];
        var path = new List<Edge>();
        for (int p = graph.Last; via[p] is { } e; p = e.From)
        {
            path.Add(e);
        }

        path.Reverse();
        return SpokenOf.Settle(path.Select(e => (e.Draft, e.Match, e.Arc, Math.Exp(Math.Min(0, sum[e.From] + e.Score + back[e.To] - all)), e.Score)).ToList(), setting, tokens);
    }

    private static double Add(double a, double b)
    {
        if (a < b)
        {
            (a, b) = (b, a);
        }

        return double.IsNegativeInfinity(b) ? a : a + Math.Log(1 + Math.Exp(b - a));
    }
}
