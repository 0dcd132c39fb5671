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
        while (lines.Next())
        {
            var line = lines.Current.Trim().Trim('\uFEFF');
            if (TryStamp(line, out double t, out var rest))
            {
                blocks.Add((t, lines.Number, new StringBuilder().Append(rest)));
            }
            else if (line.Length == 0)
            {
                continue;
            }
            else if (blocks.Count > 0)
            {
                blocks[^1].Text.Append(' ').Append(line);
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
        return true;
    }
}
