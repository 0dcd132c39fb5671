using System.Globalization;
using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Captions;

namespace Stakeboat.Readers.Writing;

/// <summary>Captions as WebVTT or CSV.</summary>
public static class CaptionWriter
{
    /// <summary>WebVTT: every cue, with its voice, and the times of words where the cue has them.</summary>
    public static void WebVtt(TextWriter to, CaptionTrack captions)
    {
        ArgumentNullException.ThrowIfNull(to);
        ArgumentNullException.ThrowIfNull(captions);
        to.Write("WEBVTT\n");
        foreach (var c in captions.Cues)
        {
            to.Write($"\n{CueTime.Format(c.Start.Seconds)} --> {CueTime.Format(Math.Max(c.End.Seconds, c.Start.Seconds))}\n");
            if (c.Voice is { Length: > 0 } voice)
            {
                to.Write($"<v {Escape(voice)}>");
            }

            to.Write(c.Words.Count > 0 ? Words(c) : Escape(c.Text));
            to.Write('\n');
        }
    }

    public static void Csv(TextWriter to, CaptionTrack captions)
    {
        ArgumentNullException.ThrowIfNull(to);
        ArgumentNullException.ThrowIfNull(captions);
        to.Write("t,end,voice,text\n");
        foreach (var c in captions.Cues)
        {
            to.Write(string.Create(CultureInfo.InvariantCulture, $"{c.Start.Seconds:0.###},{c.End.Seconds:0.###},{CsvText.Quote(c.Voice ?? "")},{CsvText.Quote(c.Text)}\n"));
        }
    }

    private static string Words(CaptionCue c)
    {
        var b = new System.Text.StringBuilder();
        double last = c.Start.Seconds;
        foreach (var w in c.Words)
        {
            b.Append(b.Length > 0 ? " " : "");
            double t = Math.Clamp(w.Start.Seconds, last, Math.Max(last, c.End.Seconds));
            if (t > last)
            {
                b.Append('<').Append(CueTime.Format(t)).Append('>');
                last = t;
            }

            b.Append(Escape(w.Text));
        }

        return b.ToString();
    }

    // "-->" would be read as a time line.
    private static string Escape(string s) => s.Replace("&", "&amp;", StringComparison.Ordinal).Replace("<", "&lt;", StringComparison.Ordinal).Replace(">", "&gt;", StringComparison.Ordinal).ReplaceLineEndings(" ");
}

/// <summary>A motion log as CSV with units in the names.</summary>
public static class MotionWriter
{
    public static void Csv(TextWriter to, MotionLog log)
    {
        ArgumentNullException.ThrowIfNull(to);
        ArgumentNullException.ThrowIfNull(log);
        bool gyro = log.RotationX is not null && log.RotationY is not null && log.RotationZ is not null;
        string acceleration = log.HasGravity ? "acceleration" : "linear acceleration";
        to.Write($"time_s,{acceleration} x (m/s2),{acceleration} y (m/s2),{acceleration} z (m/s2)");
        to.Write(gyro ? ",rotation x (rad/s),rotation y (rad/s),rotation z (rad/s)\n" : "\n");
        for (int i = 0; i < log.Count; i++)
        {
            to.Write(string.Create(CultureInfo.InvariantCulture, $"{log.Seconds[i]:0.######},{log.AccelerationX[i]:0.######},{log.AccelerationY[i]:0.######},{log.AccelerationZ[i]:0.######}"));
            to.Write(gyro ? string.Create(CultureInfo.InvariantCulture, $",{log.RotationX![i]:0.######},{log.RotationY![i]:0.######},{log.RotationZ![i]:0.######}\n") : "\n");
        }
    }
}

/// <summary>A result sheet as CSV: a row a crew, a column a mark, seconds.</summary>
public static class ResultWriter
{
    public static void Csv(TextWriter to, ResultSheet sheet)
    {
        ArgumentNullException.ThrowIfNull(to);
        ArgumentNullException.ThrowIfNull(sheet);
        var marks = sheet.Rows.SelectMany(r => r.Times).Select(t => t.Mark.Metres).Distinct().Order().ToList();
        to.Write("place,lane,crew" + string.Concat(marks.Select(m => string.Create(CultureInfo.InvariantCulture, $",{m:0.##}m"))) + ",verdict\n");
        foreach (var r in sheet.Rows)
        {
            to.Write(string.Create(CultureInfo.InvariantCulture, $"{r.Place},{r.Lane},{CsvText.Quote(r.Crew)}"));
            foreach (double m in marks)
            {
                var t = r.Times.Where(t => t.Mark.Metres == m).Select(t => (double?)t.Time.Seconds).FirstOrDefault();
                to.Write(string.Create(CultureInfo.InvariantCulture, $",{t:0.###}"));
            }

            to.Write($",{CsvText.Quote(r.Verdict ?? "")}\n");
        }
    }
}
