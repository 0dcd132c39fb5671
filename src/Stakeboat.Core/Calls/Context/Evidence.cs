using System.Globalization;
using Stakeboat.Core.Calls.Grammar;
using Stakeboat.Core.Calls.Lattice;
using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Calls.Context;

/// <summary>What speaks for and against one proposed call: its pattern, the words in it and around it, their composition, the state of the outing.</summary>
internal sealed class Evidence
{
    private static readonly Piece Bias = Piece.Of("bias"), K = Piece.Of("k:"), R = Piece.Of("r:"), Crew = Piece.Of("+crew"), N = Piece.Of("n:"), TN = Piece.Of("|n:"), A = Piece.Of("a:"), TA = Piece.Of("|a:"), C = Piece.Of("c:"),
        TC = Piece.Of("|c:"), D = Piece.Of("d:"), TD = Piece.Of("|d:"), TP = Piece.Of("|p:"), Talk = Piece.Of("+talk"), NoTalk = Piece.Of(""), RT = Piece.Of("|t:"), NoneP = Piece.Of("none"), TalkP = Piece.Of("talk"), Chain = Piece.Of("chain:"),
        L1 = Piece.Of("l:"), TL1 = Piece.Of("|l:"), X1 = Piece.Of("x:"), TX1 = Piece.Of("|x:"), LL = Piece.Of("|ll:"), XX = Piece.Of("|xx:"), LFar = Piece.Of("|L:"), RFar = Piece.Of("|R:"), Bag = Piece.Of("B:"), TBag = Piece.Of("|B:"), In = Piece.Of("|i:");

    private static readonly Piece Begin = Piece.Of("<s>"), End = Piece.Of("</s>");
    private static readonly Piece[] Counts = [.. Enumerable.Range(0, 10).Select(i => Piece.Of(i.ToString(CultureInfo.InvariantCulture)))];
    private static readonly Piece[] Places = [Piece.Of("inside"), Piece.Of("ends"), Piece.Of("begins"), Piece.Of("alone")];

    private readonly List<(string Word, int Token)> _path = [];
    private readonly Piece[] _words;
    private readonly IReadOnlyList<CallToken> _tokens;
    private readonly Setting _setting;
    private readonly int[] _firstAt;
    private readonly CountChains _chains;
    private readonly Composition _composition;
    private readonly Piece _phase;

    public Evidence(WordGraph graph, List<Match> matches, IReadOnlyList<CallToken> tokens, Setting setting)
    {
        (_tokens, _setting) = (tokens, setting);
        _phase = Piece.Of(setting.Phase is "before" or "race" or "practice" or "after" ? setting.Phase : "none");
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
        _words = [.. _path.Select(p => new Piece(p.Word))];
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

        _composition = new Composition(_path, tokens);
    }

    /// <summary>The likeliest words, as restored.</summary>
    public string Restored => string.Join(' ', _path.Select(p => p.Word));

    private Piece Left(int token, int k)
    {
        int i = _firstAt[token] - k;
        return i >= 0 ? _words[i] : Begin;
    }

    private Piece Right(int token, int k)
    {
        int i = _firstAt[token + 1] + k - 1;
        return i < _words.Length ? _words[i] : End;
    }

    /// <summary>Everything that holds of the proposal.</summary>
    public void Of(Draft draft, Match m, int widest, EvidenceSink into)
    {
        Piece type = Piece.Of(m.Rule.Makes), kind = Kind(draft.Call), rule = m.Rule.Name;
        into.Add(Bias);
        into.Add(K, kind);
        into.Add(R, rule);
        if (draft.Crew >= 0)
        {
            into.Add(R, rule, Crew);
        }

        var n = Counts[Math.Min(m.Words, 7)];
        into.Add(N, n);
        into.Add(type, TN, n);
        bool begins = _tokens[m.FirstToken].BreakBefore, ends = m.LastToken + 1 >= _tokens.Count || _tokens[m.LastToken + 1].BreakBefore;
        var place = Places[(begins ? 2 : 0) + (ends ? 1 : 0)];
        into.Add(A, place);
        into.Add(type, TA, place);
        into.Add(R, rule, TA, place);
        var clear = Counts[m.Score > -0.15 ? 4 : m.Score > -0.7 ? 3 : m.Score > -1.6 ? 2 : m.Score > -3 ? 1 : 0];
        into.Add(C, clear);
        into.Add(type, TC, clear);
        into.Add(C, clear, TN, Counts[Math.Min(m.Words, 3)]);
        int over = widest - m.Words;
        var dominated = Counts[over <= 0 ? 0 : over == 1 ? 1 : over <= 3 ? 2 : 4];
        into.Add(D, dominated);
        into.Add(type, TD, dominated);
        into.Add(type, TP, _phase);
        into.Add(kind, TP, _phase, _setting.TalkOf is null ? NoTalk : Talk);
        if (SpokenOf.Speaks(draft.Call) || draft.Call is RateChangeCall or CountCall)
        {
            into.Add(R, rule, RT, _setting.TalkOf is null ? NoneP : TalkP);
        }

        if (draft.Call is CountCall c)
        {
            into.Add(Chain, Counts[(int)Math.Round(2 * _chains.Of(draft, m))], c.N > 10 ? Counts[1] : Counts[0]);
        }

        Piece l1 = Left(m.FirstToken, 1), r1 = Right(m.LastToken, 1);
        into.Add(L1, l1);
        into.Add(type, TL1, l1);
        into.Add(kind, TL1, l1);
        into.Add(X1, r1);
        into.Add(type, TX1, r1);
        into.Add(kind, TX1, r1);
        into.Add(type, LL, Left(m.FirstToken, 2));
        into.Add(type, XX, Right(m.LastToken, 2));
        Span<ulong> seen = stackalloc ulong[12], near = stackalloc ulong[6];
        int bag = 0;
        for (int side = 0; side < 2; side++)
        {
            int beside = 0;
            for (int k = 1; k <= 6; k++)
            {
                var word = side == 0 ? Left(m.FirstToken, k) : Right(m.LastToken, k);
                if (k <= 5 && !near[..beside].Contains(word.Hash))
                {
                    into.Add(kind, side == 0 ? LFar : RFar, word);
                    near[beside++] = word.Hash;
                }

                if (!seen[..bag].Contains(word.Hash))
                {
                    into.Add(Bag, word);
                    into.Add(type, TBag, word);
                    seen[bag++] = word.Hash;
                }
            }
        }

        int first = _firstAt[m.FirstToken], last = _firstAt[m.LastToken + 1];
        for (int i = first; i < last && i < first + 8; i++)
        {
            bool before = false;
            for (int j = first; j < i && !before; j++)
            {
                before = _words[j].Hash == _words[i].Hash;
            }

            if (!before)
            {
                into.Add(type, In, _words[i]);
                into.Add(kind, In, _words[i]);
            }
        }
    }

