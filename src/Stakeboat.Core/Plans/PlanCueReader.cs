using System.Globalization;

namespace Stakeboat.Core.Plans;

/// <summary>Reads a cue's line: what sets it off, a colon, what is then done.</summary>
internal static class PlanCueReader
{
    public static CueLine? Read(PlanCursor c, string line, List<PlanIssue> issues)
    {
        int begin = c.Here.Column;
        var trigger = ReadTrigger(c, issues);
        if (trigger is null)
        {
            return null;
        }

        if (c.Here.Text != ":")
        {
            Add(issues, c, "colon-missing", c.AtEnd
                ? "A cue says what is done after a colon: 'at 500 m: ten for legs'."
                : $"A colon was expected before '{c.Here.Text}': 'at 500 m: ten for legs'.");
            return null;
        }

        string triggerText = line[(begin - 1)..(c.Here.Column - 1)].Trim();
        string actionText = line[c.Here.Column..].Trim();
        c.Take();
        if (c.AtEnd)
        {
            Add(issues, c, "action-missing", $"'{triggerText}:' says when, but not what is done.");
            return null;
        }

        var s = new Draft();
        while (!c.AtEnd)
        {
            if (!ReadPart(c, s, issues))
            {
                return null;
            }
        }

        if (s.Over is { } over && s.Rate is null && s.RateBy is null)
        {
            Add(issues, c, "over-without-change", string.Create(CultureInfo.InvariantCulture,
                $"'over {over}' spreads a change of rate across {over} strokes, but no rate changes here. For a warning of {over} strokes write 'in {over}'."));
            return null;
        }

        if (s.Over is { } o && s.Strokes is { } n && o > n)
        {
            Add(issues, c, "over-longer-than-burst", string.Create(CultureInfo.InvariantCulture,
                $"The rate is to change over {o} strokes, but the burst has only {n}."));
            return null;
        }

        return new CueLine(c.Line, trigger, triggerText, actionText, s.Strokes, s.Seconds, s.Metres, s.Rate, s.RateBy, s.In, s.Over, s.Effort, s.Purpose, s.Words, s.Instead);
    }

    private static PlanTrigger? ReadTrigger(PlanCursor c, List<PlanIssue> issues)
    {
        if (c.TakeIf("before"))
        {
            _ = c.TakeRest(false, ":");
            return new BeforeStartTrigger();
        }

        if (c.Here.Low == "half" && c.Ahead(1).Low == "way" && c.Ahead(2).Low == "through")
        {
            c.Position += 3;
            return ThroughTheirs(c, 0.5);
        }

        if (c.TakeIf("through"))
        {
            return ThroughTheirs(c, 0.5);
        }

        if (c.TakeIf("after"))
        {
            return ThroughTheirs(c, 1);
        }

        if (c.Here.Low == "half")
        {
            return PlanPlaceReader.Take(c) is { } half ? new PlaceTrigger(half) : null;
        }

        if (c.TakeIf("every"))
        {
            if (c.TakeNumber() is not { } step || step <= 0)
            {
                Add(issues, c, "number-missing", "'every' needs how often: 'every 250 m: ...'.");
                return null;
            }

            bool strokes = c.TakeAny("strokes", "stroke");
            if (!strokes && !c.TakeAny("m", "metres", "meters"))
            {
                Add(issues, c, "unit-missing", string.Create(CultureInfo.InvariantCulture, $"Every {step:0.#} what? Write 'every {step:0.#} m' or 'every {step:0.#} strokes'."));
                return null;
            }

            return new EveryTrigger(step, strokes);
        }

        if (c.TakeAny("when", "if"))
        {
            return ReadCondition(c, issues);
        }

        c.TakeIf("at");
        int column = c.Here.Column;
        var number = c.Here;
        if (PlanPlaceReader.Take(c) is { } place)
        {
            return new PlaceTrigger(place);
        }

        issues.Add(new PlanIssue(c.Line, column, PlanSeverity.Error, number.Text.Length > 0 && PlanCursor.Number(number) is not null ? "unit-missing" : "place-missing",
            PlanCursor.Number(number) is not null
                ? $"At {number.Text} what? Write 'at {number.Text} m', 'at stroke {number.Text}' or 'at {number.Text} s'."
                : "'at' needs a place: 'at 500 m', 'at stroke 35', 'at 4:00', 'at half way', 'at the boathouse'."));
        return null;
    }

