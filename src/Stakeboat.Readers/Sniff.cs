using System.Text;
using Stakeboat.Readers.Captions;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers;

/// <summary>Tells what a file is from its first bytes. The name is never asked.</summary>
internal static class Sniff
{
    /// <summary>Bytes that are looked at.</summary>
    public const int Bytes = 1 << 14;

    public static FileKind Kind(ReadOnlySpan<byte> head, out string foreign)
    {
        foreign = "";
        if (head.Length == 0)
        {
            return FileKind.Empty;
        }

        var magic = Magic(head, out foreign);
        if (magic != FileKind.Unknown)
        {
            return magic;
        }

        var silent = new IssueLog("");
        string text = TextInput.Decode(head, silent).TrimStart('\uFEFF', ' ', '\t', '\r', '\n');
        if (text.Length == 0)
        {
            return FileKind.Empty;
        }

        if (text[0] == '<')
        {
            return Xml(text, out foreign);
        }

        if (text[0] is '{' or '[' && !TimedTextReader.TryStamp(FirstLine(text), out _, out _))
        {
            return Json(text);
        }

        if (text.StartsWith("WEBVTT", StringComparison.Ordinal))
        {
            return FileKind.WebVtt;
        }

        return Lines(text, head);
    }

    private static FileKind Magic(ReadOnlySpan<byte> h, out string foreign)
    {
        foreign = "";
        if (h.StartsWith("RIFF"u8) || h.StartsWith("RF64"u8) || h.StartsWith("RIFX"u8))
        {
            if (h.Length >= 12 && !h.Slice(8, 4).SequenceEqual("WAVE"u8))
            {
                foreign = h.Slice(8, 4).SequenceEqual("WEBP"u8) ? "a picture (WebP)" : "a film or picture in a RIFF container";
                return FileKind.Foreign;
            }

            return FileKind.Wav;
        }

        if (h.StartsWith("fLaC"u8))
        {
            return FileKind.Flac;
        }

        if (h.StartsWith("OggS"u8))
        {
            return h[..Math.Min(h.Length, 256)].IndexOf("OpusHead"u8) >= 0 ? FileKind.OggOpus : FileKind.OggVorbis;
        }

        if (h.StartsWith("ID3"u8) || (h.Length > 3 && h[0] == 0xFF && (h[1] & 0xE0) == 0xE0 && (h[1] & 0x18) != 0x08 && (h[1] & 0x06) == 0x02 && (h[2] & 0xF0) is not (0xF0 or 0)
            && (h[2] & 0x0C) != 0x0C))
        {
            return FileKind.Mp3;
        }

        if (h.Length >= 12 && h.Slice(4, 4).SequenceEqual("ftyp"u8))
        {
            if (h.Slice(8, 4).SequenceEqual("heic"u8) || h.Slice(8, 4).SequenceEqual("mif1"u8) || h.Slice(8, 4).SequenceEqual("avif"u8))
            {
                foreign = "a picture (HEIF)";
                return FileKind.Foreign;
            }

            return FileKind.M4a;
        }

        if (h.Length >= 12 && h.Slice(8, 4).SequenceEqual(".FIT"u8) && h[0] is >= 12 and < 64)
        {
            return FileKind.Fit;
        }

        if (h.StartsWith("PK\u0003\u0004"u8) || h.StartsWith("PK\u0005\u0006"u8))
        {
            return FileKind.Zip;
        }

        foreign = h.StartsWith((ReadOnlySpan<byte>)[0x89, (byte)'P', (byte)'N', (byte)'G']) ? "a picture (PNG)"
            : h.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8, 0xFF]) ? "a picture (JPEG)"
            : h.StartsWith("GIF8"u8) ? "a picture (GIF)"
            : h.StartsWith("BM"u8) && h.Length > 14 && h[6..10].IndexOfAnyExcept((byte)0) < 0 ? "a picture (BMP)"
            : h.StartsWith("%PDF"u8) ? "a PDF"
            : h.StartsWith((ReadOnlySpan<byte>)[0x1F, 0x8B]) ? "a gzip archive"
            : h.StartsWith("7z"u8) && h.Length > 4 && h[2] == 0xBC ? "a 7-Zip archive"
            : h.StartsWith("Rar!"u8) ? "a RAR archive"
            : h.StartsWith("SQLite format 3"u8) ? "a database"
            : h.StartsWith("\u007fELF"u8) || h.StartsWith("MZ"u8) ? "a program"
            : "";
        return foreign.Length > 0 ? FileKind.Foreign : FileKind.Unknown;
    }

    private static FileKind Xml(string text, out string foreign)
    {
        foreign = "";
        string h = text.Length > 8192 ? text[..8192] : text;
        if (h.Contains("<gpx", StringComparison.OrdinalIgnoreCase))
        {
            return FileKind.Gpx;
        }

        if (h.Contains("TrainingCenterDatabase", StringComparison.Ordinal))
        {
            return FileKind.Tcx;
        }

        if (h.Contains(":gpx ", StringComparison.Ordinal) || h.Contains(":gpx>", StringComparison.Ordinal))
        {
            return FileKind.Gpx;
        }

        foreign = h.Contains("<html", StringComparison.OrdinalIgnoreCase) || h.Contains("<!doctype html", StringComparison.OrdinalIgnoreCase) ? "a web page"
            : h.Contains("<svg", StringComparison.OrdinalIgnoreCase) ? "a drawing (SVG)" : h.Contains("<kml", StringComparison.OrdinalIgnoreCase) ? "a KML file" : "";
        return foreign.Length > 0 ? FileKind.Foreign : TimedTextReader.TryStamp(FirstLine(text), out _, out _) ? FileKind.TimedText : FileKind.Unknown;
    }

    // By the names that occur; the reader itself looks again.
    private static FileKind Json(string t)
    {
        bool Has(string name) => HasName(t, name);
        if (t.Contains("\"FeatureCollection\"", StringComparison.Ordinal) || t.Contains("\"Feature\"", StringComparison.Ordinal) || (Has("coordinates") && Has("type")))
        {
            return FileKind.GeoJson;
        }

        string first = FirstLine(t).ToString();
        if ((Has("t") && Has("type") && first.StartsWith('{') && first.Contains("\"type\"", StringComparison.Ordinal))
            || (Has("heard") && Has("calls")) || (Has("finishAt") && Has("own")) || (Has("own") && Has("rivals") && Has("unit")))
        {
            return FileKind.Labels;
        }

        if (Has("rows") || (Has("results") && Has("crew") && !Has("word") && !Has("alternatives")))
        {
            return FileKind.ResultSheet;
        }

        if (Has("us") || Has("crewWords") || Has("laneWidth") || (Has("boat") && (Has("lanes") || Has("geometry") || Has("distance"))))
        {
            return FileKind.RaceSheet;
        }

        bool words = Has("word") || Has("words") || Has("Words") || Has("segments") || Has("segs") || Has("transcription") || Has("tokens") || Has("chunks") || Has("items")
            || Has("content") || Has("value") || Has("elements") || Has("alternatives") || Has("nBest");
        bool times = Has("start") || Has("start_time") || Has("startTime") || Has("from") || Has("Offset") || Has("offsets") || Has("begin") || Has("tStartMs") || Has("timestamp")
            || Has("ts") || Has("start_ms") || Has("startMs") || Has("timestamps") || Has("offsetInTicks") || (Has("offset") && Has("duration"));
        return words && times ? FileKind.WordJson : times && Has("text") ? FileKind.WordJson : FileKind.Unknown;
    }

    // A name and not a value: a colon follows.
    private static bool HasName(string t, string name)
    {
        string quoted = "\"" + name + "\"";
        for (int at = t.IndexOf(quoted, StringComparison.Ordinal); at >= 0; at = t.IndexOf(quoted, at + quoted.Length, StringComparison.Ordinal))
        {
            if (t.AsSpan(at + quoted.Length).TrimStart().StartsWith(":"))
            {
                return true;
            }
        }

        return false;
    }

    private static FileKind Lines(string text, ReadOnlySpan<byte> head)
    {
        int arrows = 0, stamps = 0, sentences = 0, seen = 0;
        var walk = new LineWalk(text);
        while (walk.Next() && seen < 400)
        {
            var line = walk.Current.Trim();
            if (line.Length == 0)
            {
                continue;
            }

            seen++;
            if (line.Contains("->", StringComparison.Ordinal) && CueTime.TryReadSpan(line, out _, out _, out _))
            {
                arrows++;
            }
            else if (IsSentence(line))
            {
                sentences++;
            }
            else if (TimedTextReader.TryStamp(line, out _, out _))
            {
                stamps++;
            }
        }

        if (arrows > 0)
        {
            return FileKind.SubRip;
        }

        if (sentences > 0 && sentences * 2 >= seen)
        {
            return FileKind.Nmea;
        }

        if ((stamps > 0 && stamps * 4 >= seen && !LooksLikeResults(text)) || TimedTextReader.LooksTrailing(text))
        {
            return FileKind.TimedText;
        }

        if (Motion.LogGuess.From(Encoding.UTF8.GetBytes(text), null) is { } guess && guess.Roles.Count(r => r != Motion.ColumnRole.None) >= 3)
        {
            return FileKind.NumberLog;
        }

        return sentences > 0 ? FileKind.Nmea : LooksLikeResults(text) ? FileKind.ResultText : FileKind.Unknown;
    }

    // "$GPRMC,...", also behind something that a logger put before it.
    private static bool IsSentence(ReadOnlySpan<char> line)
    {
        int at = line[..Math.Min(line.Length, 64)].IndexOfAny('$', '!');
        return at >= 0 && line.Length > at + 6 && char.IsAsciiLetterUpper(line[at + 1]) && char.IsAsciiLetterUpper(line[at + 2]) && line[(at + 3)..].Contains(',');
    }

    private static bool LooksLikeResults(string text) => Sheets.ResultTextReader.Looks(text);

    private static ReadOnlySpan<char> FirstLine(string text)
    {
        int end = text.AsSpan().IndexOfAny('\r', '\n');
        return end < 0 ? text : text.AsSpan(0, end);
    }
}
