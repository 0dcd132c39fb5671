namespace Stakeboat.Core.Plans;

/// <summary>Reads a place: "500 m", "250 m to go", "stroke 35", "30 strokes to go", "4:00", "half way", "the boathouse", "the finish".</summary>
internal static class PlanPlaceReader
{
    /// <summary>Takes "to go" or "left".</summary>
    public static bool TakeToGo(PlanCursor c)
    {
        if (c.Here.Low == "to" && c.Ahead(1).Low == "go")
        {
            c.Take();
            c.Take();
            return true;
        }

        if (c.TakeAny("left", "to-go"))
        {
            return true;
        }

        if (!c.TakeIf("gone") && PlanCursor.Number(c.Ahead(1)) is null)
        {
            // "500 m down" is 500 m gone; "500 m down 2" lowers the rate.
            c.TakeIf("down");
        }

        return false;
    }

    /// <summary>A place at the cursor; null, with nothing taken, where there is none. Names end at a comma, a colon or a stop word.</summary>
    public static PlanPlace? Take(PlanCursor c, params ReadOnlySpan<string> stopWords)
    {
        int begin = c.Position;
        c.TakeIf("the");
        var here = c.Here;
        if (here.Low == "half" && c.Ahead(1).Low is "way" or "distance")
        {
            c.Take();
            c.Take();
            return new HalfWay();
        }

        if (here.Low is "halfway")
        {
            c.Take();
            return new HalfWay();
        }

        if (here.Low is "finish" or "line" or "end")
        {
            c.Take();
            return new FinishLine();
        }

        if (here.Low == "stroke" && PlanCursor.Number(c.Ahead(1)) is { } stroke)
        {
            c.Take();
            c.Take();
            return new StrokeNumber(stroke);
        }

        if (PlanCursor.Clock(here) is { } clock)
        {
            c.Take();
            c.TakeAny("gone", "in");
            return new SecondsGone(clock);
        }

        if (here.Low == "last" && PlanCursor.Number(c.Ahead(1)) is { } last)
        {
            bool strokes = c.Ahead(2).Low is "strokes" or "stroke";
            if (strokes || c.Ahead(2).Low is "m" or "metres" or "meters")
            {
                c.Position += 3;
                return strokes ? new StrokesLeft(last) : new MetresLeft(last);
            }
        }

        if (PlanCursor.Number(here) is { } n)
        {
            string unit = c.Ahead(1).Low;
            if (unit is "m" or "metres" or "meters")
            {
                c.Position += 2;
                return TakeToGo(c) ? new MetresLeft(n) : new MetresGone(n);
            }

            if (unit == "km")
            {
                c.Position += 2;
                return TakeToGo(c) ? new MetresLeft(n * 1000) : new MetresGone(n * 1000);
            }

            if (unit is "strokes" or "stroke")
            {
                c.Position += 2;
                return TakeToGo(c) ? new StrokesLeft(n) : new StrokeNumber(n + 1);
            }

            if (unit is "s" or "seconds")
            {
                c.Position += 2;
                c.TakeAny("gone", "in");
                return new SecondsGone(n);
            }

            if (unit is "minutes" or "min")
            {
                c.Position += 2;
                c.TakeAny("gone", "in");
                return new SecondsGone(n * 60);
            }

            c.Position = begin;
            return null;
        }

        if (here.Quoted)
        {
            c.Take();
            return new AtMark(here.Text);
        }

        string name = "";
        while (!c.AtEnd && !c.Here.Quoted && c.Here.Text is not ("," or ":") && !stopWords.Contains(c.Here.Low) && PlanCursor.Number(c.Here) is null)
        {
            name += (name.Length > 0 ? " " : "") + c.Take().Text;
        }

        if (name.Length == 0)
        {
            c.Position = begin;
            return null;
        }

        return new AtMark(name);
    }

    /// <summary>Whether two names of marks are the same to a reader: letters and digits alone, without "the".</summary>
    public static bool Same(string a, string b) => Plain(a) == Plain(b);

    private static string Plain(string s)
    {
        string low = s.Trim().ToLowerInvariant();
        low = low.StartsWith("the ", StringComparison.Ordinal) ? low[4..] : low;
        return new string([.. low.Where(char.IsLetterOrDigit)]);
    }
}
