using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Motion;

/// <summary>In which order a date's parts stand.</summary>
internal enum DateOrder
{
    YearFirst,
    DayFirst,
    MonthFirst,
}

/// <summary>
/// Dates and times of day as people's programs write them into tables: ISO 8601, "2026/04/04", "04.04.2026", "4/27/2026 3:05:10 PM", and a time of day in a
/// column of its own. Whether day or month comes first is told from a field above 12; where none is, the day is taken to come first and that is said.
/// </summary>
internal static class LogDates
{
    /// <summary>A date and a time of day, or a date alone, in seconds since 1970.</summary>
    public static bool TryMoment(ReadOnlySpan<char> text, DateOrder order, out double unixSeconds)
    {
        var s = text.Trim();
        if (IsoTime.TryParse(s, out unixSeconds, out _))
        {
            return true;
        }

        int gap = s.IndexOfAny(" Tt,_");
        if (gap < 0)
        {
            return TryDate(s, order, out unixSeconds);
        }

        return TryDate(s[..gap], order, out unixSeconds) && TryClock(s[(gap + 1)..].TrimStart(), out double clock) && Sum(ref unixSeconds, clock);
    }

    /// <summary>A date alone, in seconds since 1970.</summary>
    public static bool TryDate(ReadOnlySpan<char> text, DateOrder order, out double unixSeconds)
    {
        unixSeconds = 0;
        var s = text.Trim();
        Span<int> part = stackalloc int[3];
        int n = 0, at = 0, first = 0;
        while (n < 3)
        {
            int from = at, v = 0;
            while (at < s.Length && char.IsAsciiDigit(s[at]) && at - from < 4)
            {
                v = (v * 10) + (s[at++] - '0');
            }

            if (at == from)
            {
                return false;
            }

            first = n == 0 ? at - from : first;
            part[n++] = v;
            if (n < 3)
            {
                if (at >= s.Length || s[at] is not ('-' or '/' or '.'))
                {
                    return false;
                }

                at++;
            }
        }

        if (at != s.Length && !(at == s.Length - 1 && s[at] == '.'))
        {
            return false;
        }

        var (year, month, day) = first == 4 ? (part[0], part[1], part[2]) : order == DateOrder.MonthFirst ? (part[2], part[0], part[1]) : (part[2], part[1], part[0]);
        year += year < 70 ? 2000 : year < 100 ? 1900 : 0;
        if (year is < 1900 or > 2200 || month is < 1 or > 12 || day < 1 || day > DateTime.DaysInMonth(year, month))
        {
            return false;
        }

        unixSeconds = IsoTime.DaysSince1970(year, month, day) * 86400.0;
        return true;
    }

    /// <summary>A time of day in seconds: "10:00:05.25", "3:05 PM", with a zone where one stands.</summary>
    public static bool TryClock(ReadOnlySpan<char> text, out double seconds)
    {
        seconds = 0;
        var s = text.Trim();
        bool afternoon = s.EndsWith("PM", StringComparison.OrdinalIgnoreCase), morning = s.EndsWith("AM", StringComparison.OrdinalIgnoreCase);
        if (afternoon || morning)
        {
            s = s[..^2].TrimEnd();
        }

        int colon = s.IndexOf(':');
        if (colon is not (1 or 2) || s.Length > 40)
        {
            return false;
        }

        // The day is of no matter: the same reader takes care of fractions, zones and second 60.
        Span<char> whole = stackalloc char[64];
        "2000-01-01T00".CopyTo(whole);
        s.CopyTo(whole[(13 - colon)..]);
        if (!IsoTime.TryParse(whole[..(13 - colon + s.Length)], out double unix, out _))
        {
            return false;
        }

        seconds = unix - 946684800;
        if (afternoon || morning)
        {
            double hour = Math.Floor(seconds / 3600);
            if (hour is < 1 or > 12)
            {
                return false;
            }

            seconds += hour == 12 ? (morning ? -43200 : 0) : afternoon ? 43200 : 0;
        }

        return true;
    }

    /// <summary>Order of the parts, from the fields of a column; <paramref name="certain"/> is false where nothing tells.</summary>
    public static DateOrder OrderOf(IEnumerable<string> fields, out bool certain)
    {
        certain = false;
        bool slash = false;
        foreach (string f in fields)
        {
            string[] p = f.Trim(' ', '"').Split(['/', '.', '-'], 3);
            if (p.Length < 3 || p[0].Length > 2)
            {
                continue;
            }

            slash |= f.Contains('/', StringComparison.Ordinal);
            if (int.TryParse(p[0], System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out int a) && a > 12)
            {
                certain = true;
                return DateOrder.DayFirst;
            }

            if (int.TryParse(p[1], System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out int b) && b > 12)
            {
                certain = true;
                return DateOrder.MonthFirst;
            }
        }

        certain = !slash;
        return DateOrder.DayFirst;
    }

    private static bool Sum(ref double unix, double clock)
    {
        unix += clock;
        return true;
    }
}
