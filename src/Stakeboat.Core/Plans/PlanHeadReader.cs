using System.Globalization;
using Stakeboat.Core.Boats;

namespace Stakeboat.Core.Plans;

/// <summary>The head's values while they are read.</summary>
internal sealed class PlanHeadDraft
{
    public PlanHead Head { get; set; } = new();

    public Dictionary<string, int> Lines { get; } = new(StringComparer.Ordinal);

    public PlanHeadDraft Over(PlanHeadDraft common)
    {
        var a = Head;
        var b = common.Head;
        var merged = new PlanHeadDraft
        {
            Head = b with
            {
                Title = a.Title ?? b.Title, Crew = a.Crew ?? b.Crew, Course = a.Course ?? b.Course, Date = a.Date ?? b.Date, Boat = a.Boat ?? b.Boat,
                Metres = a.Metres ?? b.Metres, BaseSecPer500 = a.BaseSecPer500 ?? b.BaseSecPer500, GoalSeconds = a.GoalSeconds ?? b.GoalSeconds,
                BaseRate = a.BaseRate ?? b.BaseRate, LiftPercent = a.LiftPercent ?? b.LiftPercent, Wind = a.Wind ?? b.Wind,
                WaterCelsius = a.WaterCelsius ?? b.WaterCelsius, AirCelsius = a.AirCelsius ?? b.AirCelsius, Headings = a.Headings.Count > 0 ? a.Headings : b.Headings,
                FetchMetres = a.FetchMetres ?? b.FetchMetres, Own = a.Own.Over(b.Own),
                StreamMps = a.StreamMps ?? b.StreamMps, DepthMetres = a.DepthMetres ?? b.DepthMetres,
                RollingStart = a.RollingStart || b.RollingStart, Rivals = a.Rivals.Count > 0 ? a.Rivals : b.Rivals, Marks = [.. b.Marks, .. a.Marks],
            },
        };
        foreach (var l in common.Lines)
        {
            merged.Lines[l.Key] = l.Value;
        }

        foreach (var l in Lines)
        {
            merged.Lines[l.Key] = l.Value;
        }

        return merged;
    }

    public PlanHead Build() => Head with { Lines = Lines };
}

/// <summary>Reads the lines of the head.</summary>
internal static class PlanHeadReader
{
    public static readonly string[] Keys =
    [
        "race", "crew", "course", "date", "boat", "distance", "pace", "time", "rate", "lift", "wind", "water", "air", "heading", "stream", "depth", "go",
        "rivals", "mark", "note", "fetch", "energy", "efforts", "pieces", "ladder", "airshare", "reference",
    ];

    public static bool IsKey(string word) => Array.IndexOf(Keys, word) >= 0;