    private static ThroughTheirMoveTrigger ThroughTheirs(PlanCursor c, double fraction)
    {
        string? crew = null;
        if (!c.TakeIf("their"))
        {
            var said = new List<string>();
            while (!c.AtEnd && c.Here.Text != ":" && PlanCursor.Number(c.Here) is null && c.Here.Low is not ("move" or "burst" or "push"))
            {
                said.Add(c.Take().Text);
            }

            string name = string.Join(' ', said);
            crew = name.EndsWith("'s", StringComparison.Ordinal) ? name[..^2] : name.EndsWith('\'') ? name[..^1] : name.Length > 0 ? name : null;
        }

        int? strokes = c.TakeNumber() is { } n ? (int)n : null;
        _ = c.TakeRest(false, ":");
        return new ThroughTheirMoveTrigger(crew, strokes, fraction);
    }

    private static PlanTrigger? ReadCondition(PlanCursor c, List<PlanIssue> issues)
    {
        int column = c.Here.Column;
        string words = c.TakeRest(false, ":");
        if (words.Length == 0)
        {
            issues.Add(new PlanIssue(c.Line, column, PlanSeverity.Error, "condition-missing", "'when' needs what sets it off: 'when they move: ...', 'if they reach our 5: ...'."));
            return null;
        }

        string[] w = words.Split(' ');
        string low = words.ToLowerInvariant();
        foreach (string verb in (ReadOnlySpan<string>)["move", "moves", "go", "goes", "attack", "attacks"])
        {
            if (low == "they " + verb)
            {
                return new RivalMovesTrigger(null);
            }

            if (w.Length >= 2 && string.Equals(w[^1], verb, StringComparison.OrdinalIgnoreCase) && !low.StartsWith("we ", StringComparison.Ordinal))
            {
                return new RivalMovesTrigger(string.Join(' ', w[..^1]));
            }
        }

        // "they reach our 5 (seat)", "Larkmoor are on our bow", "we are on their 3 seat", "we reach Larkmoor's cox".
        int our = Array.FindIndex(w, x => string.Equals(x, "our", StringComparison.OrdinalIgnoreCase));
        if (our > 0 && our + 1 < w.Length)
        {
            string crew = Without(w[..our]);
            return new MarginTrigger(crew.Length == 0 || string.Equals(crew, "they", StringComparison.OrdinalIgnoreCase) ? null : crew, true, w[our + 1].TrimEnd('.'));
        }

        int their = Array.FindIndex(w, x => string.Equals(x, "their", StringComparison.OrdinalIgnoreCase));
        if (their > 0 && their + 1 < w.Length && string.Equals(w[0], "we", StringComparison.OrdinalIgnoreCase))
        {
            return new MarginTrigger(null, false, w[their + 1].TrimEnd('.'));
        }

        return new WordsTrigger(words);
    }

    private static string Without(string[] words) =>
        string.Join(' ', words.Where(x => x.ToLowerInvariant() is not ("are" or "is" or "reach" or "reaches" or "on" or "get" or "gets" or "to" or "come" or "comes" or "at" or "level" or "with")));

