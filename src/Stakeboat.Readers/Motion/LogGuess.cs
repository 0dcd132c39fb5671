using System.Text;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Motion;

/// <summary>Looks at the beginning of a log and says how it is laid out: separator, decimal mark, names, roles. Units that need the numbers come later.</summary>
internal sealed record LogGuess(char Separator, char DecimalMark, List<string> Names, ColumnRole[] Roles, int HeaderLine, int FirstLine, bool Calendar, bool ClockOfDay, DateOrder Order,
    bool OrderIsCertain, bool LoneReturns, double BytesPerRow)
{
    private static readonly char[] s_separators = [',', ';', '\t', '|', ' '];

    /// <summary>Null where the text is no table of numbers.</summary>
    public static LogGuess? From(ReadOnlySpan<byte> sample, LogCorrection? fix, string file = "")
    {
        int whole = sample.Length;
        while (whole > 0 && sample.Length - whole < 4 && sample[whole - 1] >= 0x80)
        {
            whole--; // the sample may end within a letter
        }

        string text = System.Text.Unicode.Utf8.IsValid(sample[..whole]) ? Encoding.UTF8.GetString(sample[..whole]) : Encoding.Latin1.GetString(sample);
        var lines = new List<(string Text, int Number)>();
        var walk = new LineWalk(text);
        while (walk.Next() && lines.Count < 400)
        {
            if (!walk.Current.IsWhiteSpace())
            {
                lines.Add((walk.Current.ToString(), walk.Number));
            }
        }

        if (lines.Count > 1 && sample.Length >= 1 << 15)
        {
            lines.RemoveAt(lines.Count - 1); // cut off by the end of the sample
        }

        foreach (char separator in fix?.Separator is { } s ? [s] : s_separators)
        {
            foreach (char mark in fix?.DecimalMark is { } d ? [d] : (char[])['.', ','])
            {
                if (mark != separator && Try(lines, separator, mark, fix, file) is { } guess)
                {
                    return guess with { LoneReturns = !text.Contains('\n', StringComparison.Ordinal) }; // as very old programs end their lines
                }
            }
        }

        return null;
    }

    private static LogGuess? Try(List<(string Text, int Number)> lines, char separator, char mark, LogCorrection? fix, string file)
    {
        // The longest run of rows that have the same number of columns, two or more, of which most are numbers.
        int first = -1, columns = 0, rows = 0;
        for (int i = 0; i < lines.Count && rows < 3; i++)
        {
            var f = Split(lines[i].Text, separator);
            if (f.Count >= 2 && f.Count <= 512 && IsRow(f, mark))
            {
                if (f.Count != columns)
                {
                    (first, columns, rows) = (i, f.Count, 0);
                }

                rows++;
            }
            else if (first >= 0 && rows < 3)
            {
                (first, columns, rows) = (-1, 0, 0);
            }
        }

        // A decimal comma must be seen to be one: with the comma as a mark and no full stop among the numbers.
        if (first < 0 || (rows < 3 && first + rows < lines.Count))
        {
            return null;
        }

        var row = Split(lines[first].Text, separator);
        if (mark == '.' && separator != ',' && row.Exists(c => c.Contains(',')) && row.TrueForAll(c => !c.Contains('.') || IsCalendar(c)))
        {
            return null;
        }

        int header = -1;
        List<string> names = [];
        if (first > 0 && Split(lines[first - 1].Text, separator) is { } h && h.Count >= columns - 1 && h.Exists(c => c.Any(char.IsLetter)))
        {
            header = first - 1;
            names = h;
        }

        while (names.Count < columns)
        {
            names.Add(string.Create(System.Globalization.CultureInfo.InvariantCulture, $"column {names.Count + 1}"));
        }

        var roles = new ColumnRole[columns];
        if (header >= 0)
        {
            FromNames(names, roles);
            FromFile(names, roles, file);
        }

        int time = Array.IndexOf(roles, ColumnRole.Time);
        if (time < 0 && Array.IndexOf(roles, ColumnRole.Date) is int only and >= 0)
        {
            roles[only] = ColumnRole.Time; // date and time in one column that is called a date
            time = only;
        }

        if (header < 0 || time < 0)
        {
            FromShape(row, roles, header < 0);
        }

        foreach (var (c, role) in fix?.Columns ?? new Dictionary<int, ColumnRole>())
        {
            if (c >= 0 && c < columns)
            {
                roles.AsSpan().Replace(role, ColumnRole.None);
                roles[c] = role;
            }
        }

        time = Array.IndexOf(roles, ColumnRole.Time);
        if (time < 0 || time >= row.Count)
        {
            return null;
        }

        var below = lines.Skip(first).Take(200).Select(l => Split(l.Text, separator)).ToList();
        int date = Array.IndexOf(roles, ColumnRole.Date);
        bool clock = !IsCalendar(row[time]) && LogDates.TryClock(row[time], out _);
        bool calendar = !clock && (fix?.Time == TimeUnit.Calendar || IsCalendar(row[time]));
        if (date >= 0 && (!clock || date >= row.Count || !LogDates.TryDate(row[date], DateOrder.DayFirst, out _) && !LogDates.TryDate(row[date], DateOrder.MonthFirst, out _)))
        {
            roles[date] = ColumnRole.None; // the time says all
            date = -1;
        }

        int told = date >= 0 ? date : time;
        var order = LogDates.OrderOf(below.Where(f => told < f.Count).Select(f => f[told]), out bool certain);
        double bytes = 0;
        for (int i = first; i < lines.Count; i++)
        {
            bytes += lines[i].Text.Length + 1;
        }

        return new LogGuess(separator, mark, names, roles, header < 0 ? 0 : lines[header].Number, lines[first].Number, calendar, clock, order,
            certain || (!calendar && date < 0), false, bytes / (lines.Count - first));
    }

    // The first column of each role counts; where both "time" and "seconds elapsed" are there, the one with a unit or the first.
    private static void FromNames(List<string> names, ColumnRole[] roles)
    {
        var taken = new HashSet<ColumnRole>();
        for (int c = 0; c < roles.Length; c++)
        {
            var role = ColumnNames.Role(names[c]);
            if (role != ColumnRole.None && taken.Add(role))
            {
                roles[c] = role;
            }
        }
    }

    // Loggers that write a file for each sensor call all of their columns x, y, z: then the name of the file alone says which sensor it is.
    private static void FromFile(List<string> names, ColumnRole[] roles, string file)
    {
        string leaf = file[(file.LastIndexOf('/') + 1)..].ToLowerInvariant();
        bool turning = leaf.Contains("gyro", StringComparison.Ordinal) || leaf.Contains("rotation", StringComparison.Ordinal);
        bool other = leaf.Contains("magnet", StringComparison.Ordinal) || leaf.Contains("orientation", StringComparison.Ordinal) || leaf.StartsWith("gravity", StringComparison.Ordinal)
            || leaf.Contains("compass", StringComparison.Ordinal);
        for (int c = 0; c < roles.Length && (turning || other); c++)
        {
            if (roles[c] is >= ColumnRole.AccelerationX and <= ColumnRole.AccelerationZ && names[c].Trim().Length == 1)
            {
                roles[c] = other ? ColumnRole.None : ColumnRole.RotationX + (roles[c] - ColumnRole.AccelerationX);
            }
        }
    }

    // No names: time first, then three axes, then three more.
    private static void FromShape(List<string> row, ColumnRole[] roles, bool axesToo)
    {
        roles[0] = ColumnRole.Time;
        if (!axesToo || row.Count < 4 || row.Skip(1).Take(3).Any(f => f.Contains(':', StringComparison.Ordinal)))
        {
            return;
        }

        for (int c = 1; c < Math.Min(roles.Length, 7) && c < (roles.Length >= 7 ? 7 : 4); c++)
        {
            roles[c] = ColumnRole.AccelerationX + (c - 1);
        }
    }

    private static bool IsRow(List<string> fields, char mark)
    {
        int numbers = 0, filled = 0;
        foreach (string f in fields)
        {
            var t = f.AsSpan().Trim(" \t\"");
            if (t.Length == 0)
            {
                continue;
            }

            filled++;
            if (IsNumber(t, mark) || IsCalendar(f) || (t.Length < 40 && ((t.Count(':') >= 2 && LogDates.TryClock(t, out _)) || LogDates.TryDate(t, DateOrder.DayFirst, out _) || LogDates.TryDate(t, DateOrder.MonthFirst, out _))))
            {
                numbers++;
            }
        }

        return numbers >= 2 && numbers * 3 >= filled * 2;
    }

    private static bool IsNumber(ReadOnlySpan<char> t, char mark)
    {
        if (t.Length > 40 || (mark == ',' && t.Contains('.')))
        {
            return false;
        }

        Span<char> copy = stackalloc char[t.Length];
        t.CopyTo(copy);
        if (mark == ',')
        {
            copy.Replace(',', '.');
        }

        return Numbers.TryDouble(copy, out _);
    }

    private static bool IsCalendar(string field)
    {
        var t = field.AsSpan().Trim(" \t\"");
        return t.Length is >= 14 and <= 60 && t.Contains(':') && (LogDates.TryMoment(t, DateOrder.DayFirst, out _) || LogDates.TryMoment(t, DateOrder.MonthFirst, out _));
    }

    public static List<string> Split(string line, char separator)
    {
        var fields = new List<string>();
        int from = 0;
        bool quoted = false;
        for (int i = 0; i <= line.Length; i++)
        {
            if (i < line.Length && line[i] == '"')
            {
                quoted = !quoted;
            }
            else if (i == line.Length || (line[i] == separator && !quoted))
            {
                fields.Add(line[from..i].Trim(' ', '\t', '"', '\uFEFF'));
                from = i + 1;
                if (fields.Count > 1024)
                {
                    break;
                }
            }
        }

        return fields;
    }
}
