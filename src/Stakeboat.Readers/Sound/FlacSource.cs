using System.Globalization;

namespace Stakeboat.Readers.Sound;

/// <summary>
/// FLAC after RFC 9639: all subframe kinds, all stereo arrangements, 4 to 32 bits, both checksums. A damaged frame is replaced by silence of its length
/// and said; decoding goes on at the next frame.
/// </summary>
internal sealed class FlacSource : SoundSource
{
    private readonly BitReader _bits;
    private readonly IssueLog _log;
    private readonly int _depth;
    private readonly int _largest;
    private long[][] _channels = [];
    private float[] _frame = [];
    private int _from;
    private int _have;
    private long _done;

    private FlacSource(BitReader bits, IssueLog log, int rate, int channels, int depth, int largest, long total)
    {
        (_bits, _log, _depth, _largest) = (bits, log, depth, largest);
        SampleRate = rate;
        Channels = channels;
        TotalFrames = total > 0 ? total : null;
        Codec = string.Create(CultureInfo.InvariantCulture, $"FLAC, {depth}-bit");
    }

    public override int SampleRate { get; }

    public override int Channels { get; }

    public override long? TotalFrames { get; }

    public override string Codec { get; }

    public static FlacSource? Open(Stream s, IssueLog log)
    {
        var bits = new BitReader(s);
        bits.Bits(32);
        FlacSource? source = null;
        bool last = false;
        while (!last && !bits.End)
        {
            last = bits.Bits(1) == 1;
            uint kind = bits.Bits(7), length = bits.Bits(24);
            if (kind == 0 && length >= 34 && source is null)
            {
                bits.Bits(16);
                int largest = (int)bits.Bits(16);
                bits.Bits(24);
                bits.Bits(24);
                int rate = (int)bits.Bits(20), channels = (int)bits.Bits(3) + 1, depth = (int)bits.Bits(5) + 1;
                long total = ((long)bits.Bits(4) << 32) | bits.Bits(32);
                for (int i = 0; i < 16 + length - 34 && !bits.End; i++)
                {
                    bits.Bits(8);
                }

                if (rate < 1000 || largest < 16 || depth < 4)
                {
                    break;
                }

                source = new FlacSource(bits, log, rate, channels, depth, largest, total);
                continue;
            }

            for (uint i = 0; i < length && !bits.End; i++)
            {
                bits.Bits(8);
            }
        }

        if (source is null || bits.End)
        {
            log.Error(IssueLog.Byte(bits.Position), "The head of the FLAC file is incomplete or makes no sense.", "Copy the recording again.");
            return null;
        }

        return source;
    }

    public override int Read(Span<float> interleaved)
    {
        if (_from == _have)
        {
            _from = 0;
            _have = Frame() * Channels;
            if (_have == 0)
            {
                if (TotalFrames is { } t && _done < t && _bits.End)
                {
                    _log.Warn(IssueLog.Byte(_bits.Position), "The FLAC file ends before the length that its head tells.", "What is there was read.");
                    _done = t;
                }

                return 0;
            }
        }

        int n = Math.Min(interleaved.Length - (interleaved.Length % Channels), _have - _from);
        _frame.AsSpan(_from, n).CopyTo(interleaved);
        _from += n;
        return n;
    }

    // Decodes the next frame into _frame; returns its frames, 0 at the end.
    private int Frame()
    {
        while (!_bits.End)
        {
            if (!Sync(out uint second))
            {
                return 0;
            }

            if (!Header(second, out int block, out int arrangement, out int depth))
            {
                _log.Warn(IssueLog.Byte(_bits.Position), "A FLAC frame's head is damaged.", "Decoding went on at the next frame; what follows may lie a tenth of a second early.");
                continue;
            }

            if (_frame.Length == 0)
            {
                _channels = [.. Enumerable.Range(0, Channels).Select(_ => new long[_largest])]; // not before there is a frame
                _frame = new float[_largest * Channels];
            }

            bool whole = Subframes(block, arrangement, depth);
            _bits.Align();
            ushort crc = _bits.Crc16;
            uint written = _bits.Bits(16);
            if (_bits.End && !whole)
            {
                return 0;
            }

            if (!whole || crc != written || !Put(block, arrangement, depth))
            {
                _log.Warn(IssueLog.Byte(_bits.Position), "A FLAC frame is damaged.", "It was replaced by silence.");
                Array.Clear(_frame, 0, block * Channels);
            }

            _done += block;
            return block;
        }

        return 0;
    }

