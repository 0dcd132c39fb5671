using System.Globalization;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Units;
using Stakeboat.Readers.Captions;
using Stakeboat.Readers.Motion;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Sheets;

/// <summary>
/// A result sheet as it is pasted from a page or saved as CSV: a line a crew with place, lane, name, times at the marks or the final time, or a verdict in
/// words. Columns are told by a line of names where there is one, else by what stands in them.
/// </summary>
public static class ResultTextReader
{
    private enum Role
    {
        None,
        Place,
        Lane,
        Crew,
        Time,
        Verdict,
    }

    private readonly record struct Column(Role Role, double Mark);

    /// <param name="distance">Length of the race where the sheet does not say it and gives final times alone.</param>
    public static Reading<ResultSheet> Read(Stream stream, string name, double? distance = null)
    {
        var log = new IssueLog(name);
        return Read(TextInput.Read(stream, log, 1 << 20), name, log, distance);
    }

    public static Reading<ResultSheet> Read(string text, string name, IssueLog log, double? distance = null)
    {
        ArgumentNullException.ThrowIfNull(text);
        ArgumentNullException.ThrowIfNull(log);
        var rows = new List<ResultRow>();
        List<Column>? columns = null;
        var lines = new LineWalk(text);
        while (lines.Next())
        {
            var fields = Fields(lines.Current.ToString());
            if (fields.Count == 0)
            {
                continue;
            }

            if (Header(fields) is { } header)
            {
                columns ??= header;
                bool final = header.Contains(new Column(Role.Time, 0)); // then the marks are on the way, and the finish lies beyond them
                distance ??= !final && header.Where(c => c.Role == Role.Time).Select(c => c.Mark).DefaultIfEmpty(0).Max() is var m and > 0 ? m : null;
                continue;
            }

            if (distance is null && Distance(lines.Current) is { } d && !fields.Exists(f => IsTime(f, out _)))
            {
                distance = d;
                continue;
            }

            var row = columns is null ? ByShape(fields, distance) : ByColumns(fields, columns, distance, lines.Number, log);
            if (row is null)
            {
                log.Note(IssueLog.Line(lines.Number), "A line is no crew's row.", "It was passed over.");
                continue;
            }

            rows.Add(row);
        }

        if (rows.Count == 0 || !rows.Exists(r => r.Times.Count > 0 || r.Verdict is not null))
        {
            log.Error("", "There is no row with a crew and a time or a verdict.", "Paste one line for each crew: place, lane, crew, time.");
            return log.Reading<ResultSheet>(null);
        }

        if (distance is null && rows.Exists(r => r.Times.Count > 0))
        {
            log.Warn("", "The sheet does not say how long the race is.", "The final times were kept at the mark of 2000 m; say the distance if it was another.");
        }

        return log.Reading(ResultSense.Check(new ResultSheet(distance is { } x ? Core.Units.Distance.FromMetres(x) : null, rows), log));
    }

    /// <summary>Length that a final time is put at where nothing says it, m: the championship distance.</summary>
    private const double UsualDistance = 2000;

    /// <summary>True where lines look like rows of a result sheet: a name, and a time or a verdict behind it.</summary>
    internal static bool Looks(string text)
    {
        int rows = 0, seen = 0;
        bool header = false;
        var lines = new LineWalk(text);
        while (lines.Next() && seen < 60)
        {
            var fields = Fields(lines.Current.ToString());
            if (fields.Count == 0)
            {
                continue;
            }

            seen++;
            header |= Header(fields) is not null;
            rows += ByShape(fields, 2000) is { } r && (r.Times.Count > 0 || Verdicts.TryRead(r.Verdict, out _)) ? 1 : 0;
        }

        return rows >= 1 && (header || rows * 2 >= seen);
    }

    private static List<string> Fields(string line)
    {
        char separator = line.Contains('\t') ? '\t' : line.Contains(';') ? ';' : line.Contains('|') ? '|' : line.Contains(',') ? ',' : '\0';
        if (separator != '\0')
        {
            var f = LogGuess.Split(line, separator);
            if (f.Count >= 2)
            {
                return f.TrueForAll(s => s.Length == 0) ? [] : f;
            }
        }

        // Columns parted by two spaces or more, else every word.
        string[] wide = line.Split("  ", StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        return wide.Length >= 3 ? [.. wide] : Words(line);
    }

    private static List<string> Words(string line)
    {
        // Single spaces: numbers and times stand for themselves, words in between make the crew, words behind the last time the verdict.
        var fields = new List<string>();
        bool lastWord = false;
        foreach (string w in line.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries))
        {
            bool word = !IsTime(w, out _) && !int.TryParse(w.TrimEnd('.', ')'), NumberStyles.None, CultureInfo.InvariantCulture, out _);
            if (word && lastWord)
            {
                fields[^1] += " " + w;
            }
            else
            {
                fields.Add(w);
            }

            lastWord = word;
        }

        return fields;
    }

