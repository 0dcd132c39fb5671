using System.Globalization;
using Stakeboat.Core.Calls.Grammar;
using Stakeboat.Core.Calls.Lattice;
using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Calls.Context;

/// <summary>Scores each offer by its own words, by what they compose and by what the hand-set scores alone would choose.</summary>
internal static class FirstLook
{
    private static readonly Piece[] Ranks = [Piece.Of("none"), Piece.Of("other"), Piece.Of("akin"), Piece.Of("same"), Piece.Of("chosen")];
    private static readonly Piece[] Odds = [.. new[] { "0", "02", "1", "3", "5", "7", "9" }.Select(Piece.Of)];
    private static readonly Piece[] Hands = [.. Enumerable.Range(-4, 11).Select(i => Piece.Of(i.ToString(CultureInfo.InvariantCulture)))];

    private static readonly Piece H = Piece.Of("H:"), TH = Piece.Of("|H:"), TO = Piece.Of("|o:"), O = Piece.Of("o:"), Hd = Piece.Of("h:"), THd = Piece.Of("|h:"), R = Piece.Of("r:"), Track = Piece.Of("track"), TrackBar = Piece.Of("track|"),
        TrackR = Piece.Of("track|r:"), TrackO = Piece.Of("track|o:");

    /// <summary>Fills <see cref="Offer.First"/>; gives the evidence by name to <paramref name="names"/> where that is wanted.</summary>
    public static Evidence Look(WordGraph graph, List<Match> matches, List<Offer> offers, IReadOnlyList<CallToken> tokens, Setting setting, EvidenceWeights? weights, Action<Offer, List<string>>? names)
    {
        var cover = new Cover(graph, offers.Select(o => (o, o.ByHand)), 1);
        var chosen = new Offer?[tokens.Count];
        foreach (var e in cover.Path)
        {
            if (e.Offer is { } o)
            {
                for (int t = o.Match.FirstToken; t <= o.Match.LastToken; t++)
                {
                    chosen[t] = o;
                }
            }
        }

        var evidence = new Evidence(graph, matches, tokens, setting);
        var widest = Offers.Widest(matches, tokens.Count);
        var sink = new EvidenceSink(weights, names is not null);
        foreach (var o in offers)
        {
            sink.Clear();
            var m = o.Match;
            evidence.Of(o.Draft, m, widest(m), sink);
            Piece type = Piece.Of(m.Rule.Makes), kind = Evidence.Kind(o.Draft.Call), rule = m.Rule.Name;
            int rank = 0;
            for (int t = m.FirstToken; t <= m.LastToken; t++)
            {
                if (chosen[t] is { } other)
                {
                    rank = Math.Max(rank, ReferenceEquals(other, o) ? 4 : other.Draft.Call == o.Draft.Call ? 3 : other.Draft.Call.GetType() == o.Draft.Call.GetType() ? 2 : 1);
                }
            }

            double p = cover.Share(o, o.ByHand);
            Piece ranked = Ranks[rank], odds = Odds[p > 0.9 ? 6 : p > 0.7 ? 5 : p > 0.5 ? 4 : p > 0.3 ? 3 : p > 0.1 ? 2 : p > 0.02 ? 1 : 0];
            var hand = Hands[(int)Math.Clamp(Math.Round(o.ByHand), -4, 6) + 4];
            sink.Add(H, ranked);
            sink.Add(type, TH, ranked);
            sink.Add(kind, TH, ranked);
            sink.Add(H, ranked, TO, odds);
            sink.Add(type, TO, odds);
            sink.Add(O, odds);
            sink.Add(Hd, hand);
            sink.Add(type, THd, hand);
            sink.Add(R, rule, TH, ranked);
            if (setting.Track)
            {
                sink.Add(Track);
                sink.Add(TrackBar, kind);
                sink.Add(TrackR, rule);
                sink.Add(TrackBar, type, TH, ranked);
                sink.Add(TrackO, odds);
            }

            o.First = sink.Sum;
            names?.Invoke(o, sink.Names);
        }

        return evidence;
    }
}
