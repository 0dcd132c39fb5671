using System.Globalization;

namespace Stakeboat.Readers.Captions;

/// <summary>Times of caption files: hours optional, minutes beyond 59 accepted where a person wrote them, full stop or comma.</summary>
public static class CueTime
{
    /// <summary>Nothing that is said lasts longer than a year; a time beyond is a broken file, not a caption.</summary>
    public const double LargestSeconds = 366 * 86400.0;

    /// <summary>Reads "01:02:03.500", "02:03,5", "62:03" at the beginning of the text.</summary>
    /// <param name="used">Characters used.</param>
    public static bool TryRead(ReadOnlySpan<char> text, out double seconds, out int used)
    {
        seconds = 0;
        used = 0;
        double whole = 0;
        int fields = 0, at = 0;
        while (true)
        {
            int first = at;
            double field = 0;
            while (at < text.Length && char.IsAsciiDigit(text[at]))
            {
                field = (field * 10) + (text[at++] - '0');
            }

            if (at == first || at - first > 9 || (fields > 0 && (at - first > 2 || field >= 60)))
            {
                return false;
            }

            whole = (whole * 60) + field;
            fields++;
            if (fields < 3 && at + 1 < text.Length && text[at] == ':' && char.IsAsciiDigit(text[at + 1]))
            {
                at++;
                continue;
            }

            break;
        }

        if (fields < 2)
        {
            return false;
        }

        if (at + 1 < text.Length && text[at] is '.' or ',' && char.IsAsciiDigit(text[at + 1]))
        {
            double n = 0, place = 1;
            at++;
            for (int first = at; at < text.Length && char.IsAsciiDigit(text[at]); at++)
            {
                if (at - first < 9)
                {
                    n = (n * 10) + (text[at] - '0');
                    place *= 10;
                }
            }

            whole += n / place;
        }

        if (whole > LargestSeconds)
        {
            return false;
        }

        seconds = whole;
        used = at;
        return true;
    }

    /// <summary>Reads "t1 --> t2 rest"; spaces around the arrow are optional, as in files that people mended.</summary>
    public static bool TryReadSpan(ReadOnlySpan<char> line, out double start, out double end, out ReadOnlySpan<char> rest)
    {
        start = end = 0;
        rest = default;
        var s = line.TrimStart();
        if (!TryRead(s, out start, out int used))
        {
            return false;
        }

        s = s[used..].TrimStart();
        int arrow = s.StartsWith("-->", StringComparison.Ordinal) ? 3 : s.StartsWith("->", StringComparison.Ordinal) ? 2 : 0;
        if (arrow == 0)
        {
            return false;
        }

        s = s[arrow..].TrimStart();
        if (!TryRead(s, out end, out used))
        {
            return false;
        }

        rest = s[used..];
        return rest.Length == 0 || char.IsWhiteSpace(rest[0]);
    }

    /// <summary>Writes a time as WebVTT does: "hh:mm:ss.ttt".</summary>
    public static string Format(double seconds)
    {
        long ms = (long)Math.Round(seconds * 1000, MidpointRounding.AwayFromZero);
        return string.Create(CultureInfo.InvariantCulture, $"{ms / 3600000:00}:{ms / 60000 % 60:00}:{ms / 1000 % 60:00}.{ms % 1000:000}");
    }
}
