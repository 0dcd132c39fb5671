using System.Globalization;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Core.Calls.Context;

/// <summary>Tells how the calls near one second came about.</summary>
internal static class Explaining
{
    private const double Reach = 4;

    public static IReadOnlyList<string> At(CallDecoder decoder, CaptionTrack captions, RaceSheet? sheet, double second)
    {
        var lines = new List<string>();
        var aside = SettingAside.Find(captions, decoder.Models);
        foreach (var a in aside.Where(a => a.From.Seconds <= second + Reach && a.To.Seconds >= second - Reach))
        {
            lines.Add(string.Create(CultureInfo.InvariantCulture, $"set aside, {a.From.Seconds:0.0}-{a.To.Seconds:0.0} s: {a.Why}: {a.Text}"));
        }

        var spoken = TrackReader.Words(captions, aside.Select(a => a.CueIndex).ToHashSet());
        var setting = TrackReader.SettingOf(sheet, CallContext.None);
        foreach (var (at, part) in TrackReader.Parts(spoken.Tokens))
        {
            var (graph, matches) = decoder.Lay(part, setting);
            var read = Cover.Best(graph, matches, part, setting, decoder.Models.Weights, decoder.Eagerness, decoder.PathWeight);
            double T(int token) => spoken.To[at + token];
            if (T(0) <= second + Reach && T(part.Count - 1) >= second - Reach)
            {
                lines.Add(string.Create(CultureInfo.InvariantCulture, $"state of the outing: {setting.Phase ?? "unknown"}; crew last spoken of: {setting.TalkOf ?? "none"}"));
                var near = Enumerable.Range(0, part.Count).Where(k => Math.Abs(T(k) - second) <= Reach).ToList();
                lines.Add("heard:    " + string.Join(' ', near.Select(k => part[k].Text)));
                foreach (int k in near)
                {
                    var arcs = graph.From(graph.Boundary(k)).OrderByDescending(a => a.LogShare).Take(4)
                        .Select(a => string.Create(CultureInfo.InvariantCulture, $"{a.Word} {Math.Exp(a.LogShare):0.00}"));
                    lines.Add(string.Create(CultureInfo.InvariantCulture, $"  {T(k),8:0.0} s  {part[k].Text,-14} said: {string.Join(", ", arcs)}"));
                }

                foreach (var r in read.Where(r => Math.Abs(T(r.LastToken) - second) <= Reach))
                {
                    lines.Add(string.Create(CultureInfo.InvariantCulture, $"chosen at {T(r.LastToken):0.0} s, confidence {r.Probability:0.00}, score {r.Score:0.00}, pattern {r.Pattern}: {r.Call}"));
                }

                if (decoder.Models.Weights is { } weights)
                {
                    var offers = Cover.Proposals(graph, matches, part, setting).Where(p => Math.Abs(T(p.LastToken) - second) <= Reach)
                        .Select(p => (Proposal: p, Score: weights.LogOdds(p.Evidence))).OrderByDescending(p => p.Score).Take(8);
                    foreach (var (p, score) in offers)
                    {
                        string why = string.Join(", ", weights.Strongest(p.Evidence, 5));
                        lines.Add(string.Create(CultureInfo.InvariantCulture, $"offered at {T(p.LastToken):0.0} s, log odds {score:0.00}: {p.Call} ({why})"));
                    }
                }
            }

            foreach (var r in read)
            {
                setting = setting with { TalkOf = SpokenOf.Of(r.Call) ?? setting.TalkOf, Phase = TrackReader.PhaseAfter(setting.Phase, r.Call) };
            }
        }

        if (lines.Count == 0)
        {
            lines.Add(string.Create(CultureInfo.InvariantCulture, $"Nothing was said within {Reach:0} s of {second:0.0} s."));
        }

        return lines;
    }
}
