using System.Globalization;
using System.Text;

namespace Stakeboat.Core.Plans;

/// <summary>
/// Writes a plan back as text that reads as the same plan: every value in the language's own words, numbers with all their digits. Notes and
/// the writer's own spacing are not kept.
/// </summary>
public static class PlanWriter
{
    /// <summary>The whole text; variants follow each other, each complete.</summary>
    public static string Write(PlanSheet sheet)
    {
        ArgumentNullException.ThrowIfNull(sheet);
        var b = new StringBuilder();
        bool alone = sheet.Variants.Count == 1 && sheet.Variants[0] is { When: null, Name: "A" };
        foreach (var v in sheet.Variants)
        {
            if (!alone)
            {
                b.Append("plan ").Append(v.Name).Append(v.When is { } w ? " if " + w : "").Append('\n');
            }

            Write(b, v);
        }

        return b.ToString();
    }

    private static void Write(StringBuilder b, PlanVariant v)
    {
        Head(b, v.Head);
        b.Append('\n');
        foreach (var s in v.Segments)
        {
            Segment(b, s);
        }

        b.Append('\n');
        foreach (var c in v.Cues)
        {
            Cue(b, c);
        }
    }

    private static void Head(StringBuilder b, PlanHead h)
    {
        void Line(string key, string? value)
        {
            if (value is not null)
            {
                b.Append(key).Append(' ').Append(value).Append('\n');
            }
        }

        Line("race", h.Title);
        Line("crew", h.Crew);
        Line("course", h.Course);
        Line("date", h.Date);
        Line("boat", h.Boat?.Code);
        Line("distance", h.Metres is { } m ? N(m) + " m" : null);
        Line("pace", h.BaseSecPer500 is { } p ? Clock(p) : null);
        Line("time", h.GoalSeconds is { } g ? Clock(g) : null);
        Line("rate", h.BaseRate is { } r ? N(r) : null);
        Line("lift", h.LiftPercent is { } l ? N(l) + " %" : null);
        Line("wind", h.Wind is { } w ? Wind(w) : null);
        Line("water", h.WaterCelsius is { } t ? N(t) + " C" : null);
        Line("air", h.AirCelsius is { } a ? N(a) + " C" : null);
        Line("heading", h.Headings.Count > 0 ? string.Join(", ", h.Headings.Select(x => N(x.Degrees) + (x.ToMetres is { } to ? $" to {N(to)} m" : ""))) : null);
        Line("stream", h.StreamMps is { } s ? $"{(s < 0 ? "against" : "with")} {N(Math.Abs(s))} m/s" : null);
        Line("depth", h.DepthMetres is { } d ? N(d) + " m" : null);
        Line("fetch", h.FetchMetres is { } f ? N(f) + " m" : null);
        Line("go", h.RollingStart ? "rolling" : null);
        Line("rivals", h.Rivals.Count > 0 ? string.Join(", ", h.Rivals) : null);
        Line("reference", h.Own.Reference is { } own ? Clock(own.SecPer500) + (own.Sd is { } sd ? $" ± {N(sd)} s" : "") : null);
        Line("airshare", h.Own.AirShare is { } share ? N(share * 100) + " %" : null);
        Line("energy", h.Own.Energy is { } e
            ? $"{N(e.CpWatts)} W{(e.CpSd is { } cs ? $" ± {N(cs)} W" : "")} {N(e.StoreJoules)} J{(e.StoreSd is { } ss ? $" ± {N(ss)} J" : "")}"
            : null);
        Line("efforts", h.Own.Efforts.Count > 0 ? string.Join(", ", h.Own.Efforts.Select(x => $"{N(x.Watts)} W {N(x.Seconds)} s")) : null);
        Line("pieces", h.Own.Pieces.Count > 0 ? string.Join(", ", h.Own.Pieces.Select(x => $"{N(x.Metres)} m {N(x.Seconds)} s")) : null);
        Line("ladder", h.Own.Ladder.Count > 0 ? string.Join(", ", h.Own.Ladder.Select(x => $"{N(x.PerMinute)} {Clock(x.SecPer500)}")) : null);
        foreach (var mark in h.Marks)
        {
            Line("mark", $"{mark.Name} {Place(mark.Place)}");
        }
    }

    private static string Wind(PlanWind w)
    {
        if (w is { SpeedMps: 0, AtCrewHeight: true, AngleDegrees: 0 })
        {
            return "calm";
        }

        string from = w.AngleDegrees switch
        {
            0 => "head",
            45 => "head cross",
            90 => "cross",
            135 => "tail cross",
            180 => "tail",
            _ => $"from {N(w.FromDegrees ?? 0)} at",
        };
        return $"{from} {N(w.SpeedMps)} m/s{(w.AtCrewHeight ? "" : " at 10 m")}";
    }

