using System.Globalization;
using PdfSharp.Drawing;
using PdfSharp.Pdf;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Reports.Debriefs;

/// <summary>The debrief on two A4 pages: pictures first, then findings with the numbers they stand on.</summary>
public static class DebriefReport
{
    private const double Margin = 45, Width = 595.276, Height = 841.89;
    private static readonly XColor s_ink = XColor.FromArgb(0x13, 0x26, 0x2e), s_soft = XColor.FromArgb(0x4d, 0x60, 0x68), s_rule = XColor.FromArgb(0xc9, 0xcf, 0xc9);

    public static byte[] Write(DebriefDocument d)
    {
        ArgumentNullException.ThrowIfNull(d);
        EmbeddedFonts.Use();
        using var pdf = new PdfDocument();
        pdf.Info.Title = d.Name;
        pdf.Info.Creator = "Stakeboat " + d.Engine;
        using (var g = Page(pdf))
        {
            double y = Head(g, d, "1 of 2");
            y = Chart(g, DebriefPictures.MarginSeries(d), "Margin in seats; above the line we lead; shaded: 90 % interval", y, 250, zero: true);
            y = Chart(g, DebriefPictures.RateSeries(d), "Stroke rate, strokes a minute", y, 160, zero: false);
            y = Chart(g, DebriefPictures.SpeedSeries(d), "Speed, m/s", y, 160, zero: false);
            if (d.Findings.Count > 0 && y < Height - 90)
            {
                Paragraph(g, d.Findings[0].Sentence, Font(13, true), y + 4, Margin, Width - 2 * Margin, 3);
            }
        }

        using (var g = Page(pdf))
        {
            double y = Head(g, d, "2 of 2");
            y = Findings(g, d, y);
            y = Table(g, "Planned and rowed", ["stretch", "rowed", "planned", "pace", "rate"], [120, 80, 80, 80, 60], y,
                (d.Rowed?.Splits ?? []).Select(s => new[] { $"{N(s.From, 0)} to {N(s.To, 0)} m", Clock(s.Seconds), s.PlannedSeconds is { } p ? Clock(p) : "", Clock(s.Seconds * 500 / (s.To - s.From)), N(s.Rate, 1) }));
            y = Table(g, "Moves", ["when", "whose", "against", "seats gained (90 %)", "held"], [50, 110, 110, 170, 60], y, d.Moves.Select(m => new[]
            {
                Clock(m.From - (d.Clock.GoAt ?? 0), 0), m.Crew, m.Rival,
                $"{N(m.Seats, 1)} ({N(m.Low90, 1)} to {N(m.High90, 1)}){(m.Distinguishable ? "" : ", not dist.")}", m.Held is { } h ? N(h, 1) : "",
            }));
            _ = Table(g, "Result", ["place", "lane", "crew", "time"], [50, 50, 200, 80], y, (d.Result ?? []).Select(r => new[]
            {
                r.Place?.ToString(CultureInfo.InvariantCulture) ?? "", r.Lane?.ToString(CultureInfo.InvariantCulture) ?? "", r.Crew, r.Marks.Count > 0 ? Clock(r.Marks[^1].Seconds) : "",
            }));
        }

        using var target = new MemoryStream();
        pdf.Save(target, closeStream: false);
        return target.ToArray();
    }

    private static XGraphics Page(PdfDocument pdf)
    {
        var page = pdf.AddPage();
        page.Width = XUnit.FromPoint(Width);
        page.Height = XUnit.FromPoint(Height);
        return XGraphics.FromPdfPage(page);
    }

    private static XFont Font(double size, bool bold = false) =>
        new(EmbeddedFonts.Family, size, bold ? XFontStyleEx.Bold : XFontStyleEx.Regular);

    private static double Head(XGraphics g, DebriefDocument d, string page)
    {
        double y = Paragraph(g, d.Name, Font(20, true), Margin, Margin, Width - 2 * Margin - 40, 1);
        g.DrawString(page, Font(9), new XSolidBrush(s_soft), new XPoint(Width - Margin, Margin + 14), XStringFormats.BaseLineRight);
        return Paragraph(g, DebriefHtml.Facts(d), Font(9.5), y, Margin, Width - 2 * Margin, 2, s_soft) + 10;
    }

