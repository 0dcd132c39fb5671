using Stakeboat.Core.Calls.Lattice;

namespace Stakeboat.Core.Calls.Context;

/// <summary>Settles which crew each call speaks of: the one it names, one named beside it, else the one last spoken of.</summary>
internal static class SpokenOf
{
    /// <summary>The call with its crew filled in; calls without a crew come back unchanged.</summary>
    public static Call With(Call call, string? crew) => call switch
    {
        MarginCall m => m with { Crew = crew },
        WantCall w => w with { Crew = crew },
        TrendCall t => t with { Crew = crew },
        RivalMoveCall r => r with { Crew = crew },
        _ => call,
    };

    public static string? Of(Call call) => call switch
    {
        MarginCall m => m.Crew,
        WantCall w => w.Crew,
        TrendCall t => t.Crew,
        RivalMoveCall r => r.Crew,
        _ => null,
    };

    public static bool Speaks(Call call) => call is MarginCall or WantCall or TrendCall or RivalMoveCall;

    public static List<Reading> Settle(Cover cover, List<Offer> offers, double eagerness, Setting setting, bool raw)
    {
        var path = cover.Path;
        // Names that stand free, outside every call.
        var free = new List<(int Token, int Crew)>();
        foreach (var e in path)
        {
            if (e.Arc is { Crew: >= 0 } a)
            {
                free.Add((a.Token, a.Crew));
            }
        }

        var found = new List<Reading>();
        string? talkOf = setting.TalkOf ?? (setting.Crews.Count == 1 ? setting.Crews[0].Name : null);
        for (int k = 0; k < path.Count; k++)
        {
            if (path[k].Arc is { Crew: >= 0 } name)
            {
                talkOf = setting.Crews[name.Crew].Name;
            }

            if (path[k].Offer is not { } offer)
            {
                continue;
            }

            var (call, match) = (offer.Draft.Call, offer.Match);
            string? crew = null;
            if (Speaks(call))
            {
                crew = Of(call);
                if (crew is null)
                {
                    int next = free.FindIndex(f => f.Token > match.LastToken && f.Token - match.LastToken <= 4);
                    bool clear = next >= 0 && !path.Skip(k + 1).Any(e => e.Offer is { Match: { } m } o && m.FirstToken <= free[next].Token + 2 && m.LastToken > match.LastToken && Speaks(o.Draft.Call));
                    bool closeBefore = free.Exists(f => f.Token < match.FirstToken && match.FirstToken - f.Token <= 6);
                    crew = clear && !closeBefore ? setting.Crews[free[next].Crew].Name : talkOf;
                }

                call = With(call, crew);
                talkOf = crew ?? talkOf;
            }

            double sure = raw ? offer.Score : Trust.Of(call, offer.Score, setting.Track);
            found.Add(new Reading(match.FirstToken, match.LastToken, call, sure, Rivals(cover, offers, offer, call, crew, eagerness, sure), match.Rule.Makes + ":" + match.Rule.Line.ToString(System.Globalization.CultureInfo.InvariantCulture), offer.Score));
        }

        return Once(found);
    }

    /// <summary>What is said again in one breath is one call: the surest saying stands.</summary>
    private static List<Reading> Once(List<Reading> found)
    {
        var kept = new List<Reading>(found.Count);
        foreach (var r in found.OrderByDescending(r => r.Score))
        {
            if (!kept.Exists(k => Math.Abs(k.LastToken - r.LastToken) <= Breath(k.Call, r.Call)))
            {
                kept.Add(r);
            }
        }

        kept.Sort((a, b) => a.LastToken.CompareTo(b.LastToken));
        return kept;
    }

    /// <summary>Within how many words two calls are one; common practice, no source.</summary>
    private static int Breath(Call a, Call b) => (a, b) switch
    {
        (CountCall, _) => -1,
        (WantCall x, WantCall y) => x.Crew == y.Crew ? 6 : -1,
        (RivalMoveCall x, RivalMoveCall y) => x.Crew == y.Crew ? 8 : -1,
        (TrendCall x, TrendCall y) => x.Crew == y.Crew && x.Who == y.Who && (x.Seats == y.Seats || x.Seats is null || y.Seats is null) ? 7 : -1,
        _ => a == b ? 10 : -1,
    };

    /// <summary>Other readings of the same words: what the chosen one leaves of the probability, shared out by their parts of all ways.</summary>
    private static List<CallReading> Rivals(Cover cover, List<Offer> offers, Offer chosen, Call call, string? crew, double eagerness, double sure)
    {
        var shares = new Dictionary<Call, double>();
        double own = 0, all = 0;
        foreach (var o in offers)
        {
            if (!o.Overlaps(chosen))
            {
                continue;
            }

            var other = Of(o.Draft.Call) is null && Speaks(o.Draft.Call) ? With(o.Draft.Call, crew) : o.Draft.Call;
            double share = cover.Share(o, o.Score + eagerness);
            all += share;
            if (other == call)
            {
                own += share;
            }
            else
            {
                shares[other] = shares.GetValueOrDefault(other) + share;
            }
        }

        double rest = all - own;
        double left = Math.Min(1 - Math.Clamp(sure, 0, 1), rest);
        return rest <= 0 ? [] : [.. shares.Where(s => s.Value * left / rest >= 0.02).OrderByDescending(s => s.Value).ThenBy(s => s.Key.ToString(), StringComparer.Ordinal).Take(4).Select(s => new CallReading(s.Key, s.Value * left / rest))];
    }
}
