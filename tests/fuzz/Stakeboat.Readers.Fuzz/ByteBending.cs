using System.Buffers.Binary;

namespace Stakeboat.Readers.Fuzz;

/// <summary>Changes that know nothing of the format.</summary>
public static class ByteBending
{
    private static readonly uint[] s_edges = [0, 1, 2, 7, 8, 15, 16, 0x7F, 0x80, 0xFF, 0x100, 0x7FFF, 0x8000, 0xFFFF, 0x10000, 0x0FFFFFFF, 0x10000000, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFE, 0xFFFFFFFF];

    public static byte[] Bend(byte[] x, byte[] other, Dice d)
    {
        if (x.Length == 0)
        {
            return [(byte)d.Next()];
        }

        int at = d.Below(x.Length);
        switch (d.Below(13))
        {
            case 0:
                return Set(x, at, (byte)(x[at] ^ (1 << d.Below(8))));
            case 1:
                return Set(x, at, (byte)d.Next());
            case 2:
                return Set(x, at, (byte)s_edges[d.Below(10)]);
            case 3:
                return Set(x, at, (byte)(x[at] + (d.OneIn(2) ? 1 : -1)));
            case 4:
                return Splice(x, at, 0, Random(d, 1 + d.Below(4)));
            case 5:
                return Splice(x, at, Math.Min(x.Length - at, 1 + d.Below(8)), []);
            case 6:
                return Splice(x, at, 0, x.AsSpan(at, Math.Min(x.Length - at, 1 + d.Below(32))));
            case 7:
                return x[..at];
            case 8:
                return Splice(x, at, x.Length - at, other.AsSpan(d.Below(other.Length)));
            case 9 when x.Length >= 2:
                at = d.Below(x.Length - 1);
                var two = (byte[])x.Clone();
                Write16(two.AsSpan(at), (ushort)Edge(d, x.Length), d.OneIn(2));
                return two;
            case 10 when x.Length >= 4:
                at = d.Below(x.Length - 3);
                var four = (byte[])x.Clone();
                Write32(four.AsSpan(at), Edge(d, x.Length), d.OneIn(2));
                return four;
            case 11:
                return Splice(x, at, Math.Min(x.Length - at, 1 + d.Below(16)), Piece(other, d));
            default:
                int n = Math.Min(x.Length - at, 1 + d.Below(16));
                var zeros = (byte[])x.Clone();
                zeros.AsSpan(at, n).Fill((byte)(d.OneIn(2) ? 0 : 0xFF));
                return zeros;
        }
    }

    public static byte[] Splice(ReadOnlySpan<byte> x, int at, int drop, ReadOnlySpan<byte> put)
    {
        var y = new byte[x.Length - drop + put.Length];
        x[..at].CopyTo(y);
        put.CopyTo(y.AsSpan(at));
        x[(at + drop)..].CopyTo(y.AsSpan(at + put.Length));
        return y;
    }

    public static ReadOnlySpan<byte> Piece(byte[] x, Dice d)
    {
        int at = d.Below(x.Length);
        return x.AsSpan(at, Math.Min(x.Length - at, 1 + d.Below(24)));
    }

    public static uint Edge(Dice d, int length) => d.Below(3) switch { 0 => (uint)(length + d.Below(9) - 4), 1 => (uint)d.Next(), _ => s_edges[d.Below(s_edges.Length)] };

    public static byte[] Random(Dice d, int n)
    {
        var b = new byte[n];
        for (int i = 0; i < n; i++)
        {
            b[i] = (byte)d.Next();
        }

        return b;
    }

    private static byte[] Set(byte[] x, int at, byte v)
    {
        var y = (byte[])x.Clone();
        y[at] = v;
        return y;
    }

    private static void Write16(Span<byte> to, ushort v, bool big)
    {
        if (big)
        {
            BinaryPrimitives.WriteUInt16BigEndian(to, v);
        }
        else
        {
            BinaryPrimitives.WriteUInt16LittleEndian(to, v);
        }
    }

    private static void Write32(Span<byte> to, uint v, bool big)
    {
        if (big)
        {
            BinaryPrimitives.WriteUInt32BigEndian(to, v);
        }
        else
        {
            BinaryPrimitives.WriteUInt32LittleEndian(to, v);
        }
    }
}