    /// <summary>What the words in and beside a match mean, as numbers.</summary>
    public void Compose(Match m, Span<float> into) => _composition.Of(_firstAt[m.FirstToken], _firstAt[m.LastToken + 1], into);

    /// <summary>Type with the field that divides it.</summary>
    public static Piece Kind(Call call) => call switch
    {
        MarginCall m => MarginKinds[m.Mirror ? 0 : m.Their is not null ? m.Our switch { "cox" => 1, "bow" => 2, "stern" => 3, _ => 4 } : m.OpenWater ? 5 + SideOf(m.Side) : 9 + (2 * SideOf(m.Side)) + (m.Seats is null && m.Lengths is null && m.Metres is null ? 0 : 1)],
        TrendCall t => TrendKinds[(t.Who == Core.Calls.Who.Us ? 0 : 2) + (t.Seats is null ? 0 : 1)],
        WantCall w => WantKinds[w.Their is null ? 0 : 1],
        RateCall r => RateKinds[(int)r.Sense],
        DistanceCall d => DistanceKinds[(int)d.Sense],
        TimeCall t => TimeKinds[(int)t.Sense],
        StrokesToCall s => StrokesKinds[(int)s.To],
        ShiftCall s => ShiftKinds[(int)s.To],
        CommandCall c => CommandKinds[(int)c.Do],
        SteerCall s => SteerKinds[(int)s.How],
        TechniqueCall t => TechniqueKinds[(int)t.Topic],
        ConditionsCall c => ConditionKinds[(int)c.What],
        RateChangeCall r => RateChangeKinds[r.By > 0 ? 0 : 1],
        _ => Piece.Of(call.GetType().Name),
    };

    private static int SideOf(Side? side) => side is { } s ? 1 + (int)s : 0;

    private static Piece[] Kinds<T>(string type)
        where T : struct, Enum => [.. Enum.GetNames<T>().Select(n => Piece.Of(type + "." + n))];

    private static readonly Piece[] MarginKinds =
    [
        .. new[] { "mirror", "cox", "bow", "stern", "boat", "open", "open.Ahead", "open.Behind", "open.Level", "bare", "bareq", "Ahead", "Aheadq", "Behind", "Behindq", "Level", "Levelq" }.Select(n => Piece.Of("margin." + n)),
    ];

    private static readonly Piece[] TrendKinds = [Piece.Of("trend.Us"), Piece.Of("trend.Usq"), Piece.Of("trend.Them"), Piece.Of("trend.Themq")], WantKinds = [Piece.Of("want.q"), Piece.Of("want.ref")], RateKinds = Kinds<RateSense>("rate"),
        DistanceKinds = Kinds<DistanceSense>("distance"), TimeKinds = Kinds<TimeSense>("time"), StrokesKinds = Kinds<StrokesTarget>("strokesTo"), ShiftKinds = Kinds<RhythmChange>("shift"), CommandKinds = Kinds<Deed>("command"),
        SteerKinds = Kinds<SteerMeans>("steer"), TechniqueKinds = Kinds<Focus>("technique"), ConditionKinds = Kinds<Condition>("conditions"), RateChangeKinds = [Piece.Of("rateChange.up"), Piece.Of("rateChange.down")];
}