    private static double Findings(XGraphics g, DebriefDocument d, double y)
    {
        g.DrawString("What to carry into the next race", Font(13, true), new XSolidBrush(s_ink), new XPoint(Margin, y + 12));
        y += 22;
        if (d.Findings.Count == 0)
        {
            return Paragraph(g, "Nothing yet that the files can carry.", Font(10.5), y, Margin, Width - 2 * Margin, 1) + 10;
        }

        int n = 0;
        foreach (var f in d.Findings)
        {
            if (y > 430)
            {
                return Paragraph(g, string.Create(CultureInfo.InvariantCulture, $"{d.Findings.Count - n} more stand in the full debrief."), Font(9), y, Margin + 20, Width - 2 * Margin, 1, s_soft) + 10;
            }

            n++;
            g.DrawString(n.ToString(CultureInfo.InvariantCulture), Font(12, true), new XSolidBrush(XColor.FromArgb(0xc2, 0x39, 0x0f)), new XPoint(Margin, y + 11));
            y = Paragraph(g, f.Sentence, Font(10.5), y, Margin + 20, Width - 2 * Margin - 20, 4);
            string times = string.Join(", ", f.Evidence.Take(6).Select(e => Clock(e.T - (d.Clock.GoAt ?? 0), 0)));
            y = Paragraph(g, (times.Length > 0 ? "at " + times + ". " : "") + f.WouldConfirm, Font(8.5), y, Margin + 20, Width - 2 * Margin - 20, 2, s_soft) + 7;
        }

        return y + 6;
    }

    private static double Table(XGraphics g, string title, string[] columns, double[] widths, double y, IEnumerable<string[]> rows)
    {
        var all = rows.ToList();
        if (all.Count == 0 || y > Height - 110)
        {
            return y;
        }

        g.DrawString(title, Font(11, true), new XSolidBrush(s_ink), new XPoint(Margin, y + 11));
        y += 17;
        Line(columns, Font(8.5), s_soft);
        foreach (string[] row in all)
        {
            if (y > Height - 60)
            {
                return Paragraph(g, "The rest stands in the full debrief.", Font(8.5), y, Margin, 300, 1, s_soft);
            }

            Line(row, Font(9), s_ink);
        }

        return y + 12;

        void Line(string[] cells, XFont font, XColor colour)
        {
            double x = Margin;
            for (int i = 0; i < cells.Length; i++)
            {
                g.DrawString(Fit(g, cells[i], font, widths[i] - 6), font, new XSolidBrush(colour), new XPoint(x, y + 10));
                x += widths[i];
            }

            y += 14;
            g.DrawLine(new XPen(s_rule, 0.5), Margin, y, Margin + widths.Sum(), y);
        }
    }

