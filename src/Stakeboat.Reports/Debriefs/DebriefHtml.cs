using System.Globalization;
using System.Net;
using System.Text;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Reports.Debriefs;

/// <summary>The debrief as one HTML file without scripts or references: it opens on any phone, offline.</summary>
public static class DebriefHtml
{
    private const string Style = """
        :root{color-scheme:light dark;--paper:#f7f5ee;--ink:#13262e;--soft:#4d6068;--rule:#c9cfc9;--us:#c2390f}
        @media(prefers-color-scheme:dark){:root{--paper:#0e191e;--ink:#e9efe8;--soft:#a9bac0;--rule:#30424a;--us:#ff9166}}
        body{margin:0 auto;max-width:44rem;padding:1rem;background:var(--paper);color:var(--ink);font:1.05rem/1.5 system-ui,sans-serif}
        h1{font-size:1.7rem;line-height:1.15;margin:.5rem 0}h2{font-size:1.2rem;margin:2rem 0 .5rem}p.facts,small,figcaption{color:var(--soft)}
        ol.findings{padding:0;list-style:none;counter-reset:f}ol.findings li{counter-increment:f;padding:.7rem 0 .7rem 2.4rem;border-top:1px solid var(--rule);position:relative}
        ol.findings li::before{content:counter(f);position:absolute;left:0;font-size:1.5rem;font-weight:700;color:var(--us)}
        figure{margin:1rem 0}svg{width:100%;height:auto;display:block}svg text{font:12px system-ui,sans-serif;fill:var(--soft)}
        .scroll{overflow-x:auto}table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}th,td{padding:.25rem .5rem .25rem 0;text-align:left;border-bottom:1px solid var(--rule)}td.n,th.n{text-align:right}
        @media print{body{max-width:none;font-size:10pt}}
        """;

