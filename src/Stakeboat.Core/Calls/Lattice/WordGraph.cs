namespace Stakeboat.Core.Calls.Lattice;

/// <summary>One word that may have been said between two points of the talk.</summary>
/// <param name="From">Point that it leaves.</param>
/// <param name="To">Point that it reaches.</param>
/// <param name="Word">What may have been said; a crew's name stands as <see cref="SpeechModel.Crew"/>.</param>
/// <param name="Crew">Index of the crew that it names, else -1.</param>
/// <param name="Token">Index of the heard token at whose end it ends.</param>
/// <param name="Channel">log P(heard | said), shared among the words of a span.</param>
/// <param name="AsHeard">The caption has the word itself.</param>
public sealed record WordArc(int From, int To, string Word, int Crew, int Token, double Channel, bool AsHeard)
{
    /// <summary>log P(this arc | its first point, all that was heard), filled by <see cref="WordGraph.Weigh"/>.</summary>
    public double LogShare { get; set; }
}

/// <summary>
/// Everything that may have been said, as a graph of words over the heard tokens: each token as it stands, words that were heard for other
/// words in training, and words of the lexicon or names that sound alike, over one to three tokens (split and merged words).
/// </summary>
public sealed class WordGraph
{
    private readonly List<List<WordArc>> _out = [];
    private readonly List<int> _order = [];
    private readonly int[] _boundary;

    private WordGraph(int tokens) => _boundary = new int[tokens + 1];

    /// <summary>Points in an order in which every arc goes forward.</summary>
    public IReadOnlyList<int> Order => _order;

    public int First => _boundary[0];

    public int Last => _boundary[^1];

    public int Points => _out.Count;

    public IReadOnlyList<WordArc> From(int point) => _out[point];

    /// <summary>Point at the boundary before a token.</summary>
    public int Boundary(int token) => _boundary[token];

    /// <summary>Builds the graph from alternatives for spans of tokens.</summary>
    public static WordGraph Build(int tokens, IReadOnlyList<SpanReading> readings)
    {
        ArgumentNullException.ThrowIfNull(readings);
        var g = new WordGraph(tokens);
        var byStart = new List<SpanReading>[tokens];
        var best = new Dictionary<(int, int, string, int), SpanReading>();
        foreach (var r in readings)
        {
            // One way to hear the same words over the same span is enough: the likeliest.
            var key = (r.Start, r.End, string.Join(' ', r.Words), r.Crew);
            if (!best.TryGetValue(key, out var before) || before.Channel < r.Channel)
            {
                best[key] = before is { AsHeard: true } ? r with { AsHeard = true } : r;
            }
        }

        foreach (var r in best.Values)
        {
            (byStart[r.Start] ??= []).Add(r);
        }

        for (int i = 0; i <= tokens; i++)
        {
            g._boundary[i] = g._out.Count;
            g._out.Add([]);
        }

        for (int i = 0; i <= tokens; i++)
        {
            g._order.Add(g._boundary[i]);
            if (i == tokens)
            {
                break;
            }

            foreach (var r in byStart[i] ?? [])
            {
                int at = g._boundary[i];
                for (int k = 0; k < r.Words.Length; k++)
                {
                    bool last = k == r.Words.Length - 1;
                    int to;
                    if (last)
                    {
                        to = g._boundary[r.End];
                    }
                    else
                    {
                        to = g._out.Count;
                        g._out.Add([]);
                        g._order.Add(to);
                    }

                    int token = r.Start + (int)((long)(k + 1) * (r.End - r.Start) / r.Words.Length);
                    token = Math.Clamp(token - 1, r.Start, r.End - 1);
                    g._out[at].Add(new WordArc(at, to, r.Words[k], r.Words[k] == SpeechModel.Crew ? r.Crew : -1, token, k == 0 ? r.Channel : 0, r.AsHeard));
                    at = to;
                }
            }
        }

        return g;
    }

    /// <summary>
    /// Forward and backward pass with the word-pair model: fills each arc's share of its point and drops arcs below
    /// <paramref name="least"/>. Returns log P(heard).
    /// </summary>
    public double Weigh(SpeechModel model, double least, double weight)
    {
        ArgumentNullException.ThrowIfNull(model);
        int n = _out.Count;
        var into = new List<(WordArc Arc, int Index)>[n];
        var arcs = new List<WordArc>();
        foreach (int p in _order)
        {
            foreach (var a in _out[p])
            {
                (into[a.To] ??= []).Add((a, arcs.Count));
                arcs.Add(a);
            }
        }

        var ids = arcs.Select(a => model.Id(a.Word)).ToArray();
        var first = new int[n + 1];
        int c = 0;
        var starts = new Dictionary<int, int>();
        foreach (int p in _order)
        {
            starts[p] = c;
            c += _out[p].Count;
        }

        var alpha = new double[arcs.Count];
        var beta = new double[arcs.Count];
        int start = model.Id(SpeechModel.Start);
        foreach (int p in _order)
        {
            int s = starts[p];
            for (int k = 0; k < _out[p].Count; k++)
            {
                int e = s + k;
                double sum = p == First ? weight * model.LogP(start, ids[e]) : double.NegativeInfinity;
                if (into[p] is { } before)
                {
                    foreach (var (_, b) in before)
                    {
                        sum = LogAdd(sum, alpha[b] + (weight * model.LogP(ids[b], ids[e])));
                    }
                }

                alpha[e] = sum + arcs[e].Channel;
            }
        }

        double total = double.NegativeInfinity;
        for (int q = _order.Count - 1; q >= 0; q--)
        {
            int p = _order[q];
            if (into[p] is not { } before)
            {
                continue;
            }

            int s = starts[p];
            foreach (var (_, b) in before)
            {
                if (p == Last)
                {
                    beta[b] = 0;
                    total = LogAdd(total, alpha[b]);
                    continue;
                }

                double sum = double.NegativeInfinity;
                for (int k = 0; k < _out[p].Count; k++)
                {
                    int e = s + k;
                    sum = LogAdd(sum, (weight * model.LogP(ids[b], ids[e])) + arcs[e].Channel + beta[e]);
                }

                beta[b] = sum;
            }
        }

        foreach (int p in _order)
        {
            int s = starts[p], m = _out[p].Count;
            double point = double.NegativeInfinity;
            for (int k = 0; k < m; k++)
            {
                point = LogAdd(point, alpha[s + k] + beta[s + k]);
            }

            for (int k = 0; k < m; k++)
            {
                arcs[s + k].LogShare = alpha[s + k] + beta[s + k] - point;
            }
        }

        double floor = Math.Log(least);
        foreach (int p in _order)
        {
            if (_out[p].Count > 1)
            {
                double best = _out[p].Max(a => a.LogShare);
                _out[p].RemoveAll(a => a.LogShare < floor && a.LogShare < best);
            }
        }

        return total;
    }

    private static double LogAdd(double a, double b)
    {
        if (a < b)
        {
            (a, b) = (b, a);
        }

        return double.IsNegativeInfinity(b) ? a : a + Math.Log(1 + Math.Exp(b - a));
    }
}

/// <summary>Words that may have been said over heard tokens [Start, End).</summary>
public sealed record SpanReading(int Start, int End, string[] Words, int Crew, double Channel, bool AsHeard);
