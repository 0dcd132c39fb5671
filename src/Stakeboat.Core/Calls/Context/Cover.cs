using Stakeboat.Core.Calls.Grammar;
using Stakeboat.Core.Calls.Lattice;
using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Calls.Context;

/// <summary>A call that the patterns propose, with what speaks for and against it.</summary>
internal sealed record Proposal(int FirstToken, int LastToken, Call Call, List<string> Evidence, string Pattern);

/// <summary>
/// The best way to lay patterns and plain words end to end over the whole graph (Viterbi), and how sure each piece is (forward and backward
/// sums over all ways).
/// </summary>
internal static class Cover
{
    /// <summary>What a word gains by standing inside a pattern.</summary>
    private const double PerWord = 1.0;

    /// <summary>What any call costs before its words are counted: most words belong to none.</summary>
    private const double PerCall = -3.0;

    private sealed record Edge(int From, int To, double Score, Draft? Draft, Match? Match, WordArc? Arc);

    /// <summary>Every call that was proposed, with its evidence: for training.</summary>
    public static List<Proposal> Proposals(WordGraph graph, List<Match> matches, IReadOnlyList<CallToken> tokens, Setting setting)
    {
        var found = new List<Proposal>();
        foreach (var e in Weighed(graph, matches, tokens, setting))
        {
            found.Add(new Proposal(e.Match.FirstToken, e.Match.LastToken, e.Draft.Call, e.Evidence, e.Match.Rule.Id));
        }

        return found;
    }

    private sealed record Offer(int From, int To, Draft Draft, Match Match, List<string> Evidence);

    /// <summary>Proposals with their evidence, among it what the hand-set scores alone would choose.</summary>
    private static List<Offer> Weighed(WordGraph graph, List<Match> matches, IReadOnlyList<CallToken> tokens, Setting setting)
    {
        var drafts = Drafts(matches, setting).ToList();
        var edges = Plain(graph, 1);
        var byHand = HandScores(drafts, matches, tokens, setting);
        var offered = new Edge[drafts.Count];
        for (int i = 0; i < drafts.Count; i++)
        {
            offered[i] = new Edge(drafts[i].Key.From, drafts[i].Key.To, byHand[i], drafts[i].Draft, drafts[i].Match, null);
            edges[drafts[i].Key.From].Add(offered[i]);
        }

        var (path, share) = Solve(graph, edges);
        var chosen = new Match?[tokens.Count];
        var chosenCall = new Call?[tokens.Count];
        var isChosen = new HashSet<(Match, Call)>();
        foreach (var e in path)
        {
            if (e is { Match: { } m, Draft: { } d })
            {
                isChosen.Add((m, d.Call));
                for (int t = m.FirstToken; t <= m.LastToken; t++)
                {
                    (chosen[t], chosenCall[t]) = (m, d.Call);
                }
            }
        }

        var evidence = new Evidence(graph, matches, tokens, setting);
        var widest = Widest(matches, tokens.Count);
        var found = new List<Offer>(drafts.Count);
        for (int i = 0; i < drafts.Count; i++)
        {
            var (key, draft, m) = drafts[i];
            var names = new List<string>(96);
            evidence.Of(draft, m, widest(m), names);
            string type = m.Rule.Makes, kind = Evidence.Kind(draft.Call);
            string rank = "none";
            if (isChosen.Contains((m, draft.Call)))
            {
                rank = "chosen";
            }
            else
            {
                for (int t = m.FirstToken; t <= m.LastToken && rank != "same"; t++)
                {
                    if (chosenCall[t] is { } other)
                    {
                        rank = other == draft.Call ? "same" : other.GetType() == draft.Call.GetType() ? "akin" : "other";
                    }
                }
            }

            double p = Math.Exp(Math.Min(0, share(offered[i])));
            string odds = p > 0.9 ? "9" : p > 0.7 ? "7" : p > 0.5 ? "5" : p > 0.3 ? "3" : p > 0.1 ? "1" : p > 0.02 ? "02" : "0";
            string hand = Math.Clamp(Math.Round(byHand[i]), -4, 6).ToString(System.Globalization.CultureInfo.InvariantCulture);
            names.Add("H:" + rank);
            names.Add(type + "|H:" + rank);
            names.Add(kind + "|H:" + rank);
            names.Add("H:" + rank + "|o:" + odds);
            names.Add(type + "|o:" + odds);
            names.Add("o:" + odds);
            names.Add("h:" + hand);
            names.Add(type + "|h:" + hand);
            names.Add("r:" + m.Rule.Id + "|H:" + rank);
            if (setting.Track)
            {
                names.Add("track");
                names.Add("track|" + kind);
                names.Add("track|r:" + m.Rule.Id);
                names.Add("track|" + type + "|H:" + rank);
                names.Add("track|o:" + odds);
            }

            found.Add(new Offer(key.From, key.To, draft, m, names));
        }

        return found;
    }

