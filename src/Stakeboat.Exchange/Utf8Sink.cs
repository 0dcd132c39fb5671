using System.Buffers;
using System.Buffers.Text;
using System.Text;

namespace Stakeboat.Exchange;

/// <summary>
/// Text that is written as UTF-8 at the speed of the disk: numbers and times go straight into a buffer of bytes, no strings are made. Lines end with a line
/// feed, the decimal mark is a full stop, whatever the machine's culture.
/// </summary>
internal sealed class Utf8Sink(Stream to) : IDisposable
{
    private static readonly double[] s_ten = [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9];
    private readonly byte[] _buffer = ArrayPool<byte>.Shared.Rent(1 << 16);
    private int _at;
    private long _day = long.MinValue;
    private readonly byte[] _date = new byte[10];

    public void Raw(ReadOnlySpan<byte> utf8)
    {
        if (utf8.Length > _buffer.Length - _at)
        {
            Flush();
            if (utf8.Length > _buffer.Length)
            {
                to.Write(utf8);
                return;
            }
        }

        utf8.CopyTo(_buffer.AsSpan(_at));
        _at += utf8.Length;
    }

    public void Byte(byte b)
    {
        if (_at == _buffer.Length)
        {
            Flush();
        }

        _buffer[_at++] = b;
    }

    public void Text(ReadOnlySpan<char> text)
    {
        while (text.Length > 0)
        {
            if (_buffer.Length - _at < 16)
            {
                Flush();
            }

            Utf8(text, out int read, out int written);
            text = text[read..];
            _at += written;
            if (read == 0)
            {
                Flush();
            }
        }
    }

    /// <summary>Text within XML: marks escaped; what XML 1.0 does not allow is left out.</summary>
    public void Xml(string text)
    {
        foreach (Rune r in text.EnumerateRunes())
        {
            switch (r.Value)
            {
                case '&':
                    Raw("&amp;"u8);
                    break;
                case '<':
                    Raw("&lt;"u8);
                    break;
                case '>':
                    Raw("&gt;"u8);
                    break;
                case '"':
                    Raw("&quot;"u8);
                    break;
                case < ' ' or 0xFFFE or 0xFFFF:
                    break;
                default:
                    if (_buffer.Length - _at < 4)
                    {
                        Flush();
                    }

                    _at += r.EncodeToUtf8(_buffer.AsSpan(_at));
                    break;
            }
        }
    }

    public void Whole(long n)
    {
        Room(24);
        Utf8Formatter.TryFormat(n, _buffer.AsSpan(_at), out int written);
        _at += written;
    }

    /// <summary>A number rounded to at most so many decimals (up to nine), without trailing zeros.</summary>
    public void Number(double v, int decimals)
    {
        Room(40);
        double scaled = Math.Round(v * s_ten[decimals]);
        if (!(Math.Abs(scaled) < 9e15))
        {
            Utf8Formatter.TryFormat(v, _buffer.AsSpan(_at), out int w, 'R');
            _at += w;
            return;
        }

        long n = (long)scaled;
        if (n < 0)
        {
            _buffer[_at++] = (byte)'-';
            n = -n;
        }

        long ten = (long)s_ten[decimals], whole = n / ten, part = n % ten;
        Utf8Formatter.TryFormat(whole, _buffer.AsSpan(_at), out int written);
        _at += written;
        if (part == 0)
        {
            return;
        }

        int places = decimals;
        while (part % 10 == 0)
        {
            part /= 10;
            places--;
        }

        _buffer[_at++] = (byte)'.';
        for (int i = places - 1; i >= 0; i--)
        {
            _buffer[_at + i] = (byte)('0' + (part % 10));
            part /= 10;
        }

        _at += places;
    }

    /// <summary>Whether a time can be written as a date: from the year 1 to 9999.</summary>
    public static bool IsDate(double unix) => unix is >= -62135596800 and < 253402300799;

    /// <summary>"2026-04-04T10:00:00.25Z", to the microsecond. Seconds since 1970 within <see cref="IsDate"/>.</summary>
    public void Iso(double unix)
    {
        Room(32);
        long micro = (long)Math.Round(unix * 1e6);
        long day = Math.DivRem(micro, 86_400_000_000, out long rest);
        if (rest < 0)
        {
            (day, rest) = (day - 1, rest + 86_400_000_000);
        }

        if (day != _day)
        {
            var date = DateTime.UnixEpoch.AddDays(day);
            _day = day;
            Two(_date, 0, date.Year / 100);
            Two(_date, 2, date.Year % 100);
            _date[4] = _date[7] = (byte)'-';
            Two(_date, 5, date.Month);
            Two(_date, 8, date.Day);
        }

        _date.CopyTo(_buffer, _at);
        int seconds = (int)(rest / 1_000_000), part = (int)(rest % 1_000_000);
        _buffer[_at + 10] = (byte)'T';
        Two(_buffer, _at + 11, seconds / 3600);
        _buffer[_at + 13] = (byte)':';
        Two(_buffer, _at + 14, seconds / 60 % 60);
        _buffer[_at + 16] = (byte)':';
        Two(_buffer, _at + 17, seconds % 60);
        _at += 19;
        if (part > 0)
        {
            _buffer[_at++] = (byte)'.';
            int places = 6;
            while (part % 10 == 0)
            {
                part /= 10;
                places--;
            }

            for (int i = places - 1; i >= 0; i--)
            {
                _buffer[_at + i] = (byte)('0' + (part % 10));
                part /= 10;
            }

            _at += places;
        }

        _buffer[_at++] = (byte)'Z';
    }

    public void Dispose()
    {
        Flush();
        ArrayPool<byte>.Shared.Return(_buffer);
    }

    private void Utf8(ReadOnlySpan<char> text, out int read, out int written) =>
        System.Text.Unicode.Utf8.FromUtf16(text, _buffer.AsSpan(_at), out read, out written, replaceInvalidSequences: true, isFinalBlock: true);

    private static void Two(byte[] b, int at, int v)
    {
        b[at] = (byte)('0' + (v / 10));
        b[at + 1] = (byte)('0' + (v % 10));
    }

    private void Room(int n)
    {
        if (_buffer.Length - _at < n)
        {
            Flush();
        }
    }

    private void Flush()
    {
        to.Write(_buffer, 0, _at);
        _at = 0;
    }
}
