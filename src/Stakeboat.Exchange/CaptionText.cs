using System.Globalization;
using System.Text;
using System.Text.Json;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Exchange;

/// <summary>Captions as files: WebVTT for players, word JSON with times and probabilities.</summary>
public static class CaptionText
{
    public static string WebVtt(CaptionTrack track)
    {
        ArgumentNullException.ThrowIfNull(track);
        var text = new StringBuilder("WEBVTT\n\n");
        foreach (var cue in track.Cues)
        {
            text.Append(Time(cue.Start.Seconds)).Append(" --> ").Append(Time(cue.End.Seconds)).Append('\n').Append(Escape(cue.Text)).Append("\n\n");
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

    private static string Escape(string s) =>
        s.Replace("&", "&amp;", StringComparison.Ordinal).Replace("<", "&lt;", StringComparison.Ordinal).Replace(">", "&gt;", StringComparison.Ordinal);

    private static string Time(double seconds)
    {
        long ms = (long)Math.Round(Math.Max(0, seconds) * 1000);
        return string.Create(CultureInfo.InvariantCulture, $"{ms / 3600000:00}:{ms / 60000 % 60:00}:{ms / 1000 % 60:00}.{ms % 1000:000}");
    }
}
