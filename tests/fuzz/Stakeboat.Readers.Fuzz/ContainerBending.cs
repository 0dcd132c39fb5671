using System.Buffers.Binary;
using System.Globalization;
using System.IO.Compression;
using System.Text;

namespace Stakeboat.Readers.Fuzz;

/// <summary>Changes to containers that leave their checksums right, so that the reader behind them is met.</summary>
public static class ContainerBending
{
    /// <summary>RIFF chunks dropped, doubled, exchanged, resized.</summary>
    public static byte[] Riff(byte[] x, byte[] other, Dice d)
    {
        var chunks = new List<byte[]>();
        for (int at = 12; at + 8 <= x.Length;)
        {
            long size = BinaryPrimitives.ReadUInt32LittleEndian(x.AsSpan(at + 4));
            int length = (int)Math.Min(x.Length - at, 8 + size + (size & 1));
            chunks.Add(x[at..(at + length)]);
            at += length;
        }

        if (chunks.Count < 2)
        {
            return ByteBending.Bend(x, other, d);
        }

        int i = d.Below(chunks.Count);
        switch (d.Below(5))
        {
            case 0:
                chunks.RemoveAt(i);
                break;
            case 1:
                chunks.Insert(d.Below(chunks.Count), chunks[i]);
                break;
            case 2:
                int j = d.Below(chunks.Count);
                (chunks[i], chunks[j]) = (chunks[j], chunks[i]);
                break;
            case 3:
                chunks[i] = ByteBending.Bend(chunks[i], chunks[d.Below(chunks.Count)], d);
                if (chunks[i].Length >= 8)
                {
                    BinaryPrimitives.WriteUInt32LittleEndian(chunks[i].AsSpan(4), (uint)(chunks[i].Length - 8));
                }

                break;
            default:
                BinaryPrimitives.WriteUInt32LittleEndian(chunks[i].AsSpan(4), ByteBending.Edge(d, x.Length));
                break;
        }

        return [.. x.AsSpan(0, 12), .. chunks.SelectMany(c => c)];
    }

    /// <summary>Ogg pages dropped, doubled, bent; the checksum of each put right (RFC 3533, polynomial 04C11DB7).</summary>
    public static byte[] Ogg(byte[] x, byte[] other, Dice d)
    {
        var starts = new List<int>();
        for (int at = 0; (at = x.AsSpan(at).IndexOf("OggS"u8) is var i and >= 0 ? at + i : -1) >= 0; at += 4)
        {
            starts.Add(at);
        }

        if (starts.Count == 0)
        {
            return ByteBending.Bend(x, other, d);
        }

        var pages = starts.Select((s, i) => x[s..(i + 1 < starts.Count ? starts[i + 1] : x.Length)]).ToList();
        int p = d.Below(pages.Count);
        switch (d.Below(6))
        {
            case 0:
                pages.RemoveAt(p);
                break;
            case 1:
                pages.Insert(d.Below(pages.Count), pages[p]);
                break;
            case 2 when pages[p].Length > 14:
                pages[p] = (byte[])pages[p].Clone();
                BinaryPrimitives.WriteUInt64LittleEndian(pages[p].AsSpan(6), d.OneIn(2) ? ByteBending.Edge(d, 50000) : d.Next());
                break;
            default:
                byte[] head = pages[p][..Math.Min(4, pages[p].Length)];
                pages[p] = [.. head, .. ByteBending.Bend(pages[p][head.Length..], pages[d.Below(pages.Count)], d)];
                break;
        }

        pages.ForEach(MendPage);
        return [.. pages.SelectMany(b => b)];
    }

    /// <summary>Puts the checksum of one Ogg page right.</summary>
    public static void MendPage(byte[] page)
    {
        ArgumentNullException.ThrowIfNull(page);
        if (page.Length >= 27)
        {
            page.AsSpan(22, 4).Clear();
            BinaryPrimitives.WriteUInt32LittleEndian(page.AsSpan(22), OggCrc(page));
        }
    }

