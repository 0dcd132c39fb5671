using System.Globalization;
using System.Text;
using System.Text.Json;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Exchange;

/// <summary>Captions as files: WebVTT for players, CSV for tables, word JSON with times and probabilities.</summary>
public static class CaptionText
{
    /// <summary>WebVTT: every cue, with its voice, and the times of its words where it has them.</summary>
    public static string WebVtt(CaptionTrack track)
    {
        ArgumentNullException.ThrowIfNull(track);
        var text = new StringBuilder("WEBVTT\n\n");
        foreach (var cue in track.Cues)
        {
            text.Append(Time(cue.Start.Seconds)).Append(" --> ").Append(Time(Math.Max(cue.Start.Seconds, cue.End.Seconds))).Append('\n');
            if (cue.Voice is { Length: > 0 } voice)
            {
                text.Append("<v ").Append(Escape(voice)).Append('>');
            }

            if (cue.Words.Count > 0)
            {
                Words(text, cue);
            }
            else
            {
                text.Append(Escape(cue.Text));
            }

            text.Append("\n\n");
        }

        return text.ToString();
    }

    /// <summary>CSV, a row a cue: seconds, voice and text.</summary>
    public static string Csv(CaptionTrack track)
    {
        ArgumentNullException.ThrowIfNull(track);
        var text = new StringBuilder("t,end,voice,text\n");
        foreach (var c in track.Cues)
        {
            text.Append(CultureInfo.InvariantCulture, $"{c.Start.Seconds:0.###},{c.End.Seconds:0.###},{CsvText.Field(c.Voice ?? "")},{CsvText.Field(c.Text)}\n");
        }

        return text.ToString();
    }

    public static string WordJson(CaptionTrack track)
    {
        ArgumentNullException.ThrowIfNull(track);
        using var stream = new MemoryStream();
        using (var json = new Utf8JsonWriter(stream, new JsonWriterOptions { Indented = true }))
        {
            json.WriteStartObject();
            json.WriteStartArray("segments");
            foreach (var cue in track.Cues)
            {
                json.WriteStartObject();
                json.WriteNumber("start", cue.Start.Seconds);
                json.WriteNumber("end", cue.End.Seconds);
                json.WriteString("text", cue.Text);
                json.WriteStartArray("words");
                foreach (var w in cue.Words)
                {
                    json.WriteStartObject();
                    json.WriteString("word", w.Text);
                    json.WriteNumber("start", w.Start.Seconds);
                    json.WriteNumber("end", w.End.Seconds);
                    if (w.Probability is { } p)
                    {
                        json.WriteNumber("probability", Math.Round(p, 4));
                    }

                    if (w.Alternatives is { Count: > 0 } others)
                    {
                        json.WriteStartArray("alternatives");
                        foreach (var other in others)
                        {
                            json.WriteStartObject();
                            json.WriteString("word", other.Text);
                            json.WriteNumber("probability", Math.Round(other.Probability, 4));
                            json.WriteEndObject();
                        }

                        json.WriteEndArray();
                    }

                    json.WriteEndObject();
                }

                json.WriteEndArray();
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteEndObject();
        }

        return Encoding.UTF8.GetString(stream.ToArray());
    }

    // A time within the text before each word that begins later than the one before it.
    private static void Words(StringBuilder text, CaptionCue cue)
    {
        double last = cue.Start.Seconds;
        bool first = true;
        foreach (var w in cue.Words)
        {
            text.Append(first ? "" : " ");
            first = false;
            double t = Math.Clamp(w.Start.Seconds, last, Math.Max(last, cue.End.Seconds));
            if (Time(t) != Time(last))
            {
                text.Append('<').Append(Time(t)).Append('>');
                last = t;
            }

            text.Append(Escape(w.Text));
        }
    }

    // "-->" would be read as a time line, a tag as a tag, and an empty line ends a cue.
    private static string Escape(string s) => s.Replace("&", "&amp;", StringComparison.Ordinal).Replace("<", "&lt;", StringComparison.Ordinal)
        .Replace(">", "&gt;", StringComparison.Ordinal).ReplaceLineEndings(" ");

    private static string Time(double seconds)
    {
        long ms = (long)Math.Round(Math.Max(0, seconds) * 1000, MidpointRounding.AwayFromZero);
        return string.Create(CultureInfo.InvariantCulture, $"{ms / 3600000:00}:{ms / 60000 % 60:00}:{ms / 1000 % 60:00}.{ms % 1000:000}");
    }
}
