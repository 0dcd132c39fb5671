using System.Buffers.Binary;
using Stakeboat.Readers.Fit;

namespace Stakeboat.Readers.Fuzz;

/// <summary>FIT as a chain of records: dropped, doubled, exchanged, their definitions altered; sizes and checksums put right again so that the change is met.</summary>
public static class FitBending
{
    public static byte[] Bend(byte[] x, byte[] other, Dice d)
    {
        var records = Records(x);
        if (records.Count < 2)
        {
            return Close(ByteBending.Bend(x, other, d));
        }

        var list = records.ConvertAll(r => x[r]);
        int at = d.Below(list.Count);
        switch (d.Below(6))
        {
            case 0:
                list.RemoveAt(at);
                break;
            case 1:
                list.Insert(at, list[d.Below(list.Count)]);
                break;
            case 2:
                int to = d.Below(list.Count);
                (list[at], list[to]) = (list[to], list[at]);
                break;
            case 3:
                list[at] = ByteBending.Bend(list[at], list[d.Below(list.Count)], d);
                break;
            case 4:
                var foreign = Records(other);
                if (foreign.Count > 0)
                {
                    list.Insert(at, other[foreign[d.Below(foreign.Count)]]);
                }

                break;
            default:
                list.Insert(at, Definition(d));
                break;
        }

        int head = x[0] is >= 12 and < 64 && x[0] <= x.Length ? x[0] : 12;
        return Close([.. x.AsSpan(0, head), .. list.SelectMany(r => r), 0, 0]);
    }

    /// <summary>Size and checksums of the first file put right.</summary>
    public static byte[] Close(byte[] x)
    {
        int head = x.Length > 0 && x[0] is 12 or 14 ? x[0] : 0;
        if (head == 0 || x.Length < head + 2)
        {
            return x;
        }

        BinaryPrimitives.WriteUInt32LittleEndian(x.AsSpan(4), (uint)(x.Length - head - 2));
        if (head == 14)
        {
            BinaryPrimitives.WriteUInt16LittleEndian(x.AsSpan(12), FitCrc.Of(x.AsSpan(0, 12)));
        }

        BinaryPrimitives.WriteUInt16LittleEndian(x.AsSpan(x.Length - 2), FitCrc.Of(x.AsSpan(0, x.Length - 2)));
        return x;
    }

    private static byte[] Definition(Dice d)
    {
        bool big = d.OneIn(4), own = d.OneIn(4);
        byte[] globals = [18, 19, 20, 20, 20, 165, 167, 206, 207, 0];
        byte[] numbers = [253, 0, 1, 2, 3, 4, 5, 6, 8, 73, 78];
        byte[] types = [0, 1, 2, 0x83, 0x84, 0x85, 0x86, 7, 0x88, 0x89, 0x0A, 0x8B, 0x8C, 0x0D, 0x8E, 0x8F, 0x90, 0x99, 0xFF];
        byte global = globals[d.Below(globals.Length)];
        int n = d.Below(8);
        var b = new List<byte> { (byte)(0x40 | (own ? 0x20 : 0) | d.Below(16)), 0, big ? (byte)1 : (byte)0, big ? (byte)0 : global, big ? global : (byte)0, (byte)n };
        for (int i = 0; i < n; i++)
        {
            b.AddRange([numbers[d.Below(numbers.Length)], (byte)(d.OneIn(8) ? d.Next() : (ulong)(1 << d.Below(4))), types[d.Below(types.Length)]]);
        }

        if (own)
        {
            b.AddRange([1, (byte)d.Below(3), (byte)(1 + d.Below(8)), (byte)d.Below(2)]);
        }

        return [.. b];
    }

    // Where each record of the first file lies, by a walk of its own.
    private static List<Range> Records(byte[] x)
    {
        var found = new List<Range>();
        if (x.Length < 14 || x[0] > x.Length - 2)
        {
            return found;
        }

        int at = x[0], end = (int)Math.Min(x.Length - 2, x[0] + (long)BinaryPrimitives.ReadUInt32LittleEndian(x.AsSpan(4)));
        var size = new int[16];
        while (at < end)
        {
            byte h = x[at];
            int length;
            if ((h & 0xC0) == 0x40)
            {
                if (at + 6 > end)
                {
                    break;
                }

                int n = x[at + 5], sum = 0, stop = at + 6 + (n * 3);
                if (stop > end)
                {
                    break;
                }

                for (int i = 0; i < n; i++)
                {
                    sum += x[at + 7 + (i * 3)];
                }

                if ((h & 0x20) != 0 && stop < end)
                {
                    int m = x[stop];
                    for (int i = 0; i < m && stop + 2 + (i * 3) < end; i++)
                    {
                        sum += x[stop + 2 + (i * 3)];
                    }

                    stop += 1 + (m * 3);
                }

                size[h & 15] = sum;
                length = stop - at;
            }
            else
            {
                length = 1 + size[(h & 0x80) != 0 ? (h >> 5) & 3 : h & 15];
            }

            if (at + length > end)
            {
                break;
            }

            found.Add(at..(at + length));
            at += length;
        }

        return found;
    }
}