    public static void Read(PlanCursor c, PlanLineReader.Section section, List<PlanIssue> issues)
    {
        var key = c.Take();
        c.TakeIf(":");
        string k = key.Low;
        if (c.AtEnd)
        {
            issues.Add(new PlanIssue(c.Line, c.Here.Column, PlanSeverity.Error, "value-missing", $"'{key.Text}' stands alone: {Example(k)}"));
            return;
        }

        if (k is "note")
        {
            return;
        }

        if (k != "mark")
        {
            if (section.Head.Lines.TryGetValue(k, out int before))
            {
                issues.Add(new PlanIssue(c.Line, key.Column, PlanSeverity.Error, "said-twice", string.Create(CultureInfo.InvariantCulture,
                    $"'{key.Text}' has already been given on line {before}; which one holds?")));
                return;
            }

            section.Head.Lines[k] = c.Line;
        }

        int column = c.Here.Column;
        var head = section.Head.Head;
        string? wrong = null;
        switch (k)
        {
            case "race":
                head = head with { Title = c.TakeRest(false) };
                break;
            case "crew":
                head = head with { Crew = c.TakeRest(false) };
                break;
            case "course":
                head = head with { Course = c.TakeRest(false) };
                break;
            case "date":
                head = head with { Date = c.TakeRest(false) };
                break;
            case "boat":
                var code = c.Take();
                if (BoatClass.Find(code.Text) is { } boat)
                {
                    head = head with { Boat = boat };
                }
                else
                {
                    wrong = $"There is no boat class '{code.Text}'. The classes are {string.Join(", ", BoatClass.All.Select(b => b.Code))}.";
                }

                break;
            case "distance":
                (head, wrong) = Metres(c, head);
                break;
            case "pace":
                var pace = PlanCursor.Clock(c.Take());
                wrong = pace is null or < 60 or > 300
                    ? "A pace is minutes and seconds for 500 m, between 1:00 and 5:00, such as 1:36."
                    : null;
                head = head with { BaseSecPer500 = wrong is null ? pace : null };
                c.TakeAny("/500", "/500m");
                break;
            case "time":
                var goal = PlanCursor.Clock(c.Take());
                wrong = goal is null or <= 0 ? "A time is minutes and seconds, such as 6:20." : null;
                head = head with { GoalSeconds = wrong is null ? goal : null };
                break;
            case "rate":
                var rate = c.TakeNumber();
                wrong = rate is null or < 14 or > 56
                    ? "A rate is strokes a minute, between 14 and 56, such as 36."
                    : null;
                head = head with { BaseRate = wrong is null ? rate : null };
                c.TakeIf("spm");
                break;
            case "lift":
                var lift = c.TakeNumber();
                wrong = lift is null or < -1 or > 4 ? "The lift is the speed gained for a stroke a minute, in per cent between -1 and 4, such as 0.9 %." : null;
                head = head with { LiftPercent = wrong is null ? lift : null };
                c.TakeIf("%");
                break;
            case "wind":
                (head, wrong) = Wind(c, head);
                break;
            case "water":
                (head, wrong) = Degrees(c, head, true);
                break;
            case "air":
                (head, wrong) = Degrees(c, head, false);
                break;
            case "heading" or "energy" or "efforts" or "pieces" or "ladder" or "airshare" or "reference":
                (head, wrong) = PlanCrewReader.Read(k, c, head);
                break;
            case "fetch":
                var fetch = c.TakeNumber();
                double fetchScale = c.Here.Low switch { "m" or "metres" or "meters" => 1, "km" => 1000, _ => 0 };
                wrong = fetch is null || fetch * fetchScale is < 10 or > 100_000 ? "A fetch is the open water to windward, such as 'fetch 1500 m' or 'fetch 2 km'." : null;
                head = head with { FetchMetres = wrong is null ? fetch * fetchScale : null };
                c.Take();
                break;
            case "stream":
                (head, wrong) = Stream(c, head);
                break;
            case "depth":
                var depth = c.TakeNumber();
                wrong = depth is null or <= 0.3 or > 1000 ? "A depth is metres of water, such as 3.5 m." : null;
                head = head with { DepthMetres = wrong is null ? depth : null };
                c.TakeIf("m");
                break;
            case "go":
                var how = c.Take();
                wrong = how.Low is "standing" or "rolling" ? null : $"The start is 'standing' or 'rolling', not '{how.Text}'.";
                head = head with { RollingStart = how.Low == "rolling" };
                break;
            case "rivals":
                head = head with { Rivals = [.. c.TakeRest(false).Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries)] };
                break;
            case "mark":
                (head, wrong) = Mark(c, head);
                break;
        }

        if (wrong is not null)
        {
            issues.Add(new PlanIssue(c.Line, column, PlanSeverity.Error, "bad-" + k, wrong));
            return;
        }

