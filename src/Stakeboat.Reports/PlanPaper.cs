using System.Globalization;
using PdfSharp.Drawing;
using PdfSharp.Pdf;
using Stakeboat.Core.Plans;

namespace Stakeboat.Reports;

/// <summary>
/// Prints a plan: the A6 deck card and the gunwale strip for the boat (few numbers, heavy type, black on white), the A4 sheet for the crew.
/// Text stays text; fonts are embedded.
/// </summary>
public static class PlanPaper
{
    private const double Mm = 72 / 25.4;

    /// <summary>Deck card: page one A6, page two the strip for the gunwale (210 by 40 mm).</summary>
    /// <param name="printed">The day of printing, as it is to stand on the card.</param>
    public static void DeckCard(CompiledPlan plan, string printed, Stream output)
    {
        ArgumentNullException.ThrowIfNull(plan);
        using var document = New(plan);
        Card(document.AddPage(), plan, printed);
        Strip(document.AddPage(), plan, printed);
        document.Save(output, false);
    }

    /// <summary>Crew sheet, A4, as many pages as it takes.</summary>
    public static void CrewSheet(CompiledPlan plan, string printed, Stream output)
    {
        ArgumentNullException.ThrowIfNull(plan);
        using var document = New(plan);
        Sheet(document, plan, printed);
        document.Save(output, false);
    }

    private static PdfDocument New(CompiledPlan plan)
    {
        EmbeddedFonts.Use();
        var document = new PdfDocument();
        document.Info.Title = plan.Title ?? "Race plan";
        document.Info.Creator = "Stakeboat";
        return document;
    }

    private static XFont Bold(double size) => new(EmbeddedFonts.Family, size, XFontStyleEx.Bold);

    private static XFont Plain(double size) => new(EmbeddedFonts.Family, size, XFontStyleEx.Regular);

    private static void Card(PdfPage page, CompiledPlan plan, string printed)
    {
        page.Width = XUnit.FromMillimeter(105);
        page.Height = XUnit.FromMillimeter(148);
        using var g = XGraphics.FromPdfPage(page);
        double left = 5 * Mm, right = 100 * Mm, y = 5 * Mm;
        string head = string.Join("  ", new[] { plan.Variant, plan.Title ?? plan.Course ?? "Race plan", plan.Date ?? "" }.Where(s => s.Length > 0));
        g.DrawRectangle(XBrushes.Black, 0, 0, page.Width.Point, 11 * Mm);
        g.DrawString(Fit(g, head, Bold(13), right - left), Bold(13), XBrushes.White, left, y + 3.2 * Mm);
        y = 12.5 * Mm;
        var lines = PlanPaperText.Lines(plan);
        double room = 104 * Mm;
        double row = Math.Min(8.6 * Mm, room / Math.Max(lines.Count, 1));
        double size = Math.Clamp(row / Mm * 2.1, 6, 17);
        foreach (var line in lines)
        {
            if (line.Burst)
            {
                g.DrawRectangle(new XSolidBrush(XColor.FromGrayScale(0.86)), left - 2 * Mm, y, right - left + 4 * Mm, row * 0.94);
            }

            double baseline = y + row * 0.72;
            double whereSize = line.Where.Length > 6 ? size * 0.62 : size;
            if (g.MeasureString(line.Where, Bold(whereSize)).Width > 34 * Mm && TwoLines(line.Where) is var (first, second) && second.Length > 0)
            {
                double half = row * 0.42;
                g.DrawString(Fit(g, first, Bold(half), 34 * Mm), Bold(half), XBrushes.Black, left, y + row * 0.42);
                g.DrawString(Fit(g, second, Bold(half), 34 * Mm), Bold(half), XBrushes.Black, left, y + row * 0.84);
            }
            else
            {
                g.DrawString(Fit(g, line.Where, Bold(whereSize), 34 * Mm), Bold(whereSize), XBrushes.Black, left, baseline);
            }

            double after = line.Where.Length > 6 ? left + 35 * Mm : left + 17 * Mm;
            g.DrawString(line.Rate, Bold(size * 1.1), XBrushes.Black, after, baseline);
            double what = line.Where.Length > 6 && line.Rate.Length == 0 ? after : after + 18 * Mm;
            g.DrawString(Fit(g, line.What, Bold(size * 0.82), right - what), Bold(size * 0.82), XBrushes.Black, what, baseline);
            y += row;
            g.DrawLine(new XPen(XColors.Black, 0.4), left - 2 * Mm, y - row * 0.03, right + 2 * Mm, y - row * 0.03);
        }

        StrokesTable(g, plan, left, 119.5 * Mm, right);
        double foot = 143.4 * Mm;
        foreach (string s in PlanPaperText.Assumptions(plan, printed))
        {
            g.DrawString(Fit(g, s, Plain(5.6), right - left), Plain(5.6), XBrushes.Black, left, foot);
            foot += 2.4 * Mm;
        }
    }