    private static double[] HandScores(List<((int From, int To) Key, Draft Draft, Match Match)> drafts, List<Match> matches, IReadOnlyList<CallToken> tokens, Setting setting)
    {
        var chains = new CountChains(matches);
        var scores = new double[drafts.Count];
        for (int i = 0; i < drafts.Count; i++)
        {
            var (_, draft, m) = drafts[i];
            scores[i] = PerCall + m.Score + m.Rule.Weight + (PerWord * m.Words) + Prior.Of(draft, m, setting) + Alone(m, tokens) + chains.Of(draft, m);
        }

        return scores;
    }

    private static List<Edge>[] Plain(WordGraph graph, double weight)
    {
        var edges = new List<Edge>[graph.Points];
        foreach (int p in graph.Order)
        {
            edges[p] = [.. graph.From(p).Select(a => new Edge(p, a.To, weight * a.LogShare, null, null, a))];
        }

        return edges;
    }

    /// <summary>Best path, and for each edge the log of its share of all paths.</summary>
    private static (List<Edge> Path, Func<Edge, double> LogShare) Solve(WordGraph graph, List<Edge>[] edges)
    {
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
        return (path, e => sum[e.From] + e.Score + back[e.To] - all);
    }

    private static Func<Match, int> Widest(List<Match> matches, int tokens)
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

    private static IEnumerable<((int From, int To) Key, Draft Draft, Match Match)> Drafts(List<Match> matches, Setting setting)
    {
        foreach (var group in matches.Where(m => m.Score > -6).GroupBy(m => (m.From, m.To)))
        {
            var kept = new Dictionary<(Call, string), (Draft Draft, Match Match)>();
            foreach (var m in group)
            {
                if (CallBuilder.Build(m, setting.Seats, setting.Distance) is not { } draft)
                {
                    continue;
                }

                var call = draft.Crew >= 0 ? SpokenOf.With(draft.Call, setting.Crews[draft.Crew].Name) : draft.Call;
                var key = (call, m.Rule.Id);
                if (!kept.TryGetValue(key, out var before) || before.Match.Score < m.Score)
                {
                    kept[key] = (draft with { Call = call }, m);
                }
            }

            foreach (var (draft, m) in kept.Values)
            {
                yield return (group.Key, draft, m);
            }
        }
    }

    public static List<Reading> Best(WordGraph graph, List<Match> matches, IReadOnlyList<CallToken> tokens, Setting setting, EvidenceWeights? weights, double eagerness, double pathWeight, bool raw = false)
    {
        var edges = Plain(graph, weights is null ? 1 : pathWeight);
        if (weights is null)
        {
            var drafts = Drafts(matches, setting).ToList();
            var scores = HandScores(drafts, matches, tokens, setting);
            for (int i = 0; i < drafts.Count; i++)
            {
                edges[drafts[i].Key.From].Add(new Edge(drafts[i].Key.From, drafts[i].Key.To, scores[i], drafts[i].Draft, drafts[i].Match, null));
            }
        }
        else
        {
            foreach (var o in Weighed(graph, matches, tokens, setting))
            {
                double score = weights.LogOdds(o.Evidence) + eagerness;
                if (score > -4)
                {
                    edges[o.From].Add(new Edge(o.From, o.To, score, o.Draft, o.Match, null));
                }
            }
        }

        var (path, share) = Solve(graph, edges);
        return SpokenOf.Settle([.. path.Select(e => (e.Draft, e.Match, e.Arc, Math.Exp(Math.Min(0, share(e))), e.Score))], setting, raw);
    }

    /// <summary>A call that begins and ends where the captions break is likelier one.</summary>
    private static double Alone(Match m, IReadOnlyList<CallToken> tokens)
    {
        bool begins = tokens[m.FirstToken].BreakBefore;
        bool ends = m.LastToken + 1 >= tokens.Count || tokens[m.LastToken + 1].BreakBefore;
        return (begins && ends ? 1.2 : 0) + (begins ? 0.35 : 0) + (ends ? 0.35 : 0);
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