    private static void Segment(StringBuilder b, SegmentLine s)
    {
        b.Append(s.Name);
        foreach (double f in s.Fractions)
        {
            b.Append(' ').Append(Fraction(f));
        }

        var e = s.Extent;
        b.Append(e.Strokes is { } n ? $" {N(n)} strokes" : "");
        b.Append(e.Metres is { } m ? $" {N(m)} m" : "");
        b.Append(e.Seconds is { } t ? $" {N(t)} s" : "");
        b.Append(e.LastMetres is { } lm ? $" last {N(lm)} m" : "");
        b.Append(e.LastStrokes is { } ls ? $" last {N(ls)} strokes" : "");
        b.Append(e.Until is { } until ? $" until {Place(until)}" : "");
        b.Append(s.Rate is { } r ? $" at {N(r)}" : "");
        b.Append(s.RateTo is { } to ? $" to {N(to)}" : "");
        if (s.Ladder is { } ladder)
        {
            b.Append(ladder.Rates.Count > 0 ? " at " + string.Join(", ", ladder.Rates.Select(N)) : "");
            b.Append(ladder.UpBy is { } by ? $" {(by < 0 ? "down" : "up")} {N(Math.Abs(by))}" : "");
            b.Append(ladder.Every is { } every ? $" every {N(every)} {(ladder.EveryInStrokes ? "strokes" : "m")}" : "");
        }

        b.Append(s.SecPer500 is { } pace ? $" pace {Clock(pace)}" : "");
        b.Append(s.EffortPercent is { } effort ? $" {N(effort)} %" : "");
        b.Append(s.Purpose is { } purpose ? $" for {purpose}" : "");
        b.Append(s.Words is { } words ? $", \"{words}\"" : "");
        b.Append('\n');
    }

    private static void Cue(StringBuilder b, CueLine c)
    {
        b.Append(Trigger(c.Trigger)).Append(':');
        b.Append(c.Strokes is { } n ? $" {N(n)} strokes" : "");
        b.Append(c.Metres is { } m ? $" {N(m)} m" : "");
        b.Append(c.Seconds is { } t ? $" {N(t)} s" : "");
        b.Append(c.Rate is { } r ? $" at {N(r)}" : "");
        b.Append(c.RateBy is { } by ? $" {(by < 0 ? "down" : "up")} {N(Math.Abs(by))}" : "");
        b.Append(c.EffortPercent is { } effort ? $" {N(effort)} %" : "");
        b.Append(c.Purpose is { } purpose ? $" for {purpose}" : "");
        b.Append(c.InStrokes is { } warn ? $" in {N(warn)}" : "");
        b.Append(c.OverStrokes is { } over ? $" over {N(over)}" : "");
        b.Append(c.Instead ? " instead" : "");
        b.Append(c.Words is { } words ? $", \"{words}\"" : "");
        b.Append('\n');
    }

    private static string Trigger(PlanTrigger trigger) => trigger switch
    {
        PlaceTrigger p => "at " + Place(p.Place),
        EveryTrigger e => $"every {N(e.Step)} {(e.InStrokes ? "strokes" : "m")}",
        BeforeStartTrigger => "before the start",
        RivalMovesTrigger r => $"when {r.Crew ?? "they"} move",
        ThroughTheirMoveTrigger t => $"{(t.Fraction == 1 ? "after" : "half way through")} {(t.Crew is { } crew ? crew + "'s" : "their")} {t.TheirStrokes?.ToString(CultureInfo.InvariantCulture) ?? "move"}",
        MarginTrigger { TheySeeUs: true } g => $"if {g.Crew ?? "they"} reach our {g.Seat}",
        MarginTrigger g => $"if we are on their {g.Seat}",
        WordsTrigger w => "if " + w.Words,
        _ => throw new ArgumentOutOfRangeException(nameof(trigger), trigger, "This kind of trigger has no words."),
    };

    private static string Place(PlanPlace place) => place switch
    {
        MetresGone p => N(p.Metres) + " m",
        MetresLeft p => N(p.Metres) + " m to go",
        StrokeNumber p => "stroke " + N(p.Number),
        StrokesLeft p => N(p.Strokes) + " strokes to go",
        SecondsGone p => N(p.Seconds) + " s",
        AtMark p => "the " + p.Name,
        HalfWay => "half way",
        FinishLine => "the finish",
        _ => throw new ArgumentOutOfRangeException(nameof(place), place, "This kind of place has no words."),
    };

    private static string Fraction(double f)
    {
        if (f == 1)
        {
            return "full";
        }

        for (int below = 2; below <= 1000; below++)
        {
            int above = (int)Math.Round(f * below);
            if ((double)above / below == f)
            {
                return string.Create(CultureInfo.InvariantCulture, $"{above}/{below}");
            }
        }

        return string.Create(CultureInfo.InvariantCulture, $"{(int)Math.Round(f * 1_000_000)}/1000000");
    }

    /// <summary>All digits that the number needs to be read back as the same number, without an exponent.</summary>
    private static string N(double v)
    {
        string s = v.ToString("R", CultureInfo.InvariantCulture);
        return s.Contains('E', StringComparison.Ordinal) ? v.ToString("F20", CultureInfo.InvariantCulture) : s;
    }

    /// <summary>"1:36.5"; seconds that lose digits on the way through minutes are kept by writing them all.</summary>
    private static string Clock(double seconds)
    {
        int minutes = (int)(seconds / 60);
        decimal rest = (decimal)seconds - minutes * 60m;
        return string.Create(CultureInfo.InvariantCulture, $"{minutes}:{rest:00.#############}");
    }
}
