using System.Globalization;
using Stakeboat.Core.Calls.Grammar;
using Stakeboat.Core.Calls.Lattice;
using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Calls.Context;

/// <summary>What speaks for and against one proposed call: its pattern, the words in it and around it, the state of the outing, its rivals.</summary>
internal sealed class Evidence
{
    private readonly List<(string Word, int Token)> _path = [];
    private readonly IReadOnlyList<CallToken> _tokens;
    private readonly Setting _setting;
    private readonly int[] _firstAt;
    private readonly CountChains _chains;

    public Evidence(WordGraph graph, List<Match> matches, IReadOnlyList<CallToken> tokens, Setting setting)
    {
        (_tokens, _setting) = (tokens, setting);
        _chains = new CountChains(matches);
        var best = new double[graph.Points];
        var via = new WordArc?[graph.Points];
        Array.Fill(best, double.NegativeInfinity);
        best[graph.First] = 0;
        foreach (int p in graph.Order)
        {
            foreach (var a in graph.From(p))
            {
                if (best[p] + a.LogShare > best[a.To])
                {
                    (best[a.To], via[a.To]) = (best[p] + a.LogShare, a);
                }
            }
        }

        for (int p = graph.Last; via[p] is { } a; p = a.From)
        {
            _path.Add((a.Word, a.Token));
        }

        _path.Reverse();
        _firstAt = new int[tokens.Count + 1];
        int w = 0;
        for (int t = 0; t <= tokens.Count; t++)
        {
            while (w < _path.Count && _path[w].Token < t)
            {
                w++;
            }

            _firstAt[t] = w;
        }
    }

    /// <summary>The likeliest words, as restored.</summary>
    public string Restored => string.Join(' ', _path.Select(p => p.Word));

    private string Left(int token, int k)
    {
        int i = _firstAt[token] - k;
        return i >= 0 ? _path[i].Word : "<s>";
    }

    private string Right(int token, int k)
    {
        int i = _firstAt[token + 1] + k - 1;
        return i < _path.Count ? _path[i].Word : "</s>";
    }

    /// <summary>Names of everything that holds of the proposal.</summary>
    public void Of(Draft draft, Match m, int widest, List<string> into)
    {
        string type = m.Rule.Makes, kind = Kind(draft.Call);
        into.Add("bias");
        into.Add("k:" + kind);
        into.Add("r:" + m.Rule.Id);
        into.Add("r:" + m.Rule.Id + (draft.Crew >= 0 ? "+crew" : ""));
        int words = Math.Min(m.Words, 7);
        string n = words.ToString(CultureInfo.InvariantCulture);
        into.Add("n:" + n);
        into.Add(type + "|n:" + n);
        bool begins = _tokens[m.FirstToken].BreakBefore, ends = m.LastToken + 1 >= _tokens.Count || _tokens[m.LastToken + 1].BreakBefore;
        string alone = begins ? ends ? "alone" : "begins" : ends ? "ends" : "inside";
        into.Add("a:" + alone);
        into.Add(type + "|a:" + alone);
        into.Add("r:" + m.Rule.Id + "|a:" + alone);
        string clear = m.Score > -0.15 ? "sure" : m.Score > -0.7 ? "good" : m.Score > -1.6 ? "fair" : m.Score > -3 ? "poor" : "bad";
        into.Add("c:" + clear);
        into.Add(type + "|c:" + clear);
        into.Add("c:" + clear + "|n:" + (words > 2 ? "3" : n));
        int over = widest - m.Words;
        string dominated = over <= 0 ? "0" : over == 1 ? "1" : over <= 3 ? "2" : "4";
        into.Add("d:" + dominated);
        into.Add(type + "|d:" + dominated);
        into.Add(type + "|p:" + (_setting.Phase ?? "none"));
        into.Add(kind + "|p:" + (_setting.Phase ?? "none") + (_setting.TalkOf is null ? "" : "+talk"));
        if (SpokenOf.Speaks(draft.Call) || draft.Call is RateChangeCall or CountCall)
        {
            into.Add("r:" + m.Rule.Id + "|t:" + (_setting.TalkOf is null ? "none" : "talk"));
        }

        if (draft.Call is CountCall c)
        {
            into.Add("chain:" + _chains.Of(draft, m).ToString(CultureInfo.InvariantCulture) + (c.N > 10 ? "+" : ""));
        }

        string l1 = Left(m.FirstToken, 1), r1 = Right(m.LastToken, 1);
        into.Add("l:" + l1);
        into.Add(type + "|l:" + l1);
        into.Add(kind + "|l:" + l1);
        into.Add("x:" + r1);
        into.Add(type + "|x:" + r1);
        into.Add(kind + "|x:" + r1);
        into.Add(type + "|ll:" + Left(m.FirstToken, 2));
        into.Add(type + "|xx:" + Right(m.LastToken, 2));
        for (int k = 1; k <= 6; k++)
        {
            string l = Left(m.FirstToken, k), r = Right(m.LastToken, k);
            if (k <= 5)
            {
                into.Add(kind + "|L:" + l);
                into.Add(kind + "|R:" + r);
            }

            into.Add("B:" + l);
            into.Add("B:" + r);
            into.Add(type + "|B:" + l);
            into.Add(type + "|B:" + r);
        }

        int first = _firstAt[m.FirstToken], last = _firstAt[m.LastToken + 1];
        for (int i = first; i < last && i < first + 8; i++)
        {
            into.Add(type + "|i:" + _path[i].Word);
            into.Add(kind + "|i:" + _path[i].Word);
        }
    }

