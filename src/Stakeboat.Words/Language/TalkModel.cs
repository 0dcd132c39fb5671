using System.Text;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Words.Language;

/// <summary>
/// The language model of one crew: true lines of the labelled races and frames with numbers, with the crew's own names and rivals put in.
/// </summary>
public sealed class TalkModel
{
    /// <summary>Weight of a frame's sentences altogether, in lines: a value never heard must be possible, not likely.</summary>
    private const double FrameWeight = 12;

    private readonly Lazy<string> _arpa;

    /// <summary>
    /// What is cut out of a recording between two pauses is one line or several: each line counts by this share alone and by the rest
    /// within runs of <see cref="Run"/> lines, so that a call may follow the end of another.
    /// </summary>
    private const double Alone = 0.25;

    private const int Run = 3;

    private TalkModel(NGramModel model, string madeFrom) => (Model, MadeFrom, _arpa) = (model, madeFrom, new Lazy<string>(model.ToArpa));

    /// <summary>What tells this model from that of another race or a measurement: its names and what was left out.</summary>
    public string MadeFrom { get; }

    public NGramModel Model { get; }

    /// <summary>Shares of the true lines word by word, of the true lines by groups of words, and of the frames: set by hand near what fitted four left-out races best, before lines were counted in runs of three; not fitted again.</summary>
    public static IReadOnlyList<double> Weights { get; } = [0.60, 0.34, 0.06];

    /// <summary>The model as ARPA text.</summary>
    public string Arpa => _arpa.Value;

    /// <summary>Every word that the recogniser must be able to pronounce.</summary>
    public IEnumerable<string> Words => Model.Words;

    /// <param name="sheet">Crews, names and words of the race; null: invented place names take no part and the classes are left out.</param>
    /// <param name="leaveOut">Sources of lines (a race's folder) to leave out when measuring; null for none.</param>
    public static TalkModel For(RaceSheet? sheet, IReadOnlySet<string>? leaveOut = null)
    {
        string[][] rivals = Spoken(sheet?.Rivals ?? []), names = Spoken(sheet?.Us.Names ?? []);
        string[][] us = Spoken(sheet is { Us.Name: not "our boat" } ? [sheet.Us.Name] : []);
        var said = new List<(IReadOnlyList<string> Words, double Weight)>();
        var framed = new List<(IReadOnlyList<string> Words, double Weight)>();
        foreach (var source in Lines().Where(l => leaveOut?.Contains(l.Source) != true).GroupBy(l => l.Source, l => l.Words, StringComparer.Ordinal))
        {
            string[][] lines = [.. source];
            for (int i = 0; i < lines.Length; i++)
            {
                Add(said, lines[i], rivals, us, names, Alone);
                string[] run = [.. Enumerable.Range(i, Run).SelectMany(k => Named(lines[k % lines.Length], k, rivals, us, names))];
                if (run.Length > 0)
                {
                    said.Add((run, (1 - Alone) / Run));
                }
            }
        }

        foreach (string frame in Frames())
        {
            var all = Expand(frame).ToList();
            foreach (string sentence in all)
            {
                Add(framed, Split(sentence), rivals, us, names, FrameWeight / all.Count);
            }
        }

        // What only this crew says: its code words and what they stand for, and each name by itself.
        foreach (var word in sheet?.Us.Words ?? [])
        {
            foreach (string text in new[] { word.Word, word.Meaning })
            {
                if (Normal(text) is { Length: > 0 } own)
                {
                    said.Add((own, 3));
                }
            }
        }

        var vocabulary = new Vocabulary();
        foreach (var own in rivals.Concat(names).Concat(us))
        {
            said.Add((own, 1));
            vocabulary.Add(own[^1] + "'s");
        }

        WordCounts Count(List<(IReadOnlyList<string> Words, double Weight)> sentences)
        {
            var counts = new WordCounts(vocabulary);
            foreach (var (words, weight) in sentences)
            {
                counts.Add(words, weight);
            }

            return counts;
        }

        // Both are counted before any model is made: the vocabulary is whole from then on.
        WordCounts first = Count(said), second = Count(framed);
        return new TalkModel(new NGramModel(
            (new KneserNeyModel(first), Weights[0]), (new ClassModel(vocabulary, said, Resource("classes.txt").Select(Split)), Weights[1]), (new WittenBellModel(second), Weights[2])), string.Join('|',
            rivals.Concat(names).Concat(us).Select(n => string.Join(' ', n)).Concat(sheet?.Us.Words.Select(w => w.Word + "=" + w.Meaning) ?? []).Concat((leaveOut ?? new HashSet<string>()).Order(StringComparer.Ordinal).Select(l => "-" + l))));
    }

