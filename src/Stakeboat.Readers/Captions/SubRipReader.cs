using System.Text;
using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Captions;

/// <summary>
/// SubRip captions. There is no standard; read are: comma or full stop, missing numbers, missing or extra blank lines, missing hours,
/// coordinates after the times, markup in angle brackets and braces.
/// </summary>
public static class SubRipReader
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
        var body = new List<string>();
        int at = 0;
        bool inCue = false, timed = false;
        double start = 0, end = 0;

        void Close(bool another)
        {
            if (!inCue)
            {
                if (body.Exists(b => b.Length > 0 && !IsNumber(b)))
                {
                    log.Warn(IssueLog.Line(1), "Text stands before the first time.", "It was left out.");
                }
            }
            else
            {
                // A bare number right before a time is that cue's number and no word of this one.
                while (body.Count > 0 && body[^1].Length == 0)
                {
                    body.RemoveAt(body.Count - 1);
                }

                if (another && body.Count > 0 && IsNumber(body[^1]))
                {
                    body.RemoveAt(body.Count - 1);
                }

                var raw = new StringBuilder();
                foreach (string b in body.Where(b => b.Length > 0))
                {
                    raw.Append(raw.Length > 0 ? "\n" : "").Append(b);
                }

                CueList.Add(cues, log, at, timed, start, end, raw.ToString());
            }

            body.Clear();
        }

        while (lines.Next())
        {
            var line = lines.Current.Trim().Trim('\uFEFF');
            if (line.Contains("-->", StringComparison.Ordinal) || (line.Contains("->", StringComparison.Ordinal) && CueTime.TryReadSpan(line, out _, out _, out _)))
            {
                Close(another: true);
                inCue = true;
                at = lines.Number;
                timed = CueTime.TryReadSpan(line, out start, out end, out _);
            }
            else
            {
                body.Add(line.ToString());
            }
        }

        Close(another: false);
        return CueList.Finish(cues, name, bracesToo: true, log);
    }

    private static bool IsNumber(string s) => s.Length is > 0 and < 10 && s.All(char.IsAsciiDigit);
}