    /// <summary>Type with the field that divides it.</summary>
    public static string Kind(Call call) => call switch
    {
        MarginCall m => m.Mirror ? "margin.mirror" : m.Their is not null ? "margin." + m.Our : m.OpenWater ? "margin.open" : "margin." + (m.Side?.ToString() ?? "bare") + (m.Seats is null && m.Lengths is null && m.Metres is null ? "" : "q"),
        TrendCall t => "trend." + t.Who + (t.Seats is null ? "" : "q"),
        WantCall w => "want." + (w.Their is null ? "q" : "ref"),
        RateCall r => "rate." + r.Sense,
        DistanceCall d => "distance." + d.Sense,
        TimeCall t => "time." + t.Sense,
        StrokesToCall s => "strokesTo." + s.To,
        ShiftCall s => "shift." + s.To,
        CommandCall c => "command." + c.Do,
        SteerCall s => "steer." + s.How,
        TechniqueCall t => "technique." + t.Topic,
        ConditionsCall c => "conditions." + c.What,
        RateChangeCall r => r.By > 0 ? "rateChange.up" : "rateChange.down",
        _ => call.GetType().Name,
    };
}

/// <summary>Weights of evidence, trained offline on labelled lines: log odds that a proposed call is right.</summary>
internal sealed class EvidenceWeights
{
    private readonly Dictionary<string, float> _weights = new(StringComparer.Ordinal);

    public int Count => _weights.Count;

    public static EvidenceWeights Read(TextReader reader)
    {
        var w = new EvidenceWeights();
        while (reader.ReadLine() is { } line)
        {
            int tab = line.IndexOf('\t', StringComparison.Ordinal);
            if (tab > 0 && line[0] != '#')
            {
                w._weights[line[(tab + 1)..]] = float.Parse(line.AsSpan(0, tab), NumberStyles.Float, CultureInfo.InvariantCulture);
            }
        }

        return w;
    }

    /// <summary>Log odds of the evidence, each piece counted once.</summary>
    public double LogOdds(List<string> evidence)
    {
        var seen = new HashSet<string>(evidence.Count, StringComparer.Ordinal);
        double sum = 0;
        foreach (string e in evidence)
        {
            if (seen.Add(e) && _weights.TryGetValue(e, out float w))
            {
                sum += w;
            }
        }

        return sum;
    }

    /// <summary>The weightiest evidence, with its weight.</summary>
    public List<(string Name, double Weight)> Strongest(IEnumerable<string> evidence, int most) =>
        [.. evidence.Distinct(StringComparer.Ordinal).Where(_weights.ContainsKey).Select(e => (e, (double)_weights[e])).OrderByDescending(e => Math.Abs(e.Item2)).Take(most)];
}