    private bool Sync(out uint second)
    {
        second = 0;
        int previous = -1;
        bool first = true;
        while (!_bits.End)
        {
            // The checksums begin with the two bytes of the sync code.
            _bits.Crc16 = 0;
            _bits.Crc8 = 0;
            if (previous == 0xFF)
            {
                Feed(0xFF);
            }

            uint b = _bits.Bits(8);
            if (_bits.End)
            {
                return false;
            }

            if (previous == 0xFF && (b & 0xFE) == 0xF8)
            {
                second = b;
                return true;
            }

            if (previous >= 0 && first && previous != 0xFF)
            {
                first = false;
                _log.Warn(IssueLog.Byte(_bits.Position), "There are bytes between the FLAC frames that belong to none.", "They were passed over.");
            }

            previous = (int)b;
        }

        return false;
    }

    private void Feed(byte b)
    {
        // The checksum of one byte 0xFF from zero.
        _bits.Crc16 = 0x0202;
        _bits.Crc8 = 0xF3;
        _ = b;
    }

    private bool Header(uint second, out int block, out int arrangement, out int depth)
    {
        _ = second;
        int size = (int)_bits.Bits(4), rate = (int)_bits.Bits(4);
        arrangement = (int)_bits.Bits(4);
        int depthCode = (int)_bits.Bits(3);
        bool reserved = _bits.Bits(1) == 1;
        depth = depthCode switch { 0 => _depth, 1 => 8, 2 => 12, 4 => 16, 5 => 20, 6 => 24, 7 => 32, _ => 0 };
        block = 0;

        // Frame or sample number in the manner of UTF-8, up to seven bytes.
        uint lead = _bits.Bits(8);
        int more = lead < 0x80 ? 0 : lead < 0xC0 ? -1 : lead < 0xE0 ? 1 : lead < 0xF0 ? 2 : lead < 0xF8 ? 3 : lead < 0xFC ? 4 : lead < 0xFE ? 5 : lead < 0xFF ? 6 : -1;
        if (more < 0 || reserved || depth == 0)
        {
            return false;
        }

        for (int i = 0; i < more; i++)
        {
            if ((_bits.Bits(8) & 0xC0) != 0x80)
            {
                return false;
            }
        }

        block = size switch { 1 => 192, >= 2 and <= 5 => 576 << (size - 2), 6 => (int)_bits.Bits(8) + 1, 7 => (int)_bits.Bits(16) + 1, >= 8 => 256 << (size - 8), _ => 0 };
        if (rate == 12)
        {
            _bits.Bits(8);
        }
        else if (rate is 13 or 14)
        {
            _bits.Bits(16);
        }

        byte crc = _bits.Crc8;
        bool good = crc == _bits.Bits(8);
        int channels = arrangement < 8 ? arrangement + 1 : 2;
        return good && rate != 15 && arrangement <= 10 && block > 0 && block <= _largest && channels == Channels && !_bits.End;
    }

    private bool Subframes(int block, int arrangement, int depth)
    {
        for (int c = 0; c < Channels; c++)
        {
            bool side = (arrangement == 8 && c == 1) || (arrangement == 9 && c == 0) || (arrangement == 10 && c == 1);
            if (!Subframe(_channels[c].AsSpan(0, block), depth + (side ? 1 : 0)))
            {
                return false;
            }
        }

        return true;
    }

    private bool Subframe(Span<long> x, int depth)
    {
        if (_bits.Bits(1) != 0)
        {
            return false;
        }

        int kind = (int)_bits.Bits(6), wasted = 0;
        if (_bits.Bits(1) == 1)
        {
            int u = _bits.Unary();
            wasted = u + 1;
            if (u < 0 || wasted >= depth)
            {
                return false;
            }

            depth -= wasted;
        }

        bool good = true;
        if (kind == 0)
        {
            x.Fill(_bits.SignedLong(depth));
        }
        else if (kind == 1)
        {
            for (int i = 0; i < x.Length && !_bits.End; i++)
            {
                x[i] = _bits.SignedLong(depth);
            }
        }
        else if (kind is >= 8 and <= 12)
        {
            good = Fixed(x, kind - 8, depth);
        }
        else if (kind >= 32)
        {
            good = Linear(x, kind - 31, depth);
        }
        else
        {
            return false;
        }

        if (wasted > 0)
        {
            for (int i = 0; i < x.Length; i++)
            {
                x[i] <<= wasted;
            }
        }

        return good && !_bits.End;
    }

