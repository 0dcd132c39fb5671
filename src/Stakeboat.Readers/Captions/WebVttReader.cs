using System.Text;
using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Captions;

/// <summary>
/// WebVTT captions, after the W3C's "WebVTT: The Web Video Text Tracks Format", section 6 (parsing): optional hours, settings, identifiers,
/// NOTE, STYLE and REGION blocks, times inside the text, voices. Files that miss the first line or the blank lines are read with a remark.
/// </summary>
public static class WebVttReader
{
    public static Reading<CaptionTrack> Read(Stream stream, string name)
    {
        var log = new IssueLog(name);
        return Read(TextInput.Read(stream, log), name, log);
    }

    public static Reading<CaptionTrack> Read(string text, string name, IssueLog log)
    {
        ArgumentNullException.ThrowIfNull(text);
        ArgumentNullException.ThrowIfNull(log);
        var cues = new List<(int Line, double Start, double End, string Raw)>();
        var lines = new LineWalk(text);
        bool more = lines.Next();
        var firstLine = more ? lines.Current.TrimStart('\uFEFF') : default;
        if (more && firstLine.StartsWith("WEBVTT", StringComparison.Ordinal) && (firstLine.Length == 6 || firstLine[6] is ' ' or '\t'))
        {
            more = lines.Next();
            while (more && !lines.Current.IsWhiteSpace() && !lines.Current.Contains("-->", StringComparison.Ordinal))
            {
                more = lines.Next(); // header lines such as "Kind: captions"
            }
        }
        else
        {
            log.Warn(IssueLog.Line(1), "The first line is not WEBVTT.", "The cues were read all the same.");
        }

        var body = new StringBuilder();
        while (more)
        {
            if (lines.Current.IsWhiteSpace())
            {
                more = lines.Next();
                continue;
            }

            if (!lines.Current.Contains("-->", StringComparison.Ordinal))
            {
                // An identifier, or a block that is none of the words.
                bool block = IsBlock(lines.Current);
                int at = lines.Number;
                more = lines.Next();
                if (!block && more && lines.Current.Contains("-->", StringComparison.Ordinal))
                {
                    continue;
                }

                bool words = !block;
                while (more && !lines.Current.IsWhiteSpace() && !lines.Current.Contains("-->", StringComparison.Ordinal))
                {
                    more = lines.Next();
                }

                if (words)
                {
                    log.Warn(IssueLog.Line(at), "Text without a time stands between the cues.", "It was left out.");
                }

                continue;
            }

            int line = lines.Number;
            bool timed = CueTime.TryReadSpan(lines.Current, out double start, out double end, out _);
            more = lines.Next();
            body.Clear();
            while (more && lines.Current.Length > 0 && !lines.Current.Contains("-->", StringComparison.Ordinal))
            {
                if (body.Length > 0)
                {
                    body.Append('\n');
                }

                body.Append(lines.Current);
                more = lines.Next();
            }

            CueList.Add(cues, log, line, timed, start, end, body.ToString());
        }

        return CueList.Finish(cues, name, bracesToo: false, log);
    }

    private static bool IsBlock(ReadOnlySpan<char> line) => Starts(line, "NOTE") || Starts(line, "STYLE") || Starts(line, "REGION");

    private static bool Starts(ReadOnlySpan<char> line, string word) =>
        line.StartsWith(word, StringComparison.Ordinal) && (line.Length == word.Length || char.IsWhiteSpace(line[word.Length]));
}
