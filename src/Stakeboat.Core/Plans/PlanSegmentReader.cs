using System.Globalization;

namespace Stakeboat.Core.Plans;

/// <summary>Reads a segment's line: a name, how long, the rate, and what it is for.</summary>
internal static class PlanSegmentReader
{
    public static SegmentLine? Read(PlanCursor c, SegmentKind kind, List<PlanIssue> issues)
    {
        string name = c.Take().Text;
        var state = new Draft();
        while (!c.AtEnd)
        {
            if (!ReadPart(c, kind, state, issues))
            {
                return null;
            }
        }

        return new SegmentLine(
            c.Line, kind, name, state.Extent, state.Rate, state.RateTo, state.SecPer500, state.Effort, state.Purpose, state.Words, state.Fractions, state.Ladder);
    }

    private static bool ReadPart(PlanCursor c, SegmentKind kind, Draft s, List<PlanIssue> issues)
    {
        var here = c.Here;
        if (here.Text is "," or ":" || here.Low is "and" or "then" or "of" or "strokes" or "spm")
        {
            c.Take();
            return true;
        }

        if (here.Quoted)
        {
            s.Words = c.Take().Text;
            return true;
        }

        if (PlanCursor.Fraction(here) is { } f && (here.Low != "half" || c.Ahead(1).Low is not ("way" or "distance")))
        {
            return ReadFraction(c, kind, s, f, issues);
        }

        switch (here.Low)
        {
            case "to" or "until":
                c.Take();
                return ReadTo(c, s, issues, here.Low == "until");
            case "last":
                c.Take();
                return ReadLast(c, s, issues);
            case "at":
                c.Take();
                return ReadRate(c, s, issues);
            case "up" or "down":
                return ReadStep(c, s, issues);
            case "pace":
                c.Take();
                if (PlanCursor.Clock(c.Here) is not { } pace || pace is < 60 or > 300)
                {
                    return Wrong(c, issues, "bad-pace", "A pace is minutes and seconds for 500 m, between 1:00 and 5:00, such as 1:36.");
                }

                c.Take();
                s.SecPer500 = pace;
                return true;
            case "over":
                c.Take();
                if (c.TakeNumber() is not { } over)
                {
                    return Wrong(c, issues, "number-missing", "'over' needs a number of strokes: 'settle to 36 over 5 strokes'.");
                }

                c.TakeAny("strokes", "stroke");
                s.Extent = s.Extent with { Strokes = over };
                return true;
            case "for":
                c.Take();
                if (PlanCursor.Clock(c.Here) is { } clock)
                {
                    c.Take();
                    s.Extent = s.Extent with { Seconds = clock };
                    return true;
                }

                if (PlanCursor.Number(c.Here) is not null && c.Ahead(1).Low is "strokes" or "stroke" or "m" or "metres" or "s" or "seconds")
                {
                    return ReadLength(c, kind, s, issues);
                }

                s.Purpose = c.TakeRest(true);
                return s.Purpose.Length > 0 || Wrong(c, issues, "purpose-missing", "'for' needs what it is for: 'for legs'.");
        }

        if (PlanCursor.Number(here) is not null)
        {
            return ReadLength(c, kind, s, issues);
        }

        return Wrong(c, issues, "unknown-word", $"'{here.Text}' is not understood here. A segment has a length (20 strokes, 300 m, to 1000 m), a rate (at 36) and a purpose (for legs).");
    }

    private static bool ReadFraction(PlanCursor c, SegmentKind kind, Draft s, double f, List<PlanIssue> issues)
    {
        if (kind != SegmentKind.Start)
        {
            return Wrong(c, issues, "fraction-outside-start", $"'{c.Here.Text}' is a part of a slide: such strokes belong to the start.");
        }

        if (f is <= 0 or > 1)
        {
            return Wrong(c, issues, "bad-fraction", $"'{c.Here.Text}' is no part of a slide: it lies between 0 and full.");
        }

        c.Take();
        s.Fractions.Add(f);
        return true;
    }

    private static bool ReadLength(PlanCursor c, SegmentKind kind, Draft s, List<PlanIssue> issues)
    {
        var number = c.Here;
        double n = c.TakeNumber() ?? 0;
        string unit = c.Here.Low;
        if (unit == "%")
        {
            c.Take();
            if (n is < -60 or > 150)
            {
                return Wrong(c, issues, "bad-effort", string.Create(CultureInfo.InvariantCulture, $"{n:0} % of effort is outside what a crew can do: -60 to +150 %."));
            }

            s.Effort = n;
            return true;
        }

        if (n <= 0)
        {
            issues.Add(new PlanIssue(c.Line, number.Column, PlanSeverity.Error, "not-positive", $"A length must be more than nothing, not '{number.Text}'."));
            return false;
        }

        switch (unit)
        {
            case "strokes" or "stroke":
                s.Extent = s.Extent with { Strokes = n };
                break;
            case "m" or "metres" or "meters":
                s.Extent = s.Extent with { Metres = n };
                break;
            case "km":
                s.Extent = s.Extent with { Metres = n * 1000 };
                break;
            case "s" or "seconds":
                s.Extent = s.Extent with { Seconds = n };
                break;
            case "min" or "minutes":
                s.Extent = s.Extent with { Seconds = n * 60 };
                break;
            case not ":" when kind is not SegmentKind.Base && s.Extent.Empty && n <= 60 && n == Math.Floor(n):
                // "high 20 at 42", "settle 5": a small bare number is strokes, as it is spoken.
                s.Extent = s.Extent with { Strokes = n };
                return true;
            default:
                issues.Add(new PlanIssue(c.Line, number.Column, PlanSeverity.Error, "unit-missing",
                    $"{number.Text} what? A length needs its unit: {number.Text} strokes, {number.Text} m or {number.Text} s."));
                return false;
        }

        c.Take();
        return true;
    }