    private static double Chart(XGraphics g, IReadOnlyList<PictureSeries> series, string title, double y, double height, bool zero)
    {
        if (series.Count == 0)
        {
            return y;
        }

        g.DrawString(title, Font(9.5), new XSolidBrush(s_soft), new XPoint(Margin, y + 9));
        double top = y + 16, bottom = y + height - 18, left = Margin + 26, right = Width - Margin - 70;
        var (low, high, step) = DebriefPictures.Range(series, zero);
        double x0 = series.Min(s => s.Points[0].X), x1 = series.Max(s => s.Points[^1].X);
        double X(double x) => left + (right - left) * (x - x0) / Math.Max(1e-9, x1 - x0);
        double Y(double v) => top + (bottom - top) * (high - Math.Clamp(v, low, high)) / Math.Max(1e-9, high - low);
        for (double v = low; v <= high + step / 2; v += step)
        {
            g.DrawLine(new XPen(zero && Math.Abs(v) < step / 100 ? s_ink : s_rule, zero && Math.Abs(v) < step / 100 ? 0.9 : 0.4), left, Y(v), right, Y(v));
            g.DrawString(N(v, step < 1 ? 1 : 0), Font(8), new XSolidBrush(s_soft), new XPoint(left - 4, Y(v) + 3), XStringFormats.BaseLineRight);
        }

        double tick = x1 - x0 > 1500 ? 600 : x1 - x0 > 240 ? 60 : 30;
        for (double x = Math.Ceiling(x0 / tick) * tick; x <= x1; x += tick)
        {
            g.DrawString(Clock(x, 0), Font(8), new XSolidBrush(s_soft), new XPoint(X(x), bottom + 11), XStringFormats.BaseLineCenter);
        }

        double taken = double.NegativeInfinity;
        foreach (var line in series.OrderByDescending(s => s.Points[^1].Y))
        {
            var colour = Colour(line.Colour);
            if (line.Band.Count > 1)
            {
                var band = line.Band.Select(b => new XPoint(X(b.X), Y(b.High))).Concat(line.Band.Reverse().Select(b => new XPoint(X(b.X), Y(b.Low)))).ToArray();
                g.DrawPolygon(new XSolidBrush(XColor.FromArgb(40, colour.R, colour.G, colour.B)), band, XFillMode.Winding);
            }

            var pen = new XPen(colour, 1.3);
            if (line.Dash.Length > 0)
            {
                pen.DashPattern = [.. line.Dash.Split(' ').Select(s => double.Parse(s, CultureInfo.InvariantCulture) / 1.3)];
            }

            g.DrawLines(pen, line.Points.Select(p => new XPoint(X(p.X), Y(p.Y))).ToArray());
            double at = Math.Max(Y(line.Points[^1].Y) + 3, taken + 10);
            taken = at;
            g.DrawString(Fit(g, line.Name, Font(8.5, true), 66), Font(8.5, true), new XSolidBrush(colour), new XPoint(right + 4, at));
        }

        return y + height + 6;
    }

    private static XColor Colour(string hex) => XColor.FromArgb(
        Convert.ToInt32(hex[1..3], 16), Convert.ToInt32(hex[3..5], 16), Convert.ToInt32(hex[5..7], 16));

    /// <summary>Sets text in lines of a width; what does not fit the lines allowed ends in an ellipsis. Returns the y below.</summary>
    private static double Paragraph(XGraphics g, string text, XFont font, double y, double x, double width, int lines, XColor? colour = null)
    {
        var brush = new XSolidBrush(colour ?? s_ink);
        string rest = Printable(text).Trim();
        for (int i = 0; i < lines && rest.Length > 0; i++)
        {
            int cut = rest.Length;
            if (i == lines - 1)
            {
                string last = Fit(g, rest, font, width);
                g.DrawString(last, font, brush, new XPoint(x, y + font.Size));
                return y + font.Size * 1.3;
            }

            while (g.MeasureString(rest[..cut], font).Width > width)
            {
                int space = rest.LastIndexOf(' ', cut - 1);
                cut = space > 0 ? space : cut - 1;
            }

            g.DrawString(rest[..cut], font, brush, new XPoint(x, y + font.Size));
            y += font.Size * 1.3;
            rest = rest[cut..].TrimStart();
        }

        return y;
    }

    private static string Fit(XGraphics g, string text, XFont font, double width)
    {
        text = Printable(text);
        if (g.MeasureString(text, font).Width <= width)
        {
            return text;
        }

        int n = text.Length;
        while (n > 1 && g.MeasureString(text[..n].TrimEnd() + "…", font).Width > width)
        {
            n--;
        }

        return text[..n].TrimEnd() + "…";
    }

    /// <summary>Signs that the font lacks, in others.</summary>
    private static string Printable(string s) =>
        s.Replace("≤", "at most ", StringComparison.Ordinal).Replace("≥", "at least ", StringComparison.Ordinal).Replace("→", "to", StringComparison.Ordinal).ReplaceLineEndings(" ");

    private static string Clock(double seconds, int decimals = 1) => DebriefHtml.Clock(seconds, decimals);

    private static string N(double? x, int decimals) => DebriefHtml.N(x, decimals);
}
