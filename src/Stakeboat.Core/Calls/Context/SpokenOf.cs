using Stakeboat.Core.Calls.Grammar;
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

    public static List<Reading> Settle(
        IReadOnlyList<(Draft? Draft, Match? Match, WordArc? Arc, double Probability, double Score)> path, Setting setting, bool raw)
    {
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
            var (draft, match, arc, probability, score) = path[k];
            if (arc is { Crew: >= 0 } name)
            {
                talkOf = setting.Crews[name.Crew].Name;
            }

            if (draft is null || match is null)
            {
                continue;
            }

            var call = draft.Call;
            if (Speaks(call))
            {
                string? crew = Of(call);
                if (crew is null)
                {
                    int next = free.FindIndex(f => f.Token > match.LastToken && f.Token - match.LastToken <= 4);
                    bool clear = next >= 0 && !path.Skip(k + 1).Any(e => e.Match is { } m && m.FirstToken <= free[next].Token + 2 && m.LastToken > match.LastToken && Speaks(e.Draft!.Call));
                    bool closeBefore = free.Exists(f => f.Token < match.FirstToken && match.FirstToken - f.Token <= 6);
                    crew = clear && !closeBefore ? setting.Crews[free[next].Crew].Name : talkOf;
                }

                call = With(call, crew);
                talkOf = crew ?? talkOf;
            }

            found.Add(new Reading(match.FirstToken, match.LastToken, call, raw ? score : Trust.Of(call, score, setting.Track), [], match.Rule.Makes + ":" + match.Rule.Line.ToString(System.Globalization.CultureInfo.InvariantCulture), score));
        }

        return found;
    }
}
