using Stakeboat.Core.Measurement;
using Stakeboat.Core.Units;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Sheets;

/// <summary>
/// A result sheet as it is pasted from a page or saved as CSV: a line a crew with place, lane, name, times at the marks or the final time, or a verdict in
/// words; a table copied cell by cell; "A beat B". Columns are told by a line of names where there is one, else by what stands in them.
/// </summary>
public static class ResultTextReader
{
    /// <summary>Length that a final time is put at where nothing says it, m: the championship distance.</summary>
    private const double UsualDistance = 2000;

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
        List<ResultColumn>? columns = null;
        foreach (var (number, line, fields) in ResultLines.Of(text))
        {
            if (ResultWords.Header(fields) is { } header)
            {
                if (columns is null)
                {
                    columns = header;
                    distance ??= LengthOf(header, log);
                }

                continue;
            }

            if (distance is null && ResultWords.Distance(line, needsUnit: true) is { } d && !fields.Exists(f => ResultWords.IsTime(f, out _)))
            {
                distance = d;
                continue;
            }

            var row = columns is null ? ByShape(fields, distance, log) : ByColumns(fields, columns, distance, number, log);
            if (row is null)
            {
                log.Note(IssueLog.Line(number), "A line is no crew's row.", "It was passed over.");
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

        return log.Reading(ResultSense.Check(new ResultSheet(distance is { } x ? Distance.FromMetres(x) : null, rows), log));
    }

    /// <summary>True where lines look like rows of a result sheet: a name, and a time or a verdict behind it.</summary>
    internal static bool Looks(string text)
    {
        int rows = 0, seen = 0;
        List<ResultColumn>? columns = null;
        var silent = new IssueLog("");
        foreach (var (number, _, fields) in ResultLines.Of(text).Take(60))
        {
            seen++;
            if (ResultWords.Header(fields) is { } h)
            {
                columns ??= h;
                continue;
            }

            var r = columns is null ? ByShape(fields, 2000, silent) : ByColumns(fields, columns, 2000, number, silent);
            rows += r is not null && (r.Times.Count > 0 || Verdicts.TryRead(r.Verdict, out _)) ? 1 : 0;
        }

        return rows >= 1 && (columns is not null || rows * 2 >= seen);
    }

    // The farthest mark is the finish, unless the finish has a column without a mark: then it lies one step beyond marks that stand at equal steps.
    private static double? LengthOf(List<ResultColumn> header, IssueLog log)
    {
        var marks = header.Where(c => c.Role == ResultRole.Time && c.Mark > 0).Select(c => c.Mark).Distinct().Order().ToList();
        if (marks.Count == 0)
        {
            return null;
        }

        if (!header.Contains(new ResultColumn(ResultRole.Time, 0)))
        {
            return marks[^1];
        }

        for (int i = 0; i < marks.Count; i++)
        {
            if (marks[i] != marks[0] * (i + 1))
            {
                return null;
            }
        }

        double length = marks[0] * (marks.Count + 1);
        log.Note("", System.FormattableString.Invariant($"The finish has no mark; the others stand every {marks[0]:0} m."), System.FormattableString.Invariant($"It was taken to lie at {length:0} m."));
        return length;
    }

    private static ResultRow? ByColumns(List<string> fields, List<ResultColumn> columns, double? distance, int line, IssueLog log)
    {
        int? place = null, lane = null;
        string? crew = null, verdict = null;
        var times = new List<MarkTime>();
        for (int i = 0; i < Math.Min(fields.Count, columns.Count); i++)
        {
            string f = fields[i].Trim();
            switch (columns[i].Role)
            {
                case ResultRole.Place:
                    place = ResultWords.Whole(f);
                    verdict ??= place is null && Verdicts.TryRead(f, out _) ? f : null; // "DNF" where the place would stand
                    break;
                case ResultRole.Lane:
                    lane = ResultWords.Whole(f) ?? ResultWords.Bracketed(f);
                    break;
                case ResultRole.Crew:
                    crew = f;
                    break;
                case ResultRole.Verdict when f.Length > 0:
                    verdict ??= ResultWords.Gap(f, bare: true) is { } gap ? (gap.Length > 0 ? gap : null) : f;
                    break;
                case ResultRole.Time when f.Length > 0 && ResultWords.Bracketed(f) is null:
                    double mark = columns[i].Mark > 0 ? columns[i].Mark : distance ?? UsualDistance;
                    string first = f.Split(' ')[0];
                    if (ResultWords.IsTime(f, out double t) || ResultWords.IsTime(first, out t) || (Numbers.TryDouble(first.Replace(',', '.'), out t) && t is > 20 and < 20000))
                    {
                        if (times.Exists(x => x.Mark.Metres == mark) && columns[i].Mark == 0)
                        {
                            break; // a second final time, adjusted by some rule: the first is the one rowed
                        }

                        times.Add(new MarkTime(Distance.FromMetres(mark), Duration.FromSeconds(t)));
                        verdict ??= f.Length > first.Length && ResultWords.Gap(f[first.Length..], bare: false) is { Length: > 0 } behind ? behind : null;
                    }
                    else if (ResultWords.Gap(f, bare: false) is { Length: > 0 } late)
                    {
                        verdict ??= late;
                    }
                    else if (Verdicts.TryRead(f, out _))
                    {
                        verdict ??= f;
                    }
                    else if (f.Any(char.IsAsciiDigit))
                    {
                        log.Warn(IssueLog.Line(line), "A time cannot be read.", "It was left out.");
                    }

                    break;
            }
        }

        return string.IsNullOrEmpty(crew) || !crew.Any(char.IsLetter) || (times.Count == 0 && verdict is null && place is null && lane is null)
            ? null : new ResultRow(place, lane, crew, Cumulated(times, log), verdict);
    }

    private static ResultRow? ByShape(List<string> fields, double? distance, IssueLog log)
    {
        var whole = new List<int>();
        var seconds = new List<double>();
        int? lane = null;
        string? crew = null, verdict = null;
        if (fields.Count == 0 || ResultWords.IsTime(fields[0], out _))
        {
            return null; // a transcript's block begins so
        }

        for (int i = 0; i < fields.Count; i++)
        {
            string f = fields[i].Trim();
            if (f.Length == 0)
            {
                continue;
            }

            if (crew is null && f.ToLowerInvariant() is "lane" or "station" or "bow" && i + 1 < fields.Count && ResultWords.Whole(fields[i + 1]) is { } named)
            {
                lane = named;
                i++;
            }
            else if (ResultWords.Bracketed(f) is { } bracketed)
            {
                lane ??= crew is null ? bracketed : null; // behind the crew it is the place on the way
            }
            else if (crew is null && ResultWords.Whole(f) is { } n)
            {
                whole.Add(n);
            }
            else if (ResultWords.IsTime(f, out double t))
            {
                seconds.Add(t);
            }
            else if (crew is not null && ResultWords.Gap(f, bare: false) is { Length: > 0 } gap)
            {
                verdict ??= gap;
            }
            else if (crew is not null && Verdicts.TryRead(f, out _))
            {
                verdict = f;
            }
            else if (crew is null && f.Any(char.IsLetter))
            {
                crew = f.TrimEnd(',', ':');
            }
        }

        int? place = whole.Count > 0 ? whole[0] : null;
        if (crew is not null && verdict is null && seconds.Count == 0)
        {
            // "Larkmoor B three-quarters of a length": the verdict stands behind the name without anything between.
            string[] words = crew.Split(' ');
            for (int k = 1; k < words.Length && verdict is null; k++)
            {
                string tail = string.Join(' ', words[k..]);
                if (Verdicts.TryRead(tail, out _))
                {
                    (crew, verdict) = (string.Join(' ', words[..k]), tail);
                }
            }
        }

        if (crew is null || (seconds.Count == 0 && verdict is null && place != 1))
        {
            return null;
        }

        double last = distance ?? UsualDistance;
        var times = new List<MarkTime>();
        for (int i = 0; i < seconds.Count; i++)
        {
            // Several times are the 500 m marks where so many fit; the last is the finish.
            double mark = i == seconds.Count - 1 ? last : 500.0 * (i + 1);
            if (mark < last || i == seconds.Count - 1)
            {
                times.Add(new MarkTime(Distance.FromMetres(mark), Duration.FromSeconds(seconds[i])));
            }
        }

        return new ResultRow(place, lane ?? (whole.Count > 1 ? whole[1] : null), crew, Cumulated(times, log), verdict);
    }

    // Times in order of the marks; where each is the time for its own stretch, they are added up.
    private static List<MarkTime> Cumulated(List<MarkTime> times, IssueLog log)
    {
        List<MarkTime> sorted = [.. times.OrderBy(t => t.Mark.Metres)];
        if (sorted.Count < 3)
        {
            return sorted;
        }

        // Stretches: each about as long as the first for its length, and the last is the sum or another stretch.
        double pace = sorted[0].Time.Seconds / sorted[0].Mark.Metres, from = 0, sum = 0;
        int stretches = 0;
        foreach (var t in sorted)
        {
            double own = t.Time.Seconds / (t.Mark.Metres - from) / pace;
            if (t.Mark.Metres <= from || own is < 0.7 or > 1.4)
            {
                break;
            }

            stretches++;
            sum += t.Time.Seconds;
            from = t.Mark.Metres;
        }

        bool all = stretches == sorted.Count, butLast = stretches == sorted.Count - 1 && sorted[^1].Time.Seconds > sum;
        if (!all && !butLast)
        {
            return sorted;
        }

        log.Note("", "The times at the marks are those of each stretch.", "They were added up.");
        double total = 0;
        for (int i = 0; i < stretches; i++)
        {
            total += sorted[i].Time.Seconds;
            sorted[i] = sorted[i] with { Time = Duration.FromSeconds(total) };
        }

        return sorted;
    }
}