    private static List<Column>? Header(List<string> fields)
    {
        var columns = new List<Column>();
        int known = 0;
        bool crew = false;
        foreach (string f in fields)
        {
            string t = f.Trim().ToLowerInvariant();
            Column c = t switch
            {
                "place" or "pl" or "pos" or "position" or "rank" or "#" or "order" => new Column(Role.Place, 0),
                "lane" or "station" or "ln" or "bow" => new Column(Role.Lane, 0),
                "crew" or "club" or "name" or "team" or "boat" or "entry" or "school" => new Column(Role.Crew, 0),
                "time" or "finish" or "final" or "final time" or "finish time" or "result" => new Column(Role.Time, 0),
                "verdict" or "margin" or "gap" or "behind" or "distance behind" => new Column(Role.Verdict, 0),
                _ => Distance(t) is { } m ? new Column(Role.Time, m) : default,
            };
            crew |= c.Role == Role.Crew;
            known += c.Role != Role.None ? 1 : 0;
            columns.Add(c);
        }

        return crew && known >= 2 ? columns : null;
    }

    // "500", "500m", "1,000 m", "Men's eights 2000 m"
    private static double? Distance(ReadOnlySpan<char> text)
    {
        string t = text.ToString().Replace(",", "", StringComparison.Ordinal).ToLowerInvariant();
        foreach (string w in t.Split([' ', '\t'], StringSplitOptions.RemoveEmptyEntries))
        {
            string n = w.EndsWith("m", StringComparison.Ordinal) ? w[..^1] : w;
            if (n.Length is >= 3 and <= 5 && int.TryParse(n, NumberStyles.None, CultureInfo.InvariantCulture, out int m) && m is >= 100 and <= 20000 && m % 10 == 0)
            {
                return m;
            }
        }

        return null;
    }

    private static ResultRow? ByColumns(List<string> fields, List<Column> columns, double? distance, int line, IssueLog log)
    {
        int? place = null, lane = null;
        string? crew = null, verdict = null;
        var times = new List<MarkTime>();
        for (int i = 0; i < Math.Min(fields.Count, columns.Count); i++)
        {
            string f = fields[i].Trim();
            switch (columns[i].Role)
            {
                case Role.Place:
                    place = Whole(f);
                    break;
                case Role.Lane:
                    lane = Whole(f);
                    break;
                case Role.Crew:
                    crew = f;
                    break;
                case Role.Verdict:
                    verdict = f.Length > 0 ? f : null;
                    break;
                case Role.Time when f.Length > 0:
                    if (IsTime(f, out double t) || (Numbers.TryDouble(f, out t) && t is > 20 and < 20000))
                    {
                        times.Add(new MarkTime(Core.Units.Distance.FromMetres(columns[i].Mark > 0 ? columns[i].Mark : distance ?? UsualDistance), Duration.FromSeconds(t)));
                    }
                    else if (Verdicts.TryRead(f, out _))
                    {
                        verdict ??= f;
                    }
                    else
                    {
                        log.Warn(IssueLog.Line(line), "A time cannot be read.", "It was left out.");
                    }

                    break;
            }
        }

        return string.IsNullOrEmpty(crew) ? null : new ResultRow(place, lane, crew, Order(times), verdict);
    }

    private static ResultRow? ByShape(List<string> fields, double? distance)
    {
        var whole = new List<int>();
        var seconds = new List<double>();
        string? crew = null, verdict = null;
        if (IsTime(fields[0], out _))
        {
            return null; // a transcript's block begins so
        }

        foreach (string f in fields.Select(f => f.Trim()).Where(f => f.Length > 0))
        {
            if (crew is null && Whole(f) is { } n)
            {
                whole.Add(n);
            }
            else if (IsTime(f, out double t))
            {
                seconds.Add(t);
            }
            else if (crew is not null && Verdicts.TryRead(f, out _))
            {
                verdict = f;
            }
            else if (crew is null && f.Any(char.IsLetter))
            {
                crew = f;
            }
            else if (crew is not null && verdict is null && Whole(f) is null)
            {
                verdict = f;
            }
        }

        if (crew is null || (seconds.Count == 0 && verdict is null))
        {
            return null;
        }

        double last = distance ?? UsualDistance;
        seconds.Sort();
        var times = new List<MarkTime>();
        for (int i = 0; i < seconds.Count; i++)
        {
            // Several times are the 500 m marks where so many fit; the last is the finish.
            double mark = i == seconds.Count - 1 ? last : 500.0 * (i + 1);
            if (mark < last || i == seconds.Count - 1)
            {
                times.Add(new MarkTime(Core.Units.Distance.FromMetres(mark), Duration.FromSeconds(seconds[i])));
            }
        }

        return new ResultRow(whole.Count > 0 ? whole[0] : null, whole.Count > 1 ? whole[1] : null, crew, times, verdict);
    }

    private static List<MarkTime> Order(List<MarkTime> times) => [.. times.OrderBy(t => t.Mark.Metres)];

    private static int? Whole(string s) => int.TryParse(s.TrimEnd('.', ')', 'º', '°'), NumberStyles.None, CultureInfo.InvariantCulture, out int n) && n < 1000 ? n : null;

    private static bool IsTime(string s, out double seconds)
    {
        seconds = 0;
        string t = s.Trim().TrimStart('(').TrimEnd(')');
        return t.Length is >= 4 and < 16 && t.Contains(':') && CueTime.TryRead(t, out seconds, out int used) && used == t.Length && seconds > 0;
    }
}
