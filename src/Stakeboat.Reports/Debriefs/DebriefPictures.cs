using System.Globalization;
using System.Text;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Reports.Debriefs;

/// <summary>A line with its band in a picture.</summary>
internal sealed record PictureSeries(string Name, string Colour, string Dash, IReadOnlyList<(double X, double Y)> Points, IReadOnlyList<(double X, double Low, double High)> Band);

/// <summary>The three charts of a report: what stands in them, and each as SVG.</summary>
internal static class DebriefPictures
{
    internal static readonly string[] Colours = ["#0f766e", "#7440a8", "#946200", "#1f5fae", "#a3245e", "#4d6b1c", "#555f66"];
    internal static readonly string[] Dashes = ["", "7 3", "2 3", "9 3 2 3", "5 5", "1 2", "12 4"];
    internal const string Us = "#c2390f";

    internal static IReadOnlyList<PictureSeries> MarginSeries(DebriefDocument d) =>
        [.. d.Margins.Where(m => m.Metres.Count > 1).Select((m, k) =>
        {
            double seat = d.Crews.FirstOrDefault(c => c.Name == m.Crew)?.SeatSpacing ?? d.Us.SeatSpacing;
            int step = Math.Max(1, m.Metres.Count / 400);
            var at = Enumerable.Range(0, m.Metres.Count).Where(i => i % step == 0).ToList();
            return new PictureSeries(m.Crew, Colours[k % Colours.Length], Dashes[k % Dashes.Length],
                at.ConvertAll(i => (Race(d, m.T0 + i), m.Metres[i] / seat)), at.ConvertAll(i => (Race(d, m.T0 + i), m.Low90[i] / seat, m.High90[i] / seat)));
        })];

    internal static IReadOnlyList<PictureSeries> RateSeries(DebriefDocument d)
    {
        var all = new List<PictureSeries>();
        if (Planned(d, s => s.Rate) is { Count: > 0 } plan)
        {
            all.Add(new PictureSeries("planned", "#64748b", "5 4", plan, []));
        }

        if (d.Rowed?.Strokes is { T.Count: > 1 } s)
        {
            all.Add(new PictureSeries("rowed", Us, "", InRace(d, Enumerable.Range(0, s.T.Count).Where(i => s.Rate[i] is not null).Select(i => (s.T[i], s.Rate[i]!.Value))), []));
        }

        return all.Where(x => x.Points.Count > 1).ToList();
    }

    internal static IReadOnlyList<PictureSeries> SpeedSeries(DebriefDocument d)
    {
        var all = new List<PictureSeries>();
        if (Planned(d, s => s.SecPer500 is { } p and > 0 ? 500 / p : null) is { Count: > 0 } plan)
        {
            all.Add(new PictureSeries("planned", "#64748b", "5 4", plan, []));
        }

        if (d.Rowed?.Strokes is { T.Count: > 1 } s)
        {
            all.Add(new PictureSeries("rowed", Us, "", InRace(d, Enumerable.Range(0, s.T.Count).Where(i => s.Speed[i] is not null).Select(i => (s.T[i], s.Speed[i]!.Value))), []));
        }

        return all.Where(x => x.Points.Count > 1).ToList();
    }

    internal static string Margin(DebriefDocument d) => Svg(MarginSeries(d), "Margin in seats; above the line we lead", zero: true);

    internal static string Rate(DebriefDocument d) => Svg(RateSeries(d), "Stroke rate, strokes a minute", zero: false);

    internal static string Speed(DebriefDocument d) => Svg(SpeedSeries(d), "Speed, m/s", zero: false);

    private static double Race(DebriefDocument d, double t) => t - (d.Clock.GoAt ?? 0);

    private static List<(double X, double Y)> InRace(DebriefDocument d, IEnumerable<(double T, double Y)> points) =>
        points.Where(p => d.Clock.GoAt is not { } go || (p.T >= go && p.T <= (d.Clock.FinishAt ?? d.Clock.To))).Select(p => (Race(d, p.T), p.Y)).ToList();

    private static List<(double X, double Y)> Planned(DebriefDocument d, Func<PlannedSegmentPart, double?> value)
    {
        var points = new List<(double X, double Y)>();
        foreach (var s in d.Planned?.Segments ?? [])
        {
            if (value(s) is { } y && s is { FromSeconds: { } from, ToSeconds: { } to })
            {
                points.Add((from, y));
                points.Add((to, y));
            }
        }

        return points;
    }

