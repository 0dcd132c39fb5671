using System.Globalization;
using System.Text;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;

namespace Stakeboat.Readers.Captions;

/// <summary>The text of a cue: tags taken off, character references resolved, times inside the text turned into words.</summary>
public static class CueText
{
    /// <summary>Makes a cue of raw text.</summary>
    /// <param name="raw">Lines of the cue, joined by a line feed.</param>
    /// <param name="bracesToo">Also takes off "{\an8}", which SubRip files have.</param>
    public static CaptionCue Cue(double start, double end, string raw, bool bracesToo = false)
    {
        ArgumentNullException.ThrowIfNull(raw);
        var text = new StringBuilder(raw.Length);
        string? voice = null;
        List<(int At, double Time)>? times = null;
        for (int i = 0; i < raw.Length; i++)
        {
            char c = raw[i];
            if (c == '<' && raw.IndexOf('>', i + 1) is int close and > 0 && IsTag(raw.AsSpan(i + 1, close - i - 1)))
            {
                var tag = raw.AsSpan(i + 1, close - i - 1);
                if (CueTime.TryRead(tag, out double t, out int used) && used == tag.Length)
                {
                    (times ??= []).Add((text.Length, t));
                }
                else if (voice is null && tag.Length > 1 && tag[0] is 'v' && (tag[1] is '.' || char.IsWhiteSpace(tag[1])))
                {
                    int space = tag.IndexOfAny(' ', '\t', '\n');
                    voice = space >= 0 ? Resolve(tag[(space + 1)..].Trim().ToString()) : null;
                }

                i = close;
            }
            else if (bracesToo && c == '{' && i + 1 < raw.Length && raw[i + 1] == '\\' && raw.IndexOf('}', i) is int brace and > 0)
            {
                i = brace;
            }
            else if (bracesToo && c == '\\' && i + 1 < raw.Length && raw[i + 1] == 'N')
            {
                text.Append('\n'); // a line break in the manner of another subtitle format
                i++;
            }
            else if (c == '&' && Reference(raw.AsSpan(i), out string? meant, out int length))
            {
                text.Append(meant);
                i += length - 1;
            }
            else
            {
                text.Append(c == '\0' ? '\uFFFD' : c);
            }
        }

        string all = text.ToString();
        var words = times is null ? [] : Words(all, start, end, times);
        return new CaptionCue(At(start), At(end), Squeeze(all), words, string.IsNullOrEmpty(voice) ? null : voice);
    }

    /// <summary>White space of any kind becomes one space.</summary>
    public static string Squeeze(string s)
    {
        ArgumentNullException.ThrowIfNull(s);
        var b = new StringBuilder(s.Length);
        foreach (char c in s)
        {
            if (!char.IsWhiteSpace(c) && c is not ('\u200E' or '\u200F' or '\uFEFF'))
            {
                b.Append(c);
            }
            else if (b.Length > 0 && b[^1] != ' ')
            {
                b.Append(' ');
            }
        }

        return b.ToString().TrimEnd(' ');
    }

    private static Instant<RecordingClock> At(double seconds) => Instant<RecordingClock>.FromSeconds(seconds);

    private static List<CaptionWord> Words(string text, double start, double end, List<(int At, double Time)> times)
    {
        var words = new List<CaptionWord>();
        int from = 0;
        double t = start;
        for (int k = 0; k <= times.Count; k++)
        {
            int to = k < times.Count ? times[k].At : text.Length;
            double next = k < times.Count ? Math.Clamp(times[k].Time, t, Math.Max(t, end)) : Math.Max(t, end);
            string[] parts = text[from..to].Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
            for (int i = 0; i < parts.Length; i++)
            {
                words.Add(new CaptionWord(parts[i], At(t + ((next - t) * i / parts.Length)), At(t + ((next - t) * (i + 1) / parts.Length))));
            }

            from = to;
            t = next;
        }

        return words;
    }

    // "<" is text where no tag can follow ("3 < 4").
    private static bool IsTag(ReadOnlySpan<char> inside) =>
        inside.Length == 0 || inside[0] == '/' || char.IsAsciiLetter(inside[0]) || (char.IsAsciiDigit(inside[0]) && CueTime.TryRead(inside, out _, out int used) && used == inside.Length);

    private static string Resolve(string s)
    {
        if (!s.Contains('&'))
        {
            return s;
        }

        var b = new StringBuilder();
        for (int i = 0; i < s.Length; i++)
        {
            if (s[i] == '&' && Reference(s.AsSpan(i), out string? meant, out int length))
            {
                b.Append(meant);
                i += length - 1;
            }
            else
            {
                b.Append(s[i]);
            }
        }

        return b.ToString();
    }

    private static bool Reference(ReadOnlySpan<char> s, out string? meant, out int length)
    {
        meant = null;
        length = 0;
        int semicolon = s[..Math.Min(s.Length, 12)].IndexOf(';');
        if (semicolon < 2)
        {
            return false;
        }

        length = semicolon + 1;
        var name = s[1..semicolon];
        if (name[0] == '#')
        {
            bool hex = name.Length > 2 && name[1] is 'x' or 'X';
            var style = hex ? NumberStyles.AllowHexSpecifier : NumberStyles.None;
            if (!int.TryParse(name[(hex ? 2 : 1)..], style, CultureInfo.InvariantCulture, out int code) || !Rune.IsValid(code))
            {
                return false;
            }

            meant = code == 0 ? "\uFFFD" : new Rune(code).ToString();
            return true;
        }

        meant = name switch
        {
            "amp" => "&",
            "lt" => "<",
            "gt" => ">",
            "nbsp" => " ",
            "quot" => "\"",
            "apos" => "'",
            "lrm" or "rlm" => "",
            _ => null,
        };
        return meant is not null;
    }
}
