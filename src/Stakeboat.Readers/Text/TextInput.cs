using System.Text;
using System.Text.Unicode;

namespace Stakeboat.Readers.Text;

/// <summary>Whole small text files, in whatever encoding phones and old programs write.</summary>
public static class TextInput
{
    /// <summary>Largest file that is read whole, bytes. An hour of captions has about 60 kB.</summary>
    public const int Cap = 64 << 20;

    // What Windows code page 1252 has where Latin-1 has control characters (Unicode's mapping table CP1252.TXT); holes keep the control.
    private const string Windows1252 = "\u20AC\u0081\u201A\u0192\u201E\u2026\u2020\u2021\u02C6\u2030\u0160\u2039\u0152\u008D\u017D\u008F"
        + "\u0090\u2018\u2019\u201C\u201D\u2022\u2013\u2014\u02DC\u2122\u0161\u203A\u0153\u009D\u017E\u0178";

    /// <summary>Bytes of a stream up to <paramref name="cap"/>; more is left and said.</summary>
    public static byte[] Bytes(Stream stream, IssueLog log, int cap = Cap)
    {
        ArgumentNullException.ThrowIfNull(stream);
        ArgumentNullException.ThrowIfNull(log);
        using var kept = new MemoryStream();
        var buffer = new byte[1 << 14];
        int n;
        while ((n = stream.Read(buffer, 0, (int)Math.Min(buffer.Length, cap - kept.Length + 1))) > 0)
        {
            kept.Write(buffer, 0, n);
            if (kept.Length > cap)
            {
                kept.SetLength(cap);
                log.Error(IssueLog.Byte(cap), "The file is larger than such a file can sensibly be.", "What follows was not read. Split the file.");
                break;
            }
        }

        return kept.ToArray();
    }

    /// <summary>Text of a stream: byte order marks, UTF-8, UTF-16 without a mark, else Windows-1252.</summary>
    public static string Read(Stream stream, IssueLog log, int cap = Cap) => Decode(Bytes(stream, log, cap), log);

    public static string Decode(ReadOnlySpan<byte> bytes, IssueLog log)
    {
        ArgumentNullException.ThrowIfNull(log);
        if (bytes.StartsWith((ReadOnlySpan<byte>)[0xEF, 0xBB, 0xBF]))
        {
            bytes = bytes[3..];
        }
        else if (bytes.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xFE]))
        {
            return Encoding.Unicode.GetString(bytes[2..]);
        }
        else if (bytes.StartsWith((ReadOnlySpan<byte>)[0xFE, 0xFF]))
        {
            return Encoding.BigEndianUnicode.GetString(bytes[2..]);
        }
        else if (LooksLikeUtf16(bytes, 1))
        {
            log.Note("", "The text is in UTF-16 without a mark that says so.", "It was read as UTF-16, low byte first.");
            return Encoding.Unicode.GetString(bytes);
        }
        else if (LooksLikeUtf16(bytes, 0))
        {
            log.Note("", "The text is in UTF-16 without a mark that says so.", "It was read as UTF-16, high byte first.");
            return Encoding.BigEndianUnicode.GetString(bytes);
        }

        if (Utf8.IsValid(bytes))
        {
            return Encoding.UTF8.GetString(bytes);
        }

        // A file that is cut in the middle of a letter is still UTF-8.
        int cut = bytes.Length;
        while (cut > 0 && bytes.Length - cut < 3 && (bytes[cut - 1] & 0xC0) == 0x80)
        {
            cut--;
        }

        if (cut > 0 && bytes[cut - 1] >= 0xC2 && Utf8.IsValid(bytes[..(cut - 1)]) && (cut > 1 && bytes[..(cut - 1)].IndexOfAnyExceptInRange((byte)0, (byte)127) >= 0))
        {
            log.Warn(IssueLog.Byte(cut - 1), "The last letter is cut off.", "It was left out.");
            return Encoding.UTF8.GetString(bytes[..(cut - 1)]);
        }

        log.Note("", "The text is not UTF-8.", "It was read as Windows-1252; look at the accents.");
        return string.Create(bytes.Length, bytes, static (chars, from) =>
        {
            for (int i = 0; i < chars.Length; i++)
            {
                byte b = from[i];
                chars[i] = b is >= 0x80 and < 0xA0 ? Windows1252[b - 0x80] : (char)b;
            }
        });
    }

    /// <summary>True where the bytes are UTF-16, with a mark that says so or by their look.</summary>
    public static bool IsUtf16(ReadOnlySpan<byte> bytes) =>
        bytes.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xFE]) || bytes.StartsWith((ReadOnlySpan<byte>)[0xFE, 0xFF]) || LooksLikeUtf16(bytes, 1) || LooksLikeUtf16(bytes, 0);

    private static bool LooksLikeUtf16(ReadOnlySpan<byte> bytes, int zeroAt)
    {
        int n = Math.Min(bytes.Length & ~1, 256);
        if (n < 16)
        {
            return false;
        }

        int zeros = 0, others = 0;
        for (int i = 0; i < n; i += 2)
        {
            zeros += bytes[i + zeroAt] == 0 ? 1 : 0;
            others += bytes[i + 1 - zeroAt] == 0 ? 1 : 0;
        }

        return zeros > n * 2 / 5 && others == 0;
    }
}
