using Stakeboat.Readers.Motion;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Sheets;

/// <summary>Brings a pasted sheet into lines of fields, one crew a line, whatever way it was laid out where it was copied.</summary>
internal static class ResultLines
{
    /// <summary>Fields of each line with its number in the file.</summary>
    public static List<(int Number, string Line, List<string> Fields)> Of(string text)
    {
        var lines = new List<(int Number, string Line)>();
        var walk = new LineWalk(text);
        while (walk.Next() && lines.Count < 20_000)
        {
            var line = walk.Current.Trim();
            if (line.Length is > 0 and < 2000 && line.ContainsAnyExcept(" \t|-+=_*#;:,"))
            {
                foreach (string part in Listed(line.ToString()))
                {
                    lines.Add((walk.Number, part));
                }
            }
        }

        return OneFieldALine(lines) ?? lines.ConvertAll(l => (l.Number, l.Line, Fields(l.Line))).FindAll(l => l.Item3.Count > 0);
    }

    // "1. A 5:40.1, 2. B 5:42.0" is two lines; so is "A bt B, 2 lengths, 6:32".
    private static IEnumerable<string> Listed(string line)
    {
        foreach (string verb in (string[])[" bt ", " bt. ", " beat ", " beats ", " defeated "])
        {
            int at = line.IndexOf(verb, StringComparison.OrdinalIgnoreCase);
            if (at > 0)
            {
                var rest = line[(at + verb.Length)..].Split([',', ';', '('], StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries).ToList();
                var last = Words(rest[^1]);
                rest.RemoveAt(rest.Count - 1);
                rest.AddRange(last);
                string? time = rest.Find(f => ResultWords.IsTime(f, out _));
                var others = rest.Where(f => !ResultWords.IsTime(f, out _)).ToList();
                string verdict = others.Find(f => Verdicts.TryRead(f, out _)) ?? "";
                string loser = others.Count > 0 ? others[0] : "";
                if (verdict.Length == 0 || loser == verdict)
                {
                    (loser, verdict) = Ends(loser); // "Marsh easily"
                }

                yield return $"1\t{line[..at].Trim()}\t{time}";
                yield return $"2\t{loser}\t{verdict}";
                yield break;
            }
        }

        int from = 0;
        for (int i = 1; i + 3 < line.Length; i++)
        {
            int digit = line[i] is ',' or ';' && line[i + 1] == ' ' ? i + 2 : -1;
            if (digit > 0 && char.IsAsciiDigit(line[digit]) && (line[digit + 1] is '.' or ')' || (digit + 2 < line.Length && char.IsAsciiDigit(line[digit + 1]) && line[digit + 2] is '.' or ')'))
                && char.IsAsciiDigit(line[0]))
            {
                yield return line[from..i];
                from = digit;
            }
        }

        yield return line[from..];
    }

    private static (string Name, string Verdict) Ends(string text)
    {
        string[] words = text.Split(' ');
        for (int k = 1; k < words.Length; k++)
        {
            string tail = string.Join(' ', words[k..]);
            if (Verdicts.TryRead(tail, out _))
            {
                return (string.Join(' ', words[..k]).TrimEnd(','), tail);
            }
        }

        return (text, "");
    }

    // A table copied cell by cell: every line is one number, one time or one name.
    private static List<(int, string, List<string>)>? OneFieldALine(List<(int Number, string Line)> lines)
    {
        int names = 0, times = 0, wholes = 0;
        foreach (var (_, line) in lines)
        {
            if (ResultWords.IsTime(line, out _))
            {
                times++;
            }
            else if (ResultWords.Whole(line) is not null)
            {
                wholes++;
            }
            else if (line.Contains('\t') || line.Contains(';') || line.Split(' ').Any(w => ResultWords.IsTime(w, out _)))
            {
                return null;
            }
            else
            {
                names++;
            }
        }

        if (times < 2 || wholes < 2 || names < 2)
        {
            return null;
        }

        var rows = new List<(int, string, List<string>)>();
        List<string> row = [];
        bool named = false;
        int first = 0;
        foreach (var (number, line) in lines)
        {
            bool name = !ResultWords.IsTime(line, out _) && ResultWords.Whole(line) is null && !Verdicts.TryRead(line, out _);
            bool begins = name ? named : named && ResultWords.Whole(line) is not null;
            if (begins)
            {
                rows.Add((first, string.Join('\t', row), row));
                (row, named) = ([], false);
            }

            first = row.Count == 0 ? number : first;
            row.Add(line);
            named |= name;
        }

        rows.Add((first, string.Join('\t', row), row));
        rows.RemoveAll(r => r.Item3.Count == 1); // names of columns, titles
        return rows;
    }

    private static List<string> Fields(string line)
    {
        char separator = line.Contains('\t') ? '\t' : line.Contains(';') ? ';' : line.Contains('|') ? '|' : line.Contains(',') ? ',' : '\0';
        if (separator != '\0')
        {
            var f = LogGuess.Split(line, separator);
            if (separator == '|')
            {
                f = [.. f.Skip(f[0].Length == 0 ? 1 : 0)]; // the frame of the table
            }

            if (f.Count >= 3 || (f.Count == 2 && f.TrueForAll(s => s.Length > 0)))
            {
                return separator == ',' && !f.Exists(s => ResultWords.Whole(s) is not null || ResultWords.IsTime(s, out _)) && f.Count < 4 && !f.Skip(1).Any(s => Verdicts.TryRead(s, out _)) && ResultWords.Header(f) is null
                    ? Words(line) : Trimmed(f);
            }
        }

        // Columns parted by two spaces or more, else every word.
        string[] wide = line.Split("  ", StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        return wide.Length >= 3 ? [.. wide] : Words(line);
    }

    // "Second: Larkmoor" and "1. Old Quay" within one field come apart.
    private static List<string> Trimmed(List<string> fields)
    {
        if (fields.TrueForAll(s => s.Length == 0))
        {
            return [];
        }

        if (ResultWords.Whole(fields[0]) is null && Words(fields[0]) is { Count: >= 2 } words && ResultWords.Whole(words[0]) is not null)
        {
            return [.. words, .. fields.Skip(1)];
        }

        return fields;
    }

    // Single spaces: numbers and times stand for themselves, words in between make the crew, words behind the last time the verdict.
    private static List<string> Words(string line)
    {
        var fields = new List<string>();
        bool lastWord = false;
        foreach (string w in line.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries))
        {
            bool gap = w[0] == '+' && w.Length > 1 && char.IsAsciiDigit(w[1]);
            bool word = !gap && !ResultWords.IsTime(w, out _) && ResultWords.Whole(w) is null && ResultWords.Bracketed(w) is null;
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
}
