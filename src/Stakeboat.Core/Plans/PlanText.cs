using System.Globalization;

namespace Stakeboat.Core.Plans;

/// <summary>
/// Reads a plan as people write it: a head ("distance 2000 m", "pace 1:36", "rate 36"), segments in order ("high 20 strokes at 42") and
/// cues ("at 500 m: ten for legs"). The language is described in docs/plans/text.md. Reading never throws: what is wrong is listed by line.
/// </summary>
public static class PlanText
{
    /// <summary>Longest text that is read; a plan fits on a page.</summary>
    public const int LongestText = 100_000;

    /// <summary>Reads a text; lines that cannot be understood are listed in the sheet's issues and left out.</summary>
    public static PlanSheet Parse(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        var issues = new List<PlanIssue>();
        if (text.Length > LongestText)
        {
            issues.Add(new PlanIssue(0, 1, PlanSeverity.Error, "too-long", string.Create(CultureInfo.InvariantCulture,
                $"This text has {text.Length} letters; a plan has fewer than {LongestText}.")));
            return new PlanSheet([], issues);
        }

        var reader = new PlanLineReader(issues);
        int number = 0;
        foreach (string raw in text.Replace("\r\n", "\n", StringComparison.Ordinal).Replace('\r', '\n').Split('\n'))
        {
            number++;
            reader.Read(WithoutNote(raw), number);
        }

        return new PlanSheet(reader.Finish(), issues);
    }

    /// <summary>Reads a wind as it stands in a plan's head ("head 4 m/s", "from 240 at 5 m/s at 10 m"); else says how to write one.</summary>
    public static (PlanWind? Wind, string? Wrong) Wind(string words)
    {
        ArgumentNullException.ThrowIfNull(words);
        var tokens = new List<PlanToken>();
        if (!PlanCursor.Split(words, 0, tokens, out _))
        {
            return (null, "A wind has no quotation marks: 'head 3 m/s'.");
        }

        var cursor = new PlanCursor(tokens, 0, words.Length + 1);
        cursor.TakeIf("wind");
        var (head, wrong) = PlanHeadReader.Wind(cursor, new PlanHead());
        return wrong is null && !cursor.AtEnd ? (null, $"'{cursor.Here.Text}' was not expected after the wind.") : (head.Wind, wrong);
    }

    /// <summary>Drops what follows a # that is not inside quotation marks.</summary>
    private static string WithoutNote(string line)
    {
        bool quoted = false;
        for (int i = 0; i < line.Length; i++)
        {
            if (line[i] is '"' or '\u201c' or '\u201d')
            {
                quoted = !quoted;
            }
            else if (line[i] == '#' && !quoted)
            {
                return line[..i];
            }
        }

        return line;
    }
}

/// <summary>Keeps what has been read so far and sends each line to the reader of its kind.</summary>
internal sealed class PlanLineReader(List<PlanIssue> issues)
{
    private static readonly Dictionary<string, SegmentKind> SegmentWords = new(StringComparer.Ordinal)
    {
        ["start"] = SegmentKind.Start, ["high"] = SegmentKind.High, ["settle"] = SegmentKind.Settle, ["lengthen"] = SegmentKind.Lengthen,
        ["stride"] = SegmentKind.Lengthen, ["base"] = SegmentKind.Base, ["body"] = SegmentKind.Base, ["build"] = SegmentKind.Build,
        ["move"] = SegmentKind.Move, ["sprint"] = SegmentKind.Sprint,
    };

    private static readonly string[] CueWords = ["at", "when", "if", "every", "half", "before", "through", "after"];

    private readonly Section _common = new("A", null, 0);
    private readonly List<Section> _variants = [];

    private Section Now => _variants.Count > 0 ? _variants[^1] : _common;

