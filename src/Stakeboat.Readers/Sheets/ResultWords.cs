using System.Globalization;
using Stakeboat.Readers.Captions;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Sheets;

/// <summary>What a column of a result sheet holds.</summary>
internal enum ResultRole
{
    None,
    Place,
    Lane,
    Crew,
    Time,
    Verdict,
}

/// <summary>A column: its role and, for times, the mark in metres (0: the finish, wherever it lies).</summary>
internal readonly record struct ResultColumn(ResultRole Role, double Mark);

/// <summary>Names of columns, times, places and distances as result sheets have them.</summary>
internal static class ResultWords
{
    private static readonly string[] s_ordinals = ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"];

    /// <summary>Columns of a line of names; null where the line is none.</summary>
    public static List<ResultColumn>? Header(List<string> fields)
    {
        var columns = new List<ResultColumn>();
        int known = 0;
        bool crew = false;
        foreach (string f in fields)
        {
            var c = Name(f.Trim().Trim(':', '*').ToLowerInvariant());
            if (c.Role == ResultRole.Crew && crew)
            {
                c = default; // club beside crew: the first is taken
            }

            crew |= c.Role == ResultRole.Crew;
            known += c.Role != ResultRole.None ? 1 : 0;
            columns.Add(c);
        }

        return crew && known >= 2 ? columns : null;
    }

    private static ResultColumn Name(string t)
    {
        switch (t)
        {
            case "place" or "pl" or "pl." or "plc" or "pos" or "pos." or "position" or "rank" or "rk" or "#" or "order" or "platz" or "rang" or "rg" or "plaats":
                return new ResultColumn(ResultRole.Place, 0);
            case "lane" or "station" or "ln" or "bow" or "bow #" or "bow no" or "bow number" or "bahn" or "baan" or "ligne" or "couloir" or "corsia" or "calle" or "number" or "no" or "no.":
                return new ResultColumn(ResultRole.Lane, 0);
            case "crew" or "club" or "name" or "team" or "boat" or "entry" or "school" or "crew name" or "club name" or "verein" or "mannschaft" or "boot" or "équipe" or "equipe" or "equipo"
                or "squadra" or "ploeg" or "vereniging" or "country" or "nation":
                return new ResultColumn(ResultRole.Crew, 0);
            case "verdict" or "margin" or "gap" or "behind" or "distance behind" or "delta" or "diff" or "diff." or "difference" or "+/-" or "rückstand" or "abstand":
                return new ResultColumn(ResultRole.Verdict, 0);
        }

        if (Distance(t, false) is { } m)
        {
            return new ResultColumn(ResultRole.Time, m);
        }

        return t is "final" or "finish" or "result" or "ziel" or "zeit" or "temps" or "tempo" or "tijd" or "adjusted" or "adj" || t.Contains("time", StringComparison.Ordinal) || t.StartsWith("finish", StringComparison.Ordinal)
            ? new ResultColumn(t.Contains("start", StringComparison.Ordinal) ? ResultRole.None : ResultRole.Time, 0) : default;
    }

    /// <summary>"500", "500m", "1,000 m", "Split 500", "Men's eights 2000 m"; a bare number only where it need not have its unit.</summary>
    public static double? Distance(ReadOnlySpan<char> text, bool needsUnit)
    {
        string t = text.ToString().ToLowerInvariant();
        string[] words = t.Split([' ', '\t', '(', ')', ':', '-', '–'], StringSplitOptions.RemoveEmptyEntries);
        for (int i = 0; i < words.Length; i++)
        {
            string w = words[i].TrimEnd('.', ',').Replace(",", "", StringComparison.Ordinal);
            bool unit = w.EndsWith('m') || (i + 1 < words.Length && words[i + 1].TrimEnd('.', ',') is "m" or "metres" or "meters" or "metre");
            string n = w.TrimEnd('m');
            if ((unit || !needsUnit) && n.Length is >= 3 and <= 5 && int.TryParse(n, NumberStyles.None, CultureInfo.InvariantCulture, out int m) && m is >= 100 and <= 20000 && m % 10 == 0)
            {
                return m;
            }
        }

        return null;
    }

    /// <summary>"1:23.4", "5:40,12", "(6:10.0)", "5.40.1"; hours too.</summary>
    public static bool IsTime(string s, out double seconds)
    {
        seconds = 0;
        string t = s.Trim().TrimStart('(').TrimEnd(')', '*');
        if (t.Length is < 4 or >= 16)
        {
            return false;
        }

        if (!t.Contains(':', StringComparison.Ordinal))
        {
            // "5.40.1": minutes and seconds parted by a full stop, only with tenths behind them.
            string[] p = t.Split('.');
            return p.Length == 3 && p[0].Length is 1 or 2 && p[1].Length == 2 && p[2].Length is 1 or 2
                && CueTime.TryRead($"{p[0]}:{p[1]}.{p[2]}", out seconds, out int all) && all == t.Length && seconds > 0;
        }

        return CueTime.TryRead(t, out seconds, out int used) && used == t.Length && seconds > 0;
    }

    /// <summary>A whole number below 1000, with what stands about one on a sheet: "1.", "2)", "3rd", "1st:".</summary>
    public static int? Whole(string s)
    {
        string t = s.Trim().TrimEnd('.', ')', ':', 'º', '°', '=').ToLowerInvariant();
        if (t.Length > 2 && char.IsAsciiDigit(t[0]) && t[^2..] is "st" or "nd" or "rd" or "th")
        {
            t = t[..^2];
        }

        return int.TryParse(t, NumberStyles.None, CultureInfo.InvariantCulture, out int n) && n < 1000 ? n : Array.IndexOf(s_ordinals, t) is int o and >= 0 ? o + 1 : null;
    }

    /// <summary>A number in brackets: a lane before the crew, a place on the way behind a time.</summary>
    public static int? Bracketed(string s) => s.Length > 2 && s[0] == '(' && s[^1] == ')' ? Whole(s[1..^1]) : null;

    /// <summary>A gap as seconds: "+2.52", "+0:12.3", or a bare number in a column of gaps.</summary>
    public static string? Gap(string s, bool bare)
    {
        string t = s.Trim();
        bool plus = t.StartsWith('+');
        t = t.TrimStart('+').Trim();
        double seconds;
        if (!(plus || bare) || !(Numbers.TryDouble(t.Replace(',', '.'), out seconds) || IsTime(t, out seconds)))
        {
            return null;
        }

        return seconds is > 0 and < 10_000 ? string.Create(CultureInfo.InvariantCulture, $"{seconds:0.###} s") : "";
    }
}