    /// <summary>Lowest and highest value, rounded outwards to a step of 1, 2 or 5 times a power of ten.</summary>
    internal static (double Low, double High, double Step) Range(IReadOnlyList<PictureSeries> series, bool zero)
    {
        var ys = series.SelectMany(s => s.Points.Select(p => p.Y).Concat(s.Band.SelectMany(b => new[] { b.Low, b.High }))).Order().ToList();
        if (ys.Count == 0)
        {
            return (0, 1, 1);
        }

        // The outermost fiftieth may leave the picture: a start from rest would else press everything flat.
        double low = zero ? ys[0] : ys[ys.Count / 50], high = ys[^1];
        (low, high) = zero ? (Math.Min(low, 0), Math.Max(high, 0)) : (low, high);
        double raw = Math.Max(high - low, 1e-6) / 4, ten = Math.Pow(10, Math.Floor(Math.Log10(raw)));
        double step = raw / ten <= 1 ? ten : raw / ten <= 2 ? 2 * ten : raw / ten <= 5 ? 5 * ten : 10 * ten;
        return (Math.Floor(low / step) * step, Math.Ceiling(high / step + 1e-9) * step, step);
    }

    private static string Svg(IReadOnlyList<PictureSeries> series, string title, bool zero)
    {
        if (series.Count == 0)
        {
            return "";
        }

        const double W = 720, H = 240, Left = 44, Right = 92, Top = 8, Bottom = 26;
        double x0 = series.Min(s => s.Points[0].X), x1 = series.Max(s => s.Points[^1].X);
        var (low, high, step) = Range(series, zero);
        double X(double x) => Left + (W - Left - Right) * (x - x0) / Math.Max(1e-9, x1 - x0);
        double Y(double y) => Top + (H - Top - Bottom) * (high - Math.Clamp(y, low, high)) / Math.Max(1e-9, high - low);
        string F(double v) => v.ToString("0.#", CultureInfo.InvariantCulture);
        var s = new StringBuilder("<figure><figcaption>").Append(DebriefHtml.E(title)).Append("</figcaption><svg viewBox=\"0 0 720 240\" role=\"img\" aria-label=\"").Append(DebriefHtml.E(title)).Append("\">");
        for (double y = low; y <= high + step / 2; y += step)
        {
            bool axis = zero && Math.Abs(y) < step / 100;
            s.Append(CultureInfo.InvariantCulture, $"<path d=\"M{F(Left)} {F(Y(y))}H{F(W - Right)}\" stroke=\"currentColor\" stroke-opacity=\"{(axis ? ".8" : ".18")}\"/><text x=\"{F(Left - 6)}\" y=\"{F(Y(y) + 4)}\" text-anchor=\"end\">{DebriefHtml.N(y, step < 1 ? 1 : 0)}</text>");
        }

        double tick = x1 - x0 > 1500 ? 600 : x1 - x0 > 240 ? 60 : 30;
        for (double x = Math.Ceiling(x0 / tick) * tick; x <= x1; x += tick)
        {
            s.Append(CultureInfo.InvariantCulture, $"<text x=\"{F(X(x))}\" y=\"{F(H - 8)}\" text-anchor=\"middle\">{DebriefHtml.Clock(x, 0)}</text>");
        }

        foreach (var line in series)
        {
            if (line.Band.Count > 1)
            {
                s.Append("<path d=\"M").AppendJoin('L', line.Band.Select(b => F(X(b.X)) + " " + F(Y(b.High)))).Append('L')
                    .AppendJoin('L', line.Band.Reverse().Select(b => F(X(b.X)) + " " + F(Y(b.Low)))).Append(CultureInfo.InvariantCulture, $"Z\" fill=\"{line.Colour}\" fill-opacity=\".16\"/>");
            }

            s.Append("<path fill=\"none\" d=\"M").AppendJoin('L', line.Points.Select(p => F(X(p.X)) + " " + F(Y(p.Y))))
                .Append(CultureInfo.InvariantCulture, $"\" stroke=\"{line.Colour}\" stroke-width=\"2\" stroke-dasharray=\"{line.Dash}\"/>");
            s.Append(CultureInfo.InvariantCulture, $"<text x=\"{F(W - Right + 6)}\" y=\"{F(Y(line.Points[^1].Y) + 4)}\" style=\"fill:{line.Colour}\">{DebriefHtml.E(line.Name)}</text>");
        }

        return s.Append("</svg></figure>\n").ToString();
    }
}
