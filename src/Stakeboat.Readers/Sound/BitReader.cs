using System.Numerics;

namespace Stakeboat.Readers.Sound;

/// <summary>Bits of a stream, high bit first, with the two checksums of FLAC kept along the way.</summary>
internal sealed class BitReader(Stream stream)
{
    private static readonly ushort[] s_crc16 = Table16();
    private static readonly byte[] s_crc8 = Table8();
    private readonly byte[] _buffer = new byte[1 << 14];
    private int _at;
    private int _have;
    private ulong _bits;
    private int _count;

    /// <summary>Bytes taken out of the stream so far, including those whose bits are still waiting.</summary>
    public long Position { get; private set; }

    public bool End { get; private set; }

    public ushort Crc16 { get; set; }

    public byte Crc8 { get; set; }

    private int NextByte()
    {
        if (_at == _have)
        {
            _have = stream.Read(_buffer, 0, _buffer.Length);
            _at = 0;
            if (_have <= 0)
            {
                _have = 0;
                End = true;
                return -1;
            }
        }

        Position++;
        byte b = _buffer[_at++];
        Crc16 = (ushort)((Crc16 << 8) ^ s_crc16[(Crc16 >> 8) ^ b]);
        Crc8 = s_crc8[Crc8 ^ b];
        return b;
    }

    /// <summary>Up to 32 bits; zeros after the end (then <see cref="End"/> is true).</summary>
    public uint Bits(int n)
    {
        while (_count < n)
        {
            int b = NextByte();
            _bits = (_bits << 8) | (uint)Math.Max(b, 0);
            _count += 8;
        }

        _count -= n;
        return (uint)((_bits >> _count) & ((1UL << n) - 1));
    }

    public long SignedLong(int n)
    {
        if (n == 0)
        {
            return 0;
        }

        ulong v = n > 32 ? ((ulong)Bits(n - 32) << 32) | Bits(32) : Bits(n);
        return (long)(v << (64 - n)) >> (64 - n);
    }

    /// <summary>Zeros before the next one bit; -1 at the end.</summary>
    public int Unary()
    {
        int zeros = 0;
        while (true)
        {
            if (_count == 0)
            {
                int b = NextByte();
                if (b < 0)
                {
                    return -1;
                }

                _bits = (uint)b;
                _count = 8;
            }

            ulong window = _bits & ((1UL << _count) - 1);
            if (window == 0)
            {
                zeros += _count;
                _count = 0;
                if (zeros > 1 << 24)
                {
                    return -1;
                }

                continue;
            }

            int lead = BitOperations.LeadingZeroCount(window) - (64 - _count);
            _count -= lead + 1;
            return zeros + lead;
        }
    }

    public void Align() => _count -= _count % 8;

    private static ushort[] Table16()
    {
        var t = new ushort[256];
        for (int i = 0; i < 256; i++)
        {
            int c = i << 8;
            for (int k = 0; k < 8; k++)
            {
                c = (c & 0x8000) != 0 ? (c << 1) ^ 0x8005 : c << 1;
            }

            t[i] = (ushort)c;
        }

        return t;
    }

    private static byte[] Table8()
    {
        var t = new byte[256];
        for (int i = 0; i < 256; i++)
        {
            int c = i;
            for (int k = 0; k < 8; k++)
            {
                c = (c & 0x80) != 0 ? (c << 1) ^ 0x07 : c << 1;
            }

            t[i] = (byte)c;
        }

        return t;
    }
}