    public static string Write(DebriefDocument d)
    {
        ArgumentNullException.ThrowIfNull(d);
        var h = new StringBuilder();
        h.Append("<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"><title>")
            .Append(E(d.Name)).Append("</title><style>").Append(Style).Append("</style></head>\n<body>\n<h1>").Append(E(d.Name)).Append("</h1>\n<p class=\"facts\">")
            .Append(E(Facts(d))).Append("</p>\n");
        h.Append(DebriefPictures.Margin(d)).Append(DebriefPictures.Rate(d)).Append(DebriefPictures.Speed(d));
        h.Append("<h2>What to carry into the next race</h2>\n");
        if (d.Findings.Count == 0)
        {
            h.Append("<p>Nothing yet that the files can carry.</p>\n");
        }
        else
        {
            h.Append("<ol class=\"findings\">\n");
            foreach (var f in d.Findings)
            {
                h.Append("<li>").Append(E(f.Sentence)).Append("<br><small>");
                if (f.Evidence.Count > 0)
                {
                    h.Append("at ").Append(E(string.Join(", ", f.Evidence.Take(6).Select(e => Clock(e.T - (d.Clock.GoAt ?? 0), 0))))).Append(". ");
                }

                h.Append(E(f.WouldConfirm)).Append("</small></li>\n");
            }

            h.Append("</ol>\n");
        }

        Table(h, "Planned and rowed", ["stretch", "rowed", "planned", "pace", "rate"],
            (d.Rowed?.Splits ?? []).Select(s => new[] { $"{N(s.From, 0)} to {N(s.To, 0)} m", Clock(s.Seconds), s.PlannedSeconds is { } p ? Clock(p) : "", Clock(s.Seconds * 500 / (s.To - s.From)), N(s.Rate, 1) }));
        Table(h, "Moves", ["when", "whose", "against", "seats gained", "held"], d.Moves.Select(m => new[]
        {
            Clock(m.From - (d.Clock.GoAt ?? 0), 0), m.Crew, m.Rival,
            $"{N(m.Seats, 1)} ({N(m.Low90, 1)} to {N(m.High90, 1)}){(m.Distinguishable ? "" : " not distinguishable")}", m.Held is { } held ? N(held, 1) : "",
        }));
        Table(h, "Result", ["place", "lane", "crew", "time"], (d.Result ?? []).Select(r => new[]
        {
            r.Place?.ToString(CultureInfo.InvariantCulture) ?? "", r.Lane?.ToString(CultureInfo.InvariantCulture) ?? "", r.Crew, r.Marks.Count > 0 ? Clock(r.Marks[^1].Seconds) : "",
        }));
        Table(h, "Calls", ["when", "words", "sure"], (d.Called?.Calls ?? []).Where(c => c.Type is not ("spirit" or "count")).Select(c => new[]
        {
            Clock(c.T - (d.Clock.GoAt ?? 0), 0), c.Words, N(100 * c.Confidence, 0) + " %",
        }));
        if (d.Issues.Count > 0)
        {
            h.Append("<h2>What was doubtful or could not be read</h2>\n<ul>\n");
            foreach (var i in d.Issues)
            {
                h.Append("<li>").Append(E($"{i.File}{(i.Place.Length > 0 ? ", " + i.Place : "")}: {i.What} {i.Done}")).Append("</li>\n");
            }

            h.Append("</ul>\n");
        }

        h.Append("<p><small>Margins: positive, we lead. Shaded: 90 % of what the evidence allows. Made by Stakeboat ").Append(E(d.Engine)).Append(".</small></p>\n</body></html>\n");
        return h.ToString();
    }

    internal static string Facts(DebriefDocument d)
    {
        var parts = new List<string> { $"{d.Us.Name}, {d.Us.Boat}" };
        if (d.Clock.Distance is { } m)
        {
            parts.Add(N(m, 0) + " m");
        }

        if (d.Us.Lane is { } lane)
        {
            parts.Add("lane " + lane.ToString(CultureInfo.InvariantCulture));
        }

        if (d.Clock is { GoAt: { } go, FinishAt: { } finish })
        {
            parts.Add("rowed in " + Clock(finish - go));
        }

        var rivals = d.Crews.Where(c => !c.Us).Select(c => c.Name).ToList();
        if (rivals.Count > 0)
        {
            parts.Add("against " + string.Join(", ", rivals));
        }

        return string.Join(" · ", parts);
    }

    private static void Table(StringBuilder h, string title, string[] columns, IEnumerable<string[]> rows)
    {
        var all = rows.ToList();
        if (all.Count == 0)
        {
            return;
        }

        h.Append("<h2>").Append(E(title)).Append("</h2>\n<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"").Append(E(title)).Append("\"><table><thead><tr>");
        foreach (string c in columns)
        {
            h.Append("<th scope=\"col\">").Append(E(c)).Append("</th>");
        }

        h.Append("</tr></thead><tbody>\n");
        foreach (string[] row in all)
        {
            h.Append("<tr>");
            foreach (string cell in row)
            {
                h.Append("<td>").Append(E(cell)).Append("</td>");
            }

            h.Append("</tr>\n");
        }

        h.Append("</tbody></table></div>\n");
    }

    internal static string Clock(double seconds, int decimals = 1)
    {
        double scale = Math.Pow(10, decimals), r = Math.Round(Math.Abs(seconds) * scale) / scale;
        int minutes = (int)(r / 60);
        string rest = (r - 60 * minutes).ToString(decimals > 0 ? "00." + new string('0', decimals) : "00", CultureInfo.InvariantCulture);
        return $"{(seconds < 0 && r > 0 ? "−" : "")}{minutes.ToString(CultureInfo.InvariantCulture)}:{rest}";
    }

    internal static string N(double? x, int decimals) => x is { } v && double.IsFinite(v) ? v.ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture).Replace('-', '−') : "";

    internal static string E(string? s) => WebUtility.HtmlEncode(s ?? "");
}