        section.Head.Head = head;
        if (!c.AtEnd)
        {
            issues.Add(new PlanIssue(c.Line, c.Here.Column, PlanSeverity.Error, "unknown-word", $"'{c.Here.Text}' was not expected after the {key.Text}."));
        }
    }

    private static string Example(string key) => key switch
    {
        "distance" => "write how far, such as 'distance 2000 m'.",
        "pace" => "write the base pace for 500 m, such as 'pace 1:36'.",
        "rate" => "write the base rate, such as 'rate 36'.",
        "boat" => "write the class, such as 'boat 8+'.",
        "wind" => "write where it comes from and how strong, such as 'wind head 3 m/s'.",
        "mark" => "write a place and where it is, such as 'mark boathouse 750 m'.",
        _ => "its value is missing.",
    };

    private static (PlanHead Head, string? Wrong) Metres(PlanCursor c, PlanHead head)
    {
        double? n = c.TakeNumber();
        string unit = c.Here.Low;
        double scale = unit switch { "m" or "metres" or "meters" => 1, "km" => 1000, _ => 0 };
        if (n is null || scale == 0)
        {
            return (head, "A distance is a number with its unit, such as 2000 m or 5 km.");
        }

        c.Take();
        double metres = n.Value * scale;
        return metres is < 100 or > 30000
            ? (head, string.Create(CultureInfo.InvariantCulture, $"{metres:0} m is no race: a distance lies between 100 m and 30 km."))
            : (head with { Metres = metres }, null);
    }

    private static (PlanHead Head, string? Wrong) Degrees(PlanCursor c, PlanHead head, bool water)
    {
        double? n = c.TakeNumber();
        bool fahrenheit = c.TakeIf("f");
        if (!fahrenheit)
        {
            c.TakeIf("c");
        }

        double? celsius = fahrenheit ? (n - 32) / 1.8 : n;
        if (celsius is null || celsius < (water ? -2 : -40) || celsius > (water ? 40 : 55))
        {
            return (head, water ? "Water is between -2 and 40 C, such as 'water 18 C'." : "Air is between -40 and 55 C, such as 'air 20 C'.");
        }

        return (water ? head with { WaterCelsius = celsius } : head with { AirCelsius = celsius }, null);
    }

    private static (PlanHead Head, string? Wrong) Stream(PlanCursor c, PlanHead head)
    {
        const string Say = "A stream is its direction and speed, such as 'stream with 0.3 m/s' or 'stream against 0.3 m/s'.";
        bool with = c.TakeIf("with");
        if (!with && !c.TakeIf("against"))
        {
            return (head, Say);
        }

        double? n = c.TakeNumber();
        return n is null or < 0 or > 4 || !c.TakeIf("m/s") ? (head, Say) : (head with { StreamMps = with ? n : -n }, null);
    }

    internal static (PlanHead Head, string? Wrong) Wind(PlanCursor c, PlanHead head)
    {
        const string Say = "A wind is where it comes from and its speed: 'wind head 3 m/s', 'wind tail 2 m/s', 'wind cross 4 m/s', or 'wind from 240 at 4 m/s'.";
        if (c.TakeAny("calm", "none", "still"))
        {
            return (head with { Wind = new PlanWind(c.Line, 0, 0, null, true) }, null);
        }

        double? angle = null, from = null;
        if (c.TakeIf("head"))
        {
            angle = c.TakeIf("cross") ? 45 : 0;
        }
        else if (c.TakeIf("tail"))
        {
            angle = c.TakeIf("cross") ? 135 : 180;
        }
        else if (c.TakeIf("cross"))
        {
            angle = c.TakeIf("head") ? 45 : c.TakeIf("tail") ? 135 : 90;
        }
        else if (c.TakeIf("from"))
        {
            from = c.TakeNumber();
            c.TakeAny("degrees", "deg");
            c.TakeIf("at");
            if (from is null or < 0 or > 360)
            {
                return (head, Say);
            }
        }
        else
        {
            return (head, Say);
        }

        c.TakeIf(",");
        double? n = c.TakeNumber();
        double scale = c.Here.Low switch { "m/s" => 1, "km/h" => 1 / 3.6, "kn" or "knots" => 1852.0 / 3600, "mph" => 0.44704, _ => 0 };
        if (n is null or < 0 || scale == 0)
        {
            return (head, Say);
        }

        c.Take();
        if (n * scale > 20)
        {
            return (head, string.Create(CultureInfo.InvariantCulture, $"A wind of {n * scale:0} m/s is a gale: no race is planned in it."));
        }

        bool crewHeight = true;
        if (c.TakeIf("at"))
        {
            double? height = c.TakeNumber();
            if (height is null || !c.TakeIf("m"))
            {
                return (head, "The height of the wind is a number of metres: 'wind head 3 m/s at 10 m'. Without it the wind is the one that the crew feels.");
            }

            crewHeight = height < 5;
        }

        return (head with { Wind = new PlanWind(c.Line, n.Value * scale, angle, from, crewHeight) }, null);
    }

    private static (PlanHead Head, string? Wrong) Mark(PlanCursor c, PlanHead head)
    {
        var words = new List<string>();
        while (!c.AtEnd && (c.Here.Quoted || PlanCursor.Number(c.Here) is null || c.Ahead(1).Low is not ("m" or "metres" or "meters")))
        {
            words.Add(c.Take().Text);
        }

        string name = string.Join(' ', words);
        foreach (string tail in (ReadOnlySpan<string>)[" at", " ="])
        {
            name = name.EndsWith(tail, StringComparison.OrdinalIgnoreCase) ? name[..^tail.Length] : name;
        }

        double? n = c.TakeNumber();
        if (name.Length == 0 || n is null)
        {
            return (head, "A mark is a name and where it is: 'mark boathouse 750 m' or 'mark red buoys 250 m to go'.");
        }

        c.Take();
        bool left = PlanPlaceReader.TakeToGo(c);
        if (head.Marks.FirstOrDefault(m => PlanPlaceReader.Same(m.Name, name)) is { } before)
        {
            return (head, string.Create(CultureInfo.InvariantCulture, $"The mark '{name}' already stands on line {before.Line}."));
        }

        var mark = new PlanMark(c.Line, name, left ? new MetresLeft(n.Value) : new MetresGone(n.Value));
        return (head with { Marks = [.. head.Marks, mark] }, null);
    }
}