    private static bool ReadPart(PlanCursor c, Draft s, List<PlanIssue> issues)
    {
        var here = c.Here;
        if (here.Quoted)
        {
            s.Words = c.Take().Text;
            return true;
        }

        if (here.Text is "," or ":" || here.Low is "and" or "then" or "a" or "of" or "move" or "burst" or "push" or "ours" or "strokes" or "stroke" or "spm" or "say" or "call" or "hard" or "power" or "pair")
        {
            c.Take();
            return true;
        }

        switch (here.Low)
        {
            case "at" or "to":
                c.Take();
                if (c.TakeNumber() is not { } rate)
                {
                    return Wrong(c, issues, "number-missing", $"'{here.Text}' needs a rate here: '{here.Text} 38'.");
                }

                if (rate is < 14 or > 56)
                {
                    return Wrong(c, issues, "bad-rate", string.Create(CultureInfo.InvariantCulture, $"A rate lies between 14 and 56 strokes a minute, not {rate:0.#}."));
                }

                s.Rate = rate;
                return true;
            case "up" or "down":
                c.Take();
                if (c.TakeNumber() is not { } by || by <= 0)
                {
                    return Wrong(c, issues, "number-missing", $"'{here.Text}' needs by how many strokes a minute: '{here.Text} 2'.");
                }

                s.RateBy = here.Low == "up" ? by : -by;
                return true;
            case "in" or "over":
                c.Take();
                if (c.TakeNumber() is not { } strokes || strokes < 1 || strokes > 60)
                {
                    return Wrong(c, issues, "number-missing", here.Low == "in"
                        ? "'in' needs a number of warning strokes: 'in 2'."
                        : "'over' needs the number of strokes across which the rate changes: 'over 5'.");
                }

                if (here.Low == "in")
                {
                    s.In = (int)strokes;
                }
                else
                {
                    s.Over = (int)strokes;
                }

                return true;
            case "for":
                c.Take();
                if (PlanCursor.Number(c.Here) is not null && c.Ahead(1).Low is "strokes" or "stroke" or "s" or "seconds" or "m" or "metres")
                {
                    return ReadNumber(c, s, issues);
                }

                s.Purpose = c.TakePhrase("instead");
                return s.Purpose.Length > 0 || Wrong(c, issues, "purpose-missing", "'for' needs what it is for: 'ten for legs'.");
            case "instead":
                c.Take();
                s.Instead = true;
                return true;
        }

        if (PlanCursor.Number(here) is not null)
        {
            return ReadNumber(c, s, issues);
        }

        // Anything else is words to be said: "sit up, breathe".
        s.Words = (s.Words is null ? "" : s.Words + ", ") + c.TakePhrase("for", "instead");
        return true;
    }

    private static bool ReadNumber(PlanCursor c, Draft s, List<PlanIssue> issues)
    {
        var token = c.Here;
        double n = c.TakeNumber() ?? 0;
        if (c.TakeIf("%"))
        {
            if (n is < -60 or > 150)
            {
                return Wrong(c, issues, "bad-effort", string.Create(CultureInfo.InvariantCulture, $"{n:0} % of effort is outside what a crew can do: -60 to +150 %."));
            }

            s.Effort = n;
            return true;
        }

        if (n <= 0)
        {
            issues.Add(new PlanIssue(c.Line, token.Column, PlanSeverity.Error, "not-positive", $"A length must be more than nothing, not '{token.Text}'."));
            return false;
        }

        if (c.TakeAny("m", "metres", "meters"))
        {
            s.Metres = n;
            return true;
        }

        if (c.TakeAny("s", "seconds"))
        {
            s.Seconds = n;
            return true;
        }

        if (s.Strokes is { } before)
        {
            issues.Add(new PlanIssue(c.Line, token.Column, PlanSeverity.Error, "two-lengths", string.Create(CultureInfo.InvariantCulture,
                $"This cue has two lengths, {before} and {token.Text} strokes; which one holds?")));
            return false;
        }

        if (n != Math.Floor(n) || n > 400)
        {
            issues.Add(new PlanIssue(c.Line, token.Column, PlanSeverity.Error, "not-whole", $"Strokes are whole numbers up to 400, not {token.Text}."));
            return false;
        }

        s.Strokes = (int)n;
        c.TakeAny("strokes", "stroke");
        return true;
    }

    private static void Add(List<PlanIssue> issues, PlanCursor c, string code, string sentence) =>
        issues.Add(new PlanIssue(c.Line, c.Here.Column, PlanSeverity.Error, code, sentence));

    private static bool Wrong(PlanCursor c, List<PlanIssue> issues, string code, string sentence)
    {
        Add(issues, c, code, sentence);
        return false;
    }

    private sealed class Draft
    {
        public int? Strokes { get; set; }

        public double? Seconds { get; set; }

        public double? Metres { get; set; }

        public double? Rate { get; set; }

        public double? RateBy { get; set; }

        public int? In { get; set; }

        public int? Over { get; set; }

        public double? Effort { get; set; }

        public string? Purpose { get; set; }

        public string? Words { get; set; }

        public bool Instead { get; set; }
    }
}