    /// <summary>A change anywhere in a FLAC file; the checksums of every frame's head and body put right.</summary>
    public static byte[] Flac(byte[] x, byte[] other, Dice d)
    {
        byte[] y = ByteBending.Bend(x, other, d);
        for (int at = 42; at + 10 < y.Length; at++)
        {
            if (y[at] != 0xFF || (y[at + 1] & 0xFE) != 0xF8)
            {
                continue;
            }

            int number = y[at + 4] < 0x80 ? 1 : Math.Min(7, Math.Max(1, System.Numerics.BitOperations.LeadingZeroCount((uint)(byte)~y[at + 4] << 24)));
            int head = 4 + number + ((y[at + 2] >> 4) switch { 6 => 1, 7 => 2, _ => 0 }) + ((y[at + 2] & 15) switch { 12 => 1, 13 or 14 => 2, _ => 0 });
            int end = at + head + 1;
            while (end + 1 < y.Length && !(y[end] == 0xFF && (y[end + 1] & 0xFE) == 0xF8))
            {
                end++;
            }

            end = end + 1 >= y.Length ? y.Length : end;
            if (at + head + 3 > y.Length || end - at < head + 3)
            {
                break;
            }

            y[at + head] = Crc8(y.AsSpan(at, head));
            BinaryPrimitives.WriteUInt16BigEndian(y.AsSpan(end - 2), Crc16(y.AsSpan(at, end - at - 2)));
            at = end - 1;
        }

        return y;
    }

    /// <summary>An archive made anew from bent files.</summary>
    public static byte[] Zip(byte[] x, byte[] other, Dice d)
    {
        if (d.OneIn(2))
        {
            return ByteBending.Bend(x, other, d);
        }

        using var made = new MemoryStream();
        try
        {
            using var old = new ZipArchive(new MemoryStream(x), ZipArchiveMode.Read);
            using var fresh = new ZipArchive(made, ZipArchiveMode.Create, leaveOpen: true);
            foreach (var e in old.Entries.Take(8))
            {
                using var from = e.Open();
                using var bytes = new MemoryStream();
                var buffer = new byte[2048];
                int n = from.Read(buffer);
                bytes.Write(buffer, 0, n);
                byte[] body = d.OneIn(2) ? TextBending.Bend(bytes.ToArray(), other, d) : bytes.ToArray();
                if (d.OneIn(64))
                {
                    body = new byte[200_000]; // a small bomb
                }

                string name = d.Below(8) switch { 0 => "../" + e.Name, 1 => "a/b/", 2 => "", 3 => "\u0001\\x.gpx", _ => e.FullName };
                using var to = fresh.CreateEntry(name, d.OneIn(2) ? CompressionLevel.NoCompression : CompressionLevel.Fastest).Open();
                to.Write(body);
            }
        }
        catch (Exception e) when (e is InvalidDataException or IOException or ArgumentException or NotSupportedException)
        {
            return ByteBending.Bend(x, other, d);
        }

        return made.ToArray();
    }

    /// <summary>NMEA text bent, then each sentence's checksum put right.</summary>
    public static byte[] Nmea(byte[] x, byte[] other, Dice d)
    {
        string[] lines = Encoding.Latin1.GetString(TextBending.Bend(x, other, d)).Split('\n');
        for (int i = 0; i < lines.Length; i++)
        {
            int from = lines[i].IndexOf('$', StringComparison.Ordinal), star = lines[i].LastIndexOf('*');
            if (from >= 0 && star > from)
            {
                int sum = 0;
                foreach (char c in lines[i].AsSpan(from + 1, star - from - 1))
                {
                    sum ^= c;
                }

                lines[i] = lines[i][..(star + 1)] + (sum & 0xFF).ToString("X2", CultureInfo.InvariantCulture);
            }
        }

        return Encoding.Latin1.GetBytes(string.Join('\n', lines));
    }

    private static uint OggCrc(ReadOnlySpan<byte> b)
    {
        uint crc = 0;
        foreach (byte v in b)
        {
            crc ^= (uint)v << 24;
            for (int k = 0; k < 8; k++)
            {
                crc = (crc << 1) ^ ((crc & 0x80000000) != 0 ? 0x04C11DB7u : 0);
            }
        }

        return crc;
    }

    /// <summary>FLAC's checksum of a frame's head.</summary>
    public static byte Crc8(ReadOnlySpan<byte> b)
    {
        int crc = 0;
        foreach (byte v in b)
        {
            crc ^= v;
            for (int k = 0; k < 8; k++)
            {
                crc = (crc << 1) ^ ((crc & 0x80) != 0 ? 0x107 : 0);
            }
        }

        return (byte)crc;
    }

    /// <summary>FLAC's checksum of a frame.</summary>
    public static ushort Crc16(ReadOnlySpan<byte> b)
    {
        int crc = 0;
        foreach (byte v in b)
        {
            crc ^= v << 8;
            for (int k = 0; k < 8; k++)
            {
                crc = (crc << 1) ^ ((crc & 0x8000) != 0 ? 0x18005 : 0);
            }
        }

        return (ushort)crc;
    }
}