    public void Read(string line, int number)
    {
        if (string.IsNullOrWhiteSpace(line))
        {
            return;
        }

        var tokens = new List<PlanToken>();
        if (!PlanCursor.Split(line, 0, tokens, out int open))
        {
            Error(number, open, "open-quote", "The quotation mark here is never closed on this line.");
            return;
        }

        var cursor = new PlanCursor(tokens, number, line.TrimEnd().Length + 1);
        string first = cursor.Here.Low;
        if (first == "plan")
        {
            ReadVariant(cursor);
        }
        else if (PlanHeadReader.IsKey(first))
        {
            PlanHeadReader.Read(cursor, Now, issues);
        }
        else if (SegmentWords.TryGetValue(first, out var kind))
        {
            if (PlanSegmentReader.Read(cursor, kind, issues) is { } segment)
            {
                Now.Segments.Add(segment);
            }
        }
        else if (Array.IndexOf(CueWords, first) >= 0)
        {
            if (PlanCueReader.Read(cursor, line, issues) is { } cue)
            {
                Now.Cues.Add(cue);
            }
        }
        else
        {
            string near = Nearest(cursor.Here.Text, [.. PlanHeadReader.Keys, .. SegmentWords.Keys, .. CueWords, "plan"]);
            Error(number, cursor.Here.Column, "unknown-word",
                $"A line cannot begin with '{cursor.Here.Text}'.{(near.Length > 0 ? $" Did you mean '{near}'?" : " Lines begin with a word of the head (distance, pace, rate), a segment (start, high, settle, base, sprint) or a cue (at, when).")}");
        }
    }

    private void ReadVariant(PlanCursor cursor)
    {
        cursor.Take();
        var name = cursor.Take();
        if (name.Text.Length == 0 || name.Text == ":")
        {
            Error(cursor.Line, name.Column, "variant-without-name", "A plan within the text needs a letter: plan A, plan B.");
            return;
        }

        string? when = null;
        if (cursor.TakeAny("if", "when", "for"))
        {
            when = cursor.TakeRest(false, ":");
        }
        else if (!cursor.AtEnd && cursor.Here.Text != ":")
        {
            Error(cursor.Line, cursor.Here.Column, "unknown-word", $"After 'plan {name.Text}' may stand 'if' or 'when' with the reason for it, not '{cursor.Here.Text}'.");
        }

        if (_variants.FirstOrDefault(v => string.Equals(v.Name, name.Text, StringComparison.OrdinalIgnoreCase)) is { } before)
        {
            Error(cursor.Line, name.Column, "variant-twice", string.Create(CultureInfo.InvariantCulture, $"Plan {name.Text} has already begun on line {before.Line}."));
        }

        _variants.Add(new Section(name.Text, when, cursor.Line));
    }

    /// <summary>The plans, each with the common lines before the first of them.</summary>
    public List<PlanVariant> Finish()
    {
        var result = new List<PlanVariant>();
        var sections = _variants.Count == 0 ? [_common] : _variants;
        foreach (var s in sections)
        {
            bool own = !ReferenceEquals(s, _common);
            var head = own ? s.Head.Over(_common.Head) : s.Head;
            IReadOnlyList<SegmentLine> segments = own && s.Segments.Count == 0 ? _common.Segments : s.Segments;
            IReadOnlyList<CueLine> cues = own ? [.. _common.Cues, .. s.Cues] : s.Cues;
            result.Add(new PlanVariant(s.Name, s.When, s.Line, head.Build(), segments, cues));
        }

        return result;
    }

    private void Error(int line, int column, string code, string sentence) => issues.Add(new PlanIssue(line, column, PlanSeverity.Error, code, sentence));

    /// <summary>The word of a list that is at most two letters away; empty where none is.</summary>
    internal static string Nearest(string word, IEnumerable<string> words)
    {
        string low = word.ToLowerInvariant();
        string best = "";
        int least = low.Length <= 3 ? 2 : 3;
        foreach (string w in words)
        {
            int d = Edits(low, w.ToLowerInvariant());
            if (d < least)
            {
                least = d;
                best = w;
            }
        }

        return best;
    }

    private static int Edits(string a, string b)
    {
        var row = new int[b.Length + 1];
        for (int j = 0; j <= b.Length; j++)
        {
            row[j] = j;
        }

        for (int i = 1; i <= a.Length; i++)
        {
            int corner = row[0];
            row[0] = i;
            for (int j = 1; j <= b.Length; j++)
            {
                int above = row[j];
                row[j] = Math.Min(Math.Min(row[j] + 1, row[j - 1] + 1), corner + (a[i - 1] == b[j - 1] ? 0 : 1));
                corner = above;
            }
        }

        return row[b.Length];
    }

    /// <summary>The lines of one plan while they are read.</summary>
    internal sealed class Section(string name, string? when, int line)
    {
        public string Name { get; } = name;

        public string? When { get; } = when;

        public int Line { get; } = line;

        public PlanHeadDraft Head { get; } = new();

        public List<SegmentLine> Segments { get; } = [];

        public List<CueLine> Cues { get; } = [];
    }
}