    private bool Fixed(Span<long> x, int order, int depth)
    {
        if (order > x.Length)
        {
            return false;
        }

        for (int i = 0; i < order; i++)
        {
            x[i] = _bits.SignedLong(depth);
        }

        if (!Residual(x, order))
        {
            return false;
        }

        for (int i = order; i < x.Length; i++)
        {
            x[i] += order switch
            {
                0 => 0,
                1 => x[i - 1],
                2 => (2 * x[i - 1]) - x[i - 2],
                3 => (3 * x[i - 1]) - (3 * x[i - 2]) + x[i - 3],
                _ => (4 * x[i - 1]) - (6 * x[i - 2]) + (4 * x[i - 3]) - x[i - 4],
            };
        }

        return true;
    }

    private bool Linear(Span<long> x, int order, int depth)
    {
        if (order > x.Length)
        {
            return false;
        }

        for (int i = 0; i < order; i++)
        {
            x[i] = _bits.SignedLong(depth);
        }

        int precision = (int)_bits.Bits(4) + 1, shift = (int)_bits.SignedLong(5);
        if (precision == 16 || shift < 0)
        {
            return false;
        }

        Span<long> a = stackalloc long[32];
        for (int i = 0; i < order; i++)
        {
            a[i] = _bits.SignedLong(precision);
        }

        if (!Residual(x, order))
        {
            return false;
        }

        for (int i = order; i < x.Length; i++)
        {
            long sum = 0;
            for (int k = 0; k < order; k++)
            {
                sum += a[k] * x[i - 1 - k];
            }

            x[i] += sum >> shift;
        }

        return true;
    }

    private bool Residual(Span<long> x, int order)
    {
        int method = (int)_bits.Bits(2), parts = 1 << (int)_bits.Bits(4);
        if (method > 1 || x.Length % parts != 0 || x.Length / parts < order)
        {
            return false;
        }

        int parameterBits = method == 0 ? 4 : 5, escape = method == 0 ? 15 : 31, at = order;
        for (int p = 0; p < parts; p++)
        {
            int end = (p + 1) * (x.Length / parts), rice = (int)_bits.Bits(parameterBits);
            if (rice == escape)
            {
                int raw = (int)_bits.Bits(5);
                for (; at < end && !_bits.End; at++)
                {
                    x[at] = _bits.SignedLong(raw);
                }
            }
            else
            {
                for (; at < end; at++)
                {
                    int high = _bits.Unary();
                    if (high < 0)
                    {
                        return false;
                    }

                    ulong v = ((ulong)high << rice) | (rice > 0 ? _bits.Bits(rice) : 0);
                    x[at] = (long)(v >> 1) ^ -(long)(v & 1);
                }
            }

            if (_bits.End)
            {
                return false;
            }
        }

        return true;
    }

    // False where a sample does not fit its bits: no encoder writes that, so the frame is damaged although its checksum fits.
    private bool Put(int block, int arrangement, int depth)
    {
        float scale = 1f / (1L << (depth - 1));
        long most = 1L << (depth - 1), beyond = 0;
        for (int i = 0; i < block; i++)
        {
            if (arrangement < 8)
            {
                for (int c = 0; c < Channels; c++)
                {
                    long v = _channels[c][i];
                    beyond |= (v + most) & ~((2 * most) - 1);
                    _frame[(i * Channels) + c] = v * scale;
                }

                continue;
            }

            long a = _channels[0][i], b = _channels[1][i];
            (long left, long right) = arrangement switch
            {
                8 => (a, a - b),
                9 => (a + b, b),
                _ => ((((a << 1) | (b & 1)) + b) >> 1, (((a << 1) | (b & 1)) - b) >> 1),
            };
            beyond |= ((left + most) | (right + most)) & ~((2 * most) - 1);
            _frame[2 * i] = left * scale;
            _frame[(2 * i) + 1] = right * scale;
        }

        return beyond == 0;
    }
}
