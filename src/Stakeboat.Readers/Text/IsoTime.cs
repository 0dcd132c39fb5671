namespace Stakeboat.Readers.Text;

/// <summary>What was odd about a time that could still be read.</summary>
[Flags]
public enum TimeOddity
{
    None = 0,

    /// <summary>No zone stood with it; taken as UTC.</summary>
    NoZone = 1,

    /// <summary>A leap second (:60), which the clock of watches does not have; taken as the last millisecond before.</summary>
    LeapSecond = 2,

    /// <summary>24:00:00, taken as the next midnight.</summary>
    EndOfDay = 4,

    /// <summary>No time of day; taken as midnight.</summary>
    DateOnly = 8,
}

/// <summary>
/// Dates and times as GPX, TCX and logs write them (ISO 8601 and its neighbours), read by hand: the library's parser refuses :60, 24:00 and offsets beyond 14 h.
/// </summary>
public static class IsoTime
{
    /// <summary>Reads "2026-04-04T10:00:00.250Z" and variants (space for T, comma for the point, offset with or without a colon).</summary>
    /// <param name="text">ASCII; spaces around are ignored.</param>
    /// <param name="unixSeconds">Seconds since 1970-01-01T00:00:00Z without leap seconds.</param>
    /// <param name="oddity">What was put right.</param>
    public static bool TryParse(ReadOnlySpan<char> text, out double unixSeconds, out TimeOddity oddity)
    {
        unixSeconds = 0;
        oddity = TimeOddity.None;
        var s = text.Trim();
        if (!Digits(s, 0, 4, out int year) || s.Length < 10 || s[4] != '-' || !Digits(s, 5, 2, out int month) || s[7] != '-' || !Digits(s, 8, 2, out int day)
            || year < 1 || month is < 1 or > 12 || day < 1 || day > DateTime.DaysInMonth(year, month))
        {
            return false;
        }

        long days = DaysSince1970(year, month, day);
        if (s.Length == 10)
        {
            unixSeconds = days * 86400.0;
            oddity = TimeOddity.DateOnly | TimeOddity.NoZone;
            return true;
        }

        if (s[10] is not ('T' or 't' or ' ' or '_') || !Digits(s, 11, 2, out int hour) || s.Length < 16 || s[13] != ':' || !Digits(s, 14, 2, out int minute) || minute > 59)
        {
            return false;
        }

        int second = 0, at = 16;
        double fraction = 0;
        if (at < s.Length && s[at] == ':')
        {
            if (!Digits(s, 17, 2, out second) || second > 60)
            {
                return false;
            }

            at = 19;
            if (at < s.Length && s[at] is '.' or ',')
            {
                double place = 1;
                long n = 0;
                int first = ++at;
                for (; at < s.Length && char.IsAsciiDigit(s[at]); at++)
                {
                    if (at - first < 15)
                    {
                        n = (n * 10) + (s[at] - '0');
                        place *= 10;
                    }
                }

                fraction = n / place;
                if (at == first)
                {
                    return false;
                }
            }
        }

        if (hour == 24 && minute == 0 && second == 0 && fraction == 0)
        {
            oddity |= TimeOddity.EndOfDay;
        }
        else if (hour > 23)
        {
            return false;
        }

        if (!Zone(s[at..], out int offset, out bool given))
        {
            return false;
        }

        if (!given)
        {
            oddity |= TimeOddity.NoZone;
        }

        if (second == 60)
        {
            oddity |= TimeOddity.LeapSecond;
            second = 59;
            fraction = 0.999;
        }

        unixSeconds = ((days * 86400L) + (hour * 3600) + (minute * 60) + second - (offset * 60L)) + fraction;
        return true;
    }

    /// <summary>Days from 1970-01-01 to a date of the Gregorian calendar.</summary>
    public static long DaysSince1970(int year, int month, int day) => new DateTime(year, month, day, 0, 0, 0, DateTimeKind.Utc).Ticks / TimeSpan.TicksPerDay - 719162;

    private static bool Zone(ReadOnlySpan<char> s, out int offsetMinutes, out bool given)
    {
        offsetMinutes = 0;
        given = true;
        s = s.Trim();
        if (s.Length == 0)
        {
            given = false;
            return true;
        }

        if (s is "Z" or "z" or "UTC" or "GMT")
        {
            return true;
        }

        if (s[0] is not ('+' or '-') || !Digits(s, 1, 2, out int hours) || hours > 23)
        {
            return false;
        }

        int minutes = 0;
        if (s.Length > 3)
        {
            int at = s[3] == ':' ? 4 : 3;
            if (!Digits(s, at, 2, out minutes) || minutes > 59 || s.Length != at + 2)
            {
                return false;
            }
        }

        offsetMinutes = ((hours * 60) + minutes) * (s[0] == '-' ? -1 : 1);
        return true;
    }

    private static bool Digits(ReadOnlySpan<char> s, int at, int count, out int value)
    {
        value = 0;
        if (at + count > s.Length)
        {
            return false;
        }

        for (int i = at; i < at + count; i++)
        {
            if (!char.IsAsciiDigit(s[i]))
            {
                return false;
            }

            value = (value * 10) + (s[i] - '0');
        }

        return true;
    }
}
