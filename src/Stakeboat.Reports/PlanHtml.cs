using System.Globalization;
using System.Net;
using System.Text;
using Stakeboat.Core.Plans;

namespace Stakeboat.Reports;

/// <summary>Which papers a page holds.</summary>
[Flags]
public enum PlanPapers
{
    DeckCard = 1,
    Strip = 2,
    CrewSheet = 4,
    All = DeckCard | Strip | CrewSheet,
}

/// <summary>
/// The plan's papers as one page to print from any browser: every paper asks for its own size (A6, 210 by 40 mm, A4); the fonts lie inside,
/// nothing is fetched.
/// </summary>
public static class PlanHtml
{
    /// <param name="printed">The day of printing, as it is to stand on the papers.</param>
    public static string Page(CompiledPlan plan, string printed, PlanPapers papers = PlanPapers.All)
    {
        ArgumentNullException.ThrowIfNull(plan);
        var b = new StringBuilder();
        b.Append("<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"><title>");
        b.Append(Text(plan.Title ?? "Race plan")).Append("</title>\n<style>\n");
        foreach ((string face, int weight) in (ReadOnlySpan<(string, int)>)[("Regular", 400), ("Bold", 800)])
        {
            b.Append(CultureInfo.InvariantCulture, $"@font-face{{font-family:card;font-weight:{weight};src:url(data:font/ttf;base64,{Convert.ToBase64String(new EmbeddedFonts().GetFont(face)!)})}}\n");
        }

        b.Append(Style).Append("</style></head>\n<body>\n<p class=\"hint\">Print at 100 %, no margins. Each paper has its own size: choose pages one by one.</p>\n");
        if (papers.HasFlag(PlanPapers.DeckCard))
        {
            Card(b, plan, printed);
        }

        if (papers.HasFlag(PlanPapers.Strip))
        {
            Strip(b, plan, printed);
        }

        if (papers.HasFlag(PlanPapers.CrewSheet))
        {
            Sheet(b, plan, printed);
        }

        return b.Append("</body></html>\n").ToString();
    }

    private static void Card(StringBuilder b, CompiledPlan plan, string printed)
    {
        var lines = PlanPaperText.Lines(plan);
        double row = Math.Min(8.6, 100.0 / Math.Max(lines.Count, 1));
        b.Append(CultureInfo.InvariantCulture, $"<section class=\"paper card\" style=\"--row:{row:0.00}mm\" aria-label=\"Deck card\">\n<h1>");
        b.Append(Text(string.Join("  ", new[] { plan.Variant, plan.Title ?? plan.Course ?? "Race plan", plan.Date ?? "" }.Where(s => s.Length > 0)))).Append("</h1>\n<table class=\"plan\">\n");
        foreach (var l in lines)
        {
            bool wide = l.Where.Length > 6;
            b.Append(l.Burst ? "<tr class=\"burst\">" : "<tr>");
            b.Append(wide && l.Rate.Length == 0 ? "<td class=\"where long\" colspan=\"2\">" : wide ? "<td class=\"where long\">" : "<td class=\"where\">").Append(Text(l.Where)).Append("</td>");
            b.Append(wide && l.Rate.Length == 0 ? "" : $"<td class=\"rate\">{Text(l.Rate)}</td>").Append("<td class=\"what\">").Append(Text(l.What)).Append("</td></tr>\n");
        }

        var (heads, rows) = PlanPaperText.StrokesLeft(plan);
        b.Append("</table>\n<table class=\"left\"><tr><th>to go</th>").Append(string.Concat(heads.Select(h => $"<th>{Text(h)}</th>"))).Append("</tr>\n");
        foreach (var r in rows)
        {
            b.Append(CultureInfo.InvariantCulture, $"<tr><td>{r.ToGo.Metres:0} m</td>").Append(string.Concat(r.Strokes.Select(n => $"<td>{n.ToString("0", CultureInfo.InvariantCulture)}</td>"))).Append("</tr>\n");
        }

        b.Append("</table>\n");
        Foot(b, plan, printed);
        b.Append("</section>\n");
    }

    private static void Strip(StringBuilder b, CompiledPlan plan, string printed)
    {
        b.Append("<section class=\"paper strip\" aria-label=\"Strip for the gunwale\">\n<div class=\"cells\">\n");
        foreach (var l in PlanPaperText.StripLines(plan))
        {
            b.Append(l.Burst ? "<div class=\"burst\">" : "<div>").Append(l.Where.Length > 5 ? "<b class=\"small\">" : "<b>").Append(Text(l.Where)).Append("</b><strong>")
                .Append(Text(l.Rate)).Append("</strong><span>").Append(Text(l.What)).Append("</span></div>\n");
        }

        b.Append("</div>\n");
        Foot(b, plan, printed);
        b.Append("</section>\n");
    }

    private static void Sheet(StringBuilder b, CompiledPlan plan, string printed)
    {
        b.Append("<section class=\"paper sheet\" aria-label=\"Crew sheet\">\n<h1>").Append(Text(plan.Title ?? "Race plan")).Append("</h1>\n<p>");
        b.Append(Text(string.Join("  ·  ", new[] { plan.Crew ?? "", plan.Course ?? "", plan.Date ?? "", "plan " + plan.Variant, plan.When is null ? "" : "if " + plan.When }.Where(s => s.Length > 0))));
        b.Append("</p>\n<table><thead><tr><th></th><th>from m</th><th>stroke</th><th>time</th><th>rate</th><th>pace</th><th>what for</th></tr></thead><tbody>\n");
        foreach (var s in plan.Segments)
        {
            string rate = s.RateFrom.PerMinute == s.RateTo.PerMinute ? PlanPaperText.Rate(s.RateTo.PerMinute) : $"{PlanPaperText.Rate(s.RateFrom.PerMinute)}–{PlanPaperText.Rate(s.RateTo.PerMinute)}";
            b.Append(CultureInfo.InvariantCulture, $"<tr><td>{Text(s.Name)}</td><td>{s.From.Distance.Metres:0}</td><td>{s.From.StrokeNumber}</td><td>{PlanPaperText.Clock(s.From.Time.Seconds)}</td><td>{rate}</td><td>{PlanPaperText.Clock(s.Pace.SecondsPer500)}</td><td>{s.Strokes:0} strokes{(s.Purpose is null ? "" : ", " + Text(s.Purpose))}</td></tr>\n");
        }

        b.Append("</tbody></table>\n<h2>Calls</h2>\n<table><thead><tr><th>when</th><th>m</th><th>stroke</th><th>time</th><th>rate</th><th>pace</th><th>what</th></tr></thead><tbody>\n");
        foreach (var c in plan.Cues)
        {
            b.Append("<tr><td>").Append(Text(c.TriggerText)).Append("</td>");
            b.Append(c.From is { } f
                ? string.Create(CultureInfo.InvariantCulture, $"<td>{f.Distance.Metres:0}</td><td>{f.StrokeNumber}</td><td>{PlanPaperText.Clock(f.Time.Seconds)}</td>")
                : "<td></td><td></td><td></td>");
            b.Append("<td>").Append(c.Rate is { } r ? PlanPaperText.Rate(r.PerMinute) : "").Append("</td><td>").Append(c.Pace is { } p ? PlanPaperText.Clock(p.SecondsPer500) : "").Append("</td><td>");
            b.Append(Text(c.ActionText)).Append("</td></tr>\n");
        }

        b.Append("</tbody></table>\n");
        Foot(b, plan, printed);
        b.Append("</section>\n");
    }

    private static void Foot(StringBuilder b, CompiledPlan plan, string printed)
    {
        b.Append("<p class=\"foot\">").Append(string.Join(" ", PlanPaperText.Assumptions(plan, printed).Select(Text))).Append("</p>\n");
    }

    private static string Text(string s) => WebUtility.HtmlEncode(s);

    private const string Style = """
        @page card{size:105mm 148mm;margin:0}
        @page strip{size:210mm 40mm;margin:0}
        @page sheet{size:210mm 297mm;margin:0}
        *{box-sizing:border-box}
        body{margin:0;background:#fff;color:#000;font:400 10pt card,sans-serif}
        .hint{padding:4mm;margin:0}
        .paper{background:#fff;overflow:hidden;position:relative;margin:4mm;outline:.3mm solid #000}
        .card{page:card;width:105mm;height:148mm;break-after:page}
        .strip{page:strip;width:210mm;height:40mm;padding:2.5mm 3mm;break-after:page}
        .sheet{page:sheet;width:210mm;min-height:297mm;padding:16mm}
        table{border-collapse:collapse;width:100%}
        .card h1{background:#000;color:#fff;font-size:13pt;line-height:11mm;margin:0;padding:0 5mm;white-space:nowrap;overflow:hidden;text-overflow:ellipsis}
        .card .plan{margin:1.2mm 0;table-layout:fixed}
        .plan td{height:var(--row);line-height:1;padding:0 1mm;font-weight:800;white-space:nowrap;overflow:hidden;text-overflow:ellipsis;border-bottom:.15mm solid #000}
        .plan .where{width:21mm;padding-left:5mm;font-size:calc(var(--row)*.68)}
        .plan .where.long{font-size:calc(var(--row)*.44);white-space:normal}
        .plan .rate{width:17mm;font-size:calc(var(--row)*.74)}
        .plan .what{font-size:calc(var(--row)*.56)}
        .burst{background:#dbdbdb;-webkit-print-color-adjust:exact;print-color-adjust:exact}
        .card h1{-webkit-print-color-adjust:exact;print-color-adjust:exact}
        .card .left{position:absolute;bottom:9mm;left:3mm;width:99mm;border:.4mm solid #000;font-weight:800;font-size:12pt;text-align:left}
        .left th{font-size:8pt}.left td,.left th{padding:.2mm 2mm}
        .foot{font-size:6pt;line-height:1.25;margin:0}
        .card .foot{position:absolute;bottom:1.6mm;left:5mm;right:4mm}
        .cells{display:flex;height:31mm}
        .cells div{flex:1 1 0;min-width:0;border:.4mm solid #000;display:flex;flex-direction:column;justify-content:space-between;align-items:center;text-align:center;padding:1.5mm .5mm;font-weight:800;overflow:hidden}
        .cells b{font-size:12pt;line-height:1}.cells b.small{font-size:7pt}.cells strong{font-size:20pt;line-height:1;font-weight:800}.cells span{font-size:7.5pt;line-height:1.05}
        .strip .foot{margin-top:.8mm}
        .sheet h1{font-size:20pt;margin:0}.sheet h2{font-size:13pt}
        .sheet th{text-align:left;font-weight:800;border-bottom:.3mm solid #000}.sheet td{padding:1.2mm 1mm 1.2mm 0;vertical-align:top}
        .sheet .foot{font-size:8.5pt;margin-top:8mm}
        @media print{.hint{display:none}.paper{margin:0;outline:0}}
        @media screen and (max-width:230mm){.sheet,.strip{zoom:.45}.card{zoom:.9}}

        """;
}