    private static void StrokesTable(XGraphics g, CompiledPlan plan, double left, double y, double right)
    {
        var (heads, rows) = PlanPaperText.StrokesLeft(plan);
        double column = (right - left - 24 * Mm) / heads.Count;
        g.DrawRectangle(new XPen(XColors.Black, 1.2), left - 2 * Mm, y - 1, right - left + 4 * Mm, 21 * Mm);
        g.DrawString("to go", Bold(8), XBrushes.Black, left, y + 3.4 * Mm);
        for (int i = 0; i < heads.Count; i++)
        {
            g.DrawString(heads[i], Bold(8), XBrushes.Black, left + 24 * Mm + i * column, y + 3.4 * Mm);
        }

        for (int r = 0; r < rows.Count; r++)
        {
            double baseline = y + (9 + r * 5.2) * Mm;
            g.DrawString(string.Create(CultureInfo.InvariantCulture, $"{rows[r].ToGo.Metres:0} m"), Bold(13), XBrushes.Black, left, baseline);
            for (int i = 0; i < heads.Count; i++)
            {
                g.DrawString(rows[r].Strokes[i].ToString("0", CultureInfo.InvariantCulture), Bold(13), XBrushes.Black, left + 24 * Mm + i * column, baseline);
            }
        }
    }

    private static void Strip(PdfPage page, CompiledPlan plan, string printed)
    {
        page.Width = XUnit.FromMillimeter(210);
        page.Height = XUnit.FromMillimeter(40);
        using var g = XGraphics.FromPdfPage(page);
        var lines = PlanPaperText.StripLines(plan);
        double width = 204 * Mm / Math.Max(lines.Count, 1);
        for (int i = 0; i < lines.Count; i++)
        {
            double x = 3 * Mm + i * width;
            g.DrawRectangle(new XPen(XColors.Black, 1.2), lines[i].Burst ? new XSolidBrush(XColor.FromGrayScale(0.86)) : XBrushes.White, x, 3 * Mm, width, 31 * Mm);
            double small = lines[i].Where.Length > 5 ? 7 : 12;
            Centred(g, lines[i].Where, Bold(small), x, width, 9 * Mm);
            Centre(g, lines[i].Rate, Bold(20), x, width, 20 * Mm);
            Centred(g, lines[i].What, Bold(7.5), x, width, 28.5 * Mm);
        }

        g.DrawString(Fit(g, string.Join(" ", PlanPaperText.Assumptions(plan, printed)), Plain(5.2), 204 * Mm), Plain(5.2), XBrushes.Black, 3 * Mm, 37.6 * Mm);
    }