    /// <summary>Words as the model counts them: lower case, letters and apostrophes, numbers spelt out.</summary>
    public static string[] Normal(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        var plain = new StringBuilder(text.Length);
        foreach (char c in text.ToLowerInvariant())
        {
            plain.Append(char.IsAsciiLetter(c) || c is '\'' or '<' or '>' ? c : c == '’' ? '\'' : ' ');
        }

        return Split(plain.ToString());
    }

    /// <summary>All sentences of a frame: {a|b} is either.</summary>
    internal static IEnumerable<string> Expand(string frame)
    {
        int open = frame.IndexOf('{', StringComparison.Ordinal);
        if (open < 0)
        {
            yield return frame;
            yield break;
        }

        int close = frame.IndexOf('}', open);
        if (close < 0)
        {
            throw new FormatException($"A frame opens a choice and does not close it: {frame}");
        }

        foreach (string choice in frame[(open + 1)..close].Split('|'))
        {
            foreach (string rest in Expand(frame[(close + 1)..]))
            {
                yield return frame[..open] + choice + rest;
            }
        }
    }

    private static void Add(List<(IReadOnlyList<string> Words, double Weight)> to, string[] words, string[][] rivals, string[][] us, string[][] names, double weight)
    {
        if (words.Length == 0)
        {
            return;
        }

        int mark = Array.FindIndex(words, w => w.StartsWith('<'));
        if (mark < 0)
        {
            to.Add((words, weight));
            return;
        }

        // "<crew>'s" is the last word of the name with its ending.
        string ending = words[mark][(words[mark].IndexOf('>', StringComparison.Ordinal) + 1)..];
        var choices = words[mark].StartsWith("<crew>", StringComparison.Ordinal) ? rivals : words[mark].StartsWith("<us>", StringComparison.Ordinal) ? us : names;
        foreach (var choice in choices)
        {
            var name = (string[])choice.Clone();
            name[^1] += ending;
            Add(to, [.. words[..mark], .. name, .. words[(mark + 1)..]], rivals, us, names, weight / choices.Length);
        }
    }

    /// <summary>A line with names put in, one of each kind in turn; empty where there is none to put in.</summary>
    private static string[] Named(string[] words, int turn, string[][] rivals, string[][] us, string[][] names)
    {
        var line = new List<string>();
        foreach (string w in words)
        {
            if (w[0] != '<')
            {
                line.Add(w);
                continue;
            }

            int end = w.IndexOf('>', StringComparison.Ordinal);
            var choices = w[..(end + 1)] switch { "<crew>" => rivals, "<us>" => us, _ => names };
            if (choices.Length == 0)
            {
                return [];
            }

            string[] name = choices[turn % choices.Length];
            line.AddRange(name[..^1]);
            line.Add(name[^1] + w[(end + 1)..]);
        }

        return [.. line];
    }

    private static string[][] Spoken(IEnumerable<string> names) => [.. names.Select(Normal).Where(n => n.Length > 0)];

    private static string[] Split(string text) => text.Split(' ', StringSplitOptions.RemoveEmptyEntries);

    internal static IEnumerable<(string Source, string[] Words)> Lines()
    {
        foreach (string line in Resource("lines.txt"))
        {
            int tab = line.IndexOf('\t', StringComparison.Ordinal);
            if (tab > 0)
            {
                yield return (line[..tab], Split(line[(tab + 1)..]));
            }
        }
    }

    internal static IEnumerable<string> Frames() => Resource("frames.txt");

    private static IEnumerable<string> Resource(string name)
    {
        using var stream = typeof(TalkModel).Assembly.GetManifestResourceStream(name) ?? throw new InvalidOperationException($"The program was built without {name}.");
        using var reader = new StreamReader(stream, Encoding.UTF8);
        while (reader.ReadLine() is { } line)
        {
            if (line.Length > 0 && line[0] != '#')
            {
                yield return line;
            }
        }
    }
}
