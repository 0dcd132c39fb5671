using System.Text;

namespace Stakeboat.Readers.Fuzz;

/// <summary>Changes that know lines, fields, numbers, tags and brackets.</summary>
public static class TextBending
{
    private static readonly byte[][] s_numbers = [.. new[]
    {
        "0", "-0", "1", "-1", "59", "60", "61", "90", "91", "180", "-180.0000001", "99999999999999999999", "1e400", "-1e-400", "NaN", "Infinity", "0x10", "1,5", "1.2.3", "",
        "4294967295", "9223372036854775808", ".5", "5.", "1e15", "253402300799", "0000000000000000000000001", "1_000", "+7", "\u0663", "123456789012345678",
    }.Select(Encoding.UTF8.GetBytes)];

    private static readonly byte[][] s_words = [.. new[]
    {
        "\n", "\r\n", "\r", "\n\n", "\t", " ", ",", ";", "|", "\"", "'", "<", ">", "&", "&#0;", "&#xD800;", "&lt;", "-->", "->", "[", "]", "{", "}", ":", "\0", "\uFEFF", "\uFFFD", "\u200F",
        "<!--", "-->", "<![CDATA[", "]]>", "<?x ?>", "<!DOCTYPE a>", "</", "/>", "NOTE", "STYLE", "REGION", "WEBVTT", "null", "true", "\\u0000", "\\ud800", "$GPRMC", "$GPGGA", "*00", "00:00:01.000 --> 00:00:02.000",
        "[1:02]", "(0:03)", "<v A>", "<00:01.000>", "{\\an8}", "time", "lat", "lon", "ax", "500m", "Crew", "canvas", "half a length", "1/0 l", "\u00BD", "2026-04-04T10:00:00Z", "1969-12-31T23:59:59+23:59",
        "\"start\":", "\"words\":[", "\"coordinates\":", "\"type\":\"Point\"", "=1+1",
    }.Select(Encoding.UTF8.GetBytes)];

    public static byte[] Bend(byte[] x, byte[] other, Dice d)
    {
        if (x.Length < 2)
        {
            return d.Of(s_words);
        }

        switch (d.Below(10))
        {
            case 0 or 1:
                return Number(x, d);
            case 2:
                return ByteBending.Splice(x, d.Below(x.Length), 0, d.Of(s_words));
            case 3:
                return Between(x, d, (byte)'\n', other);
            case 4:
                return Between(x, d, d.Of((byte[])[(byte)',', (byte)';', (byte)'\t', (byte)' ', (byte)':']), other);
            case 5:
                return Bracketed(x, d, (byte)'<', (byte)'>');
            case 6:
                return d.OneIn(2) ? Bracketed(x, d, (byte)'{', (byte)'}') : Bracketed(x, d, (byte)'[', (byte)']');
            case 7:
                return Swap(x, d);
            case 8:
                return Nest(x, d);
            default:
                return Element(x, d);
        }
    }

    // Another number for one that stands there.
    private static byte[] Number(byte[] x, Dice d)
    {
        int start = d.Below(x.Length), at = x.AsSpan(start).IndexOfAnyInRange((byte)'0', (byte)'9');
        at = at < 0 ? x.AsSpan().IndexOfAnyInRange((byte)'0', (byte)'9') : at + start;
        if (at < 0)
        {
            return ByteBending.Splice(x, d.Below(x.Length), 0, d.Of(s_numbers));
        }

        int end = at;
        while (end < x.Length && (x[end] is >= (byte)'0' and <= (byte)'9' or (byte)'.'))
        {
            end++;
        }

        return ByteBending.Splice(x, at, end - at, d.Of(s_numbers));
    }

    // A line or field dropped, doubled, or put in place of another.
    private static byte[] Between(byte[] x, Dice d, byte mark, byte[] other)
    {
        var (from, to) = Field(x, d, mark);
        var piece = x.AsSpan(from, to - from);
        switch (d.Below(4))
        {
            case 0:
                return ByteBending.Splice(x, from, Math.Min(x.Length, to + 1) - from, []);
            case 1:
                return ByteBending.Splice(x, from, 0, [.. piece, mark]);
            case 2:
                var (f, t) = Field(x, d, mark);
                return ByteBending.Splice(x, f, t - f, piece);
            default:
                var (of, ot) = Field(other, d, mark);
                return ByteBending.Splice(x, from, to - from, other.AsSpan(of, ot - of));
        }
    }

    private static (int From, int To) Field(byte[] x, Dice d, byte mark)
    {
        int at = d.Below(x.Length);
        int from = x.AsSpan(0, at).LastIndexOf(mark) + 1;
        int to = x.AsSpan(at).IndexOf(mark);
        return (from, to < 0 ? x.Length : at + to);
    }

    // What stands in brackets, dropped, doubled or emptied.
    private static byte[] Bracketed(byte[] x, Dice d, byte open, byte close)
    {
        int at = x.AsSpan(0, d.Below(x.Length) + 1).LastIndexOf(open);
        if (at < 0)
        {
            return ByteBending.Splice(x, d.Below(x.Length), 0, d.OneIn(2) ? [open] : [close]);
        }

        int end = at, depth = 0;
        for (; end < x.Length; end++)
        {
            depth += x[end] == open ? 1 : x[end] == close ? -1 : 0;
            if (depth == 0)
            {
                end++;
                break;
            }
        }

        var piece = x.AsSpan(at, end - at);
        return d.Below(4) switch
        {
            0 => ByteBending.Splice(x, at, end - at, []),
            1 => ByteBending.Splice(x, at, 0, open == '<' ? piece : [.. piece, (byte)',']),
            2 => ByteBending.Splice(x, at, end - at, [open, close]),
            _ => ByteBending.Splice(x, at, end - at, d.Of(s_numbers)),
        };
    }

    // A whole element with what is in it, doubled or dropped.
    private static byte[] Element(byte[] x, Dice d)
    {
        int start = d.Below(x.Length), close = x.AsSpan(start).IndexOf("</"u8);
        int end = close < 0 ? -1 : x.AsSpan(start + close).IndexOf((byte)'>');
        if (end < 0)
        {
            return ByteBending.Bend(x, x, d);
        }

        close += start;
        end += close + 1;
        byte[] opening = [(byte)'<', .. x.AsSpan(close + 2, end - close - 3)];
        int at = x.AsSpan(0, close).LastIndexOf(opening);
        if (at < 0)
        {
            return x;
        }

        return d.OneIn(2) ? ByteBending.Splice(x, at, end - at, []) : ByteBending.Splice(x, at, 0, x.AsSpan(at, end - at));
    }

    private static byte[] Swap(byte[] x, Dice d)
    {
        var (a, b) = Field(x, d, (byte)'\n');
        var (c, e) = Field(x, d, (byte)'\n');
        if (c < a)
        {
            (a, b, c, e) = (c, e, a, b);
        }

        return b > c ? x : [.. x.AsSpan(0, a), .. x.AsSpan(c, e - c), .. x.AsSpan(b, c - b), .. x.AsSpan(a, b - a), .. x.AsSpan(e)];
    }

    private static byte[] Nest(byte[] x, Dice d)
    {
        int n = 1 << d.Below(8);
        byte[] open = d.Below(4) switch { 0 => "<a>"u8.ToArray(), 1 => "["u8.ToArray(), 2 => "{\"a\":"u8.ToArray(), _ => "<extensions>"u8.ToArray() };
        var many = new byte[n * open.Length];
        for (int i = 0; i < n; i++)
        {
            open.CopyTo(many, i * open.Length);
        }

        return ByteBending.Splice(x, d.Below(x.Length), 0, many);
    }
}
