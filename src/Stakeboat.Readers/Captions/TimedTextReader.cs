using System.Text;
using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Captions;

/// <summary>
/// Transcripts with a time before each block: "[m:ss] text", also "(m:ss)", "m:ss text", "[h:mm:ss]", minutes beyond 59, or the time on a line of its own.
/// Times are whole seconds as a rule, so a block's beginning has sd 1/sqrt(12) = 0.289 s (rectangular distribution). A block lasts until the next.
/// </summary>
public static class TimedTextReader
{
    /// <summary>How long the last block is taken to last, s. Our own choice: blocks of about 20 s are usual.</summary>
    public const double LastBlockSeconds = 20;

    public static Reading<CaptionTrack> Read(Stream stream, string name)
    {
        var log = new IssueLog(name);
        return Read(TextInput.Read(stream, log), name, log);
    }

    public static Reading<CaptionTrack> Read(string text, string name, IssueLog log)
    {
        ArgumentNullException.ThrowIfNull(text);
        ArgumentNullException.ThrowIfNull(log);
        var blocks = new List<(double Start, int Line, StringBuilder Text)>();
        var lines = new LineWalk(text);
        bool trailing = LooksTrailing(text);
        while (lines.Next())
        {
            var line = lines.Current.Trim().Trim('\uFEFF');
            if (TryStamp(line, out double t, out var rest))
            {
                blocks.Add((t, lines.Number, new StringBuilder()));
                Inline(blocks, lines.Number, rest);
            }
            else if (trailing && TryTrailing(line, out t))
            {
                blocks.Add((t, lines.Number, new StringBuilder())); // who speaks stands before the time
            }
            else if (line.Length == 0)
            {
                continue;
            }
            else if (blocks.Count > 0)
            {
                Inline(blocks, lines.Number, line);
            }
            else
            {
                log.Warn(IssueLog.Line(lines.Number), "Text stands before the first time.", "It was left out.");
            }
        }

        var cues = new List<CaptionCue>(blocks.Count);
        for (int i = 0; i < blocks.Count; i++)
        {
            double start = blocks[i].Start;
            if (i > 0 && start < blocks[i - 1].Start)
            {
                log.Warn(IssueLog.Line(blocks[i].Line), "A block begins before the one above it.", "The blocks were put in order of time.");
            }
        }

        var ordered = blocks.OrderBy(b => b.Start).ToList();
        for (int i = 0; i < ordered.Count; i++)
        {
            double end = i + 1 < ordered.Count ? ordered[i + 1].Start : ordered[i].Start + LastBlockSeconds;
            string words = CueText.Squeeze(ordered[i].Text.ToString());
            if (words.Length > 0)
            {
                cues.Add(new CaptionCue(CueList.At(ordered[i].Start), CueList.At(end), words, []));
            }
        }

        return CueList.Finish(cues, name, CaptionTiming.Blocks, log);
    }

    // Times in square or round brackets within a line begin blocks too.
    private static void Inline(List<(double Start, int Line, StringBuilder Text)> blocks, int number, ReadOnlySpan<char> line)
    {
        int from = 0;
        for (int i = 1; i < line.Length; i++)
        {
            if (line[i] is '[' or '(' && line[i - 1] == ' ' && TryStamp(line[i..], out double t, out _))
            {
                blocks[^1].Text.Append(' ').Append(line[from..i]);
                blocks.Add((t, number, new StringBuilder()));
                int close = line[i..].IndexOfAny(']', ')');
                from = i + close + 1;
                i = from;
            }
        }

        blocks[^1].Text.Append(' ').Append(line[Math.Min(from, line.Length)..]);
    }

    /// <summary>True where lines of a speaker's name with a time behind it are each followed by a line of words: "Speaker 1  0:05".</summary>
    internal static bool LooksTrailing(string text)
    {
        int headed = 0, headless = 0;
        double last = -1;
        bool waiting = false, rising = true;
        var lines = new LineWalk(text);
        while (lines.Next() && lines.Number < 400)
        {
            var line = lines.Current.Trim();
            if (line.Length == 0)
            {
                continue;
            }

            if (TryTrailing(line, out double t))
            {
                headless += waiting ? 1 : 0;
                rising &= t >= last;
                last = t;
                waiting = true;
            }
            else
            {
                headed += waiting ? 1 : 0;
                waiting = false;
            }
        }

        return headed >= 2 && headless == 0 && rising;
    }

    // "Speaker 1  0:05", "Cox (1:02:03)": few words, then a time.
    private static bool TryTrailing(ReadOnlySpan<char> line, out double seconds)
    {
        seconds = 0;
        int space = line.LastIndexOfAny(' ', '\t');
        if (space <= 0 || line.Length > 60 || !char.IsLetter(line[0]))
        {
            return false;
        }

        var stamp = line[(space + 1)..].Trim("[]()");
        return CueTime.TryRead(stamp, out seconds, out int used) && used == stamp.Length;
    }

    /// <summary>True where a line begins with a time of the kinds that are read.</summary>
    public static bool TryStamp(ReadOnlySpan<char> line, out double seconds, out ReadOnlySpan<char> rest)
    {
        seconds = 0;
        rest = default;
        if (line.Length < 4)
        {
            return false;
        }

        char close = line[0] switch { '[' => ']', '(' => ')', '<' => '>', _ => '\0' };
        var s = close == '\0' ? line : line[1..].TrimStart();
        if (!CueTime.TryRead(s, out seconds, out int used))
        {
            return false;
        }

        s = s[used..];
        if (close != '\0')
        {
            s = s.TrimStart();
            if (s.Length == 0 || s[0] != close)
            {
                return false;
            }

            rest = s[1..].TrimStart(" \t:-–").TrimEnd();
            return true;
        }

        if (s.Length > 0 && !char.IsWhiteSpace(s[0]) && s[0] is not (':' or '-' or '–'))
        {
            return false;
        }

        rest = s.TrimStart(" \t:-–").TrimEnd();
        if (s.TrimStart().Length > 0 && s.TrimStart()[0] is '-' or '–' && CueTime.TryRead(rest, out _, out used))
        {
            rest = rest[used..].TrimStart(" \t:-–"); // "0:05 - 0:09": the end is where the next begins
        }

        return true;
    }
}
