using Stakeboat.Core.Calls.Lattice;

namespace Stakeboat.Core.Calls.Context;

/// <summary>A piece of the cover: a plain word or an offered call.</summary>
internal sealed record Edge(int From, int To, double Score, Offer? Offer, WordArc? Arc);

/// <summary>
/// The best way to lay calls and plain words end to end over the whole graph (Viterbi 1967), and how sure each piece is (forward and backward
/// sums over all ways).
/// </summary>
internal sealed class Cover
{
    private readonly double[] _sum, _back;
    private readonly double _all;

    /// <param name="offers">Offered calls with the score of each.</param>
    /// <param name="plain">How much the likelihood of plain words weighs.</param>
    public Cover(WordGraph graph, IEnumerable<(Offer Offer, double Score)> offers, double plain)
    {
        int n = graph.Points;
        var edges = new List<Edge>[n];
        foreach (int p in graph.Order)
        {
            var list = new List<Edge>(graph.From(p).Count);
            foreach (var a in graph.From(p))
            {
                list.Add(new Edge(p, a.To, plain * a.LogShare, null, a));
            }

            edges[p] = list;
        }

        foreach (var (o, score) in offers)
        {
            edges[o.From].Add(new Edge(o.From, o.To, score, o, null));
        }

        var best = new double[n];
        var via = new Edge?[n];
        (_sum, _back) = (new double[n], new double[n]);
        Array.Fill(best, double.NegativeInfinity);
        Array.Fill(_sum, double.NegativeInfinity);
        Array.Fill(_back, double.NegativeInfinity);
        (best[graph.First], _sum[graph.First], _back[graph.Last]) = (0, 0, 0);
        foreach (int p in graph.Order)
        {
            foreach (var e in edges[p])
            {
                if (best[p] + e.Score > best[e.To])
                {
                    (best[e.To], via[e.To]) = (best[p] + e.Score, e);
                }

                _sum[e.To] = Add(_sum[e.To], _sum[p] + e.Score);
            }
        }

        for (int k = graph.Order.Count - 1; k >= 0; k--)
        {
            int p = graph.Order[k];
            foreach (var e in edges[p])
            {
                _back[p] = Add(_back[p], e.Score + _back[e.To]);
            }
        }

        _all = _sum[graph.Last];
        for (int p = graph.Last; via[p] is { } e; p = e.From)
        {
            Path.Add(e);
        }

        Path.Reverse();
    }

    /// <summary>The best way, piece by piece.</summary>
    public List<Edge> Path { get; } = [];

    /// <summary>Share of all ways that go over this offer with this score.</summary>
    public double Share(Offer o, double score) => Math.Exp(Math.Min(0, _sum[o.From] + score + _back[o.To] - _all));

    private static double Add(double a, double b)
    {
        if (a < b)
        {
            (a, b) = (b, a);
        }

        return double.IsNegativeInfinity(b) ? a : a + Math.Log(1 + Math.Exp(b - a));
    }
}