    private static void Sheet(PdfDocument document, CompiledPlan plan, string printed)
    {
        PdfPage page = A4(document);
        XGraphics g = XGraphics.FromPdfPage(page);
        double left = 16 * Mm, right = 194 * Mm, y = 22 * Mm;
        g.DrawString(Fit(g, plan.Title ?? "Race plan", Bold(20), right - left), Bold(20), XBrushes.Black, left, y);
        y += 8 * Mm;
        g.DrawString(
            string.Join("  ·  ", new[] { plan.Crew ?? "", plan.Course ?? "", plan.Date ?? "", "plan " + plan.Variant, plan.When is null ? "" : "if " + plan.When }.Where(s => s.Length > 0)),
            Plain(11), XBrushes.Black, left, y);
        y += 9 * Mm;
        double[] x = [left, left + 27 * Mm, left + 46 * Mm, left + 65 * Mm, left + 84 * Mm, left + 103 * Mm, left + 124 * Mm];
        string[] heads = ["", "from m", "stroke", "time", "rate", "pace", "what for"];
        Row(g, x, heads, Bold(9), y, right);
        y += 2 * Mm;
        g.DrawLine(new XPen(XColors.Black, 0.8), left, y, right, y);
        foreach (var s in plan.Segments)
        {
            y += 6.2 * Mm;
            string rate = s.RateFrom.PerMinute == s.RateTo.PerMinute ? PlanPaperText.Rate(s.RateTo.PerMinute) : $"{PlanPaperText.Rate(s.RateFrom.PerMinute)}–{PlanPaperText.Rate(s.RateTo.PerMinute)}";
            Row(g, x,
            [
                s.Name, Num(s.From.Distance.Metres), s.From.StrokeNumber.ToString(CultureInfo.InvariantCulture), PlanPaperText.Clock(s.From.Time.Seconds), rate,
                PlanPaperText.Clock(s.Pace.SecondsPer500), string.Join(", ", new[] { string.Create(CultureInfo.InvariantCulture, $"{s.Strokes:0} strokes"), s.Purpose ?? "" }.Where(t => t.Length > 0)),
            ], Plain(10), y, right);
        }

        y += 10 * Mm;
        g.DrawString("Calls", Bold(13), XBrushes.Black, left, y);
        foreach (var c in plan.Cues)
        {
            y += 6.2 * Mm;
            if (y > 265 * Mm)
            {
                g.Dispose();
                page = A4(document);
                g = XGraphics.FromPdfPage(page);
                y = 22 * Mm;
            }

            string[] cells = c.From is { } f
                ? [c.TriggerText, Num(f.Distance.Metres), f.StrokeNumber.ToString(CultureInfo.InvariantCulture), PlanPaperText.Clock(f.Time.Seconds), c.Rate is { } r ? PlanPaperText.Rate(r.PerMinute) : "", c.Pace is { } p ? PlanPaperText.Clock(p.SecondsPer500) : "", c.ActionText]
                : ["", "", "", "", "", "", c.ActionText];
            if (c.From is null)
            {
                g.DrawString(Fit(g, c.TriggerText, Plain(10), x[6] - left - 4), Plain(10), XBrushes.Black, left, y);
            }

            Row(g, x, cells, Plain(10), y, right);
        }

        y += 12 * Mm;
        foreach (string s in PlanPaperText.Assumptions(plan, printed))
        {
            g.DrawString(Fit(g, s, Plain(8.5), right - left), Plain(8.5), XBrushes.Black, left, y);
            y += 4.5 * Mm;
        }

        g.Dispose();
    }

    private static PdfPage A4(PdfDocument document)
    {
        var page = document.AddPage();
        page.Width = XUnit.FromMillimeter(210);
        page.Height = XUnit.FromMillimeter(297);
        return page;
    }

    private static void Row(XGraphics g, double[] x, string[] cells, XFont font, double y, double right)
    {
        for (int i = 0; i < cells.Length; i++)
        {
            double room = (i + 1 < x.Length ? x[i + 1] : right) - x[i] - 2;
            g.DrawString(Fit(g, cells[i], font, room), font, XBrushes.Black, x[i], y);
        }
    }

    private static string Num(double v) => v.ToString("0", CultureInfo.InvariantCulture);

    private static void Centre(XGraphics g, string text, XFont font, double x, double width, double baseline) =>
        g.DrawString(text, font, XBrushes.Black, x + (width - g.MeasureString(text, font).Width) / 2, baseline);

    /// <summary>In one line where it fits, else in two.</summary>
    private static void Centred(XGraphics g, string text, XFont font, double x, double width, double baseline)
    {
        if (g.MeasureString(text, font).Width > width - 2 && TwoLines(text) is var (first, second) && second.Length > 0)
        {
            Centre(g, Fit(g, first, font, width - 2), font, x, width, baseline - font.Size * 0.5);
            Centre(g, Fit(g, second, font, width - 2), font, x, width, baseline + font.Size * 0.55);
        }
        else
        {
            Centre(g, Fit(g, text, font, width - 2), font, x, width, baseline);
        }
    }

    /// <summary>Splits a text at the space nearest to its middle; the second part is empty where there is none.</summary>
    private static (string First, string Second) TwoLines(string text)
    {
        int best = -1;
        for (int i = 1; i < text.Length - 1; i++)
        {
            if (text[i] == ' ' && (best < 0 || Math.Abs(i - text.Length / 2) < Math.Abs(best - text.Length / 2)))
            {
                best = i;
            }
        }

        return best < 0 ? (text, "") : (text[..best].TrimEnd(), text[(best + 1)..].TrimStart());
    }

    /// <summary>Cuts a text to a width, with an ellipsis.</summary>
    private static string Fit(XGraphics g, string text, XFont font, double width)
    {
        if (g.MeasureString(text, font).Width <= width)
        {
            return text;
        }

        int n = text.Length;
        while (n > 1 && g.MeasureString(text[..n] + "…", font).Width > width)
        {
            n--;
        }

        return text[..n] + "…";
    }
}