    private static bool ReadTo(PlanCursor c, Draft s, List<PlanIssue> issues, bool placeOnly)
    {
        if (!placeOnly && PlanCursor.Number(c.Here) is { } n && c.Ahead(1).Low is not ("m" or "metres" or "meters" or "km" or "strokes" or "stroke" or "s" or "seconds" or "min" or "minutes"))
        {
            var token = c.Take();
            c.TakeAny("spm");
            if (n is < 14 or > 56)
            {
                issues.Add(new PlanIssue(c.Line, token.Column, PlanSeverity.Error, "bad-rate",
                    $"'to {token.Text}' is neither a rate (14 to 56) nor a place: a place needs its unit, such as 'to {token.Text} m'."));
                return false;
            }

            s.RateTo = n;
            return true;
        }

        if (PlanPlaceReader.Take(c, "at", "to", "for", "pace", "up", "down", "over", "last") is not { } place)
        {
            return Wrong(c, issues, "place-missing", "'to' needs a place or a rate: 'to 1000 m', 'to the finish', 'to 36'.");
        }

        s.Extent = s.Extent with { Until = place };
        return true;
    }

    private static bool ReadLast(PlanCursor c, Draft s, List<PlanIssue> issues)
    {
        if (c.TakeNumber() is not { } n || n <= 0)
        {
            return Wrong(c, issues, "number-missing", "'last' needs how much: 'last 300 m', 'last 30 strokes'.");
        }

        if (c.TakeAny("m", "metres", "meters"))
        {
            s.Extent = s.Extent with { LastMetres = n };
            return true;
        }

        if (c.TakeAny("strokes", "stroke"))
        {
            s.Extent = s.Extent with { LastStrokes = n };
            return true;
        }

        return Wrong(c, issues, "unit-missing", string.Create(CultureInfo.InvariantCulture, $"The last {n:0.#} what? Write 'last {n:0.#} m' or 'last {n:0.#} strokes'."));
    }

    private static bool ReadRate(PlanCursor c, Draft s, List<PlanIssue> issues)
    {
        var rates = new List<double>();
        do
        {
            var token = c.Here;
            if (c.TakeNumber() is not { } n)
            {
                return Wrong(c, issues, "number-missing", "'at' needs a rate here: 'at 36'.");
            }

            if (n is < 14 or > 56)
            {
                issues.Add(new PlanIssue(c.Line, token.Column, PlanSeverity.Error, "bad-rate", $"A rate lies between 14 and 56 strokes a minute, not {token.Text}."));
                return false;
            }

            rates.Add(n);
        }
        while (c.Here.Text == "," && IsRate(c.Ahead(1), c.Ahead(2)) && c.TakeIf(","));

        c.TakeIf("spm");
        if (rates.Count == 1)
        {
            s.Rate = rates[0];
        }
        else
        {
            s.Ladder = new RateLadder(rates);
        }

        return true;
    }

    private static bool IsRate(PlanToken token, PlanToken after) =>
        PlanCursor.Number(token) is not null && after.Low is not ("m" or "metres" or "strokes" or "stroke" or "s" or "seconds" or "%" or "km" or "min");

    private static bool ReadStep(PlanCursor c, Draft s, List<PlanIssue> issues)
    {
        bool up = c.Take().Low == "up";
        if (c.TakeNumber() is not { } by || by <= 0)
        {
            return Wrong(c, issues, "number-missing", "'up' needs by how many strokes a minute: 'up 2 every 100 m'.");
        }

        by = up ? by : -by;
        if (!c.TakeAny("every", "each"))
        {
            s.Ladder = new RateLadder([], by);
            return true;
        }

        if (c.TakeNumber() is not { } step || step <= 0)
        {
            return Wrong(c, issues, "number-missing", "'every' needs how often: 'up 2 every 100 m', 'up 1 every 10 strokes'.");
        }

        bool strokes = c.TakeAny("strokes", "stroke");
        if (!strokes && !c.TakeAny("m", "metres", "meters"))
        {
            return Wrong(c, issues, "unit-missing", string.Create(CultureInfo.InvariantCulture, $"Every {step:0.#} what? Write 'every {step:0.#} m' or 'every {step:0.#} strokes'."));
        }

        s.Ladder = new RateLadder([], by, step, strokes);
        return true;
    }

    private static bool Wrong(PlanCursor c, List<PlanIssue> issues, string code, string sentence)
    {
        issues.Add(new PlanIssue(c.Line, c.Here.Column, PlanSeverity.Error, code, sentence));
        return false;
    }

    private sealed class Draft
    {
        public SegmentExtent Extent { get; set; } = new();

        public double? Rate { get; set; }

        public double? RateTo { get; set; }

        public double? SecPer500 { get; set; }

        public double? Effort { get; set; }

        public string? Purpose { get; set; }

        public string? Words { get; set; }

        public List<double> Fractions { get; } = [];

        public RateLadder? Ladder { get; set; }
    }
}
