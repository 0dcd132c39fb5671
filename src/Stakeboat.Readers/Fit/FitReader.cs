using System.Buffers.Binary;
using System.Globalization;
using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Text;
using Stakeboat.Readers.Tracks;

namespace Stakeboat.Readers.Fit;

/// <summary>
/// FIT after the public description of the protocol ("FIT Protocol", revision 1.8): heads of 12 and 14 bytes, both byte orders, developer fields,
/// compressed time stamps, chained files, both checksums. Messages that are not known are passed over by their declared size.
/// </summary>
public static class FitReader
{
    /// <summary>1989-12-31T00:00:00Z in seconds since 1970.</summary>
    public const long Epoch = 631065600;

    /// <summary>Largest file, bytes: a day at 1 Hz has about 5 MB.</summary>
    public const int Cap = 256 << 20;

    public static Reading<TrackFile> Read(Stream stream, string name)
    {
        var log = new IssueLog(name);
        byte[] bytes = TextInput.Bytes(stream, log, Cap);
        return Read(bytes, name, log);
    }

    public static Reading<TrackFile> Read(ReadOnlySpan<byte> bytes, string name, IssueLog log)
    {
        ArgumentNullException.ThrowIfNull(log);
        var found = new FitFindings(name, log);
        int at = 0, files = 0;
        while (at + 12 <= bytes.Length)
        {
            int next = One(bytes, at, found, log);
            if (next <= at)
            {
                break;
            }

            files++;
            at = next;
        }

        if (files == 0)
        {
            log.Error("", "This is no FIT file.", "Copy it again from the watch.");
            return log.Reading<TrackFile>(null);
        }

        if (at < bytes.Length)
        {
            log.Warn(IssueLog.Byte(at), "Bytes that belong to nothing follow the file.", "They were left out.");
        }

        if (files > 1)
        {
            log.Note("", string.Create(CultureInfo.InvariantCulture, $"The file is a chain of {files} FIT files."), "All were read.");
        }

        return found.Finish();
    }

    // Reads one file of the chain; returns where the next begins, or at where there is none.
    private static int One(ReadOnlySpan<byte> bytes, int at, FitFindings found, IssueLog log)
    {
        int head = bytes[at];
        if (head < 12 || at + head > bytes.Length || !bytes.Slice(at + 8, 4).SequenceEqual(".FIT"u8))
        {
            return at;
        }

        if (head >= 14 && BinaryPrimitives.ReadUInt16LittleEndian(bytes[(at + 12)..]) is var crc and not 0 && crc != FitCrc.Of(bytes.Slice(at, 12)))
        {
            log.Warn(IssueLog.Byte(at + 12), "The checksum of the head is wrong.", "The file was read all the same.");
        }

        uint declared = BinaryPrimitives.ReadUInt32LittleEndian(bytes[(at + 4)..]);
        int from = at + head, room = bytes.Length - from;
        int size;
        bool whole = declared > 0 && declared + 2L <= room;
        if (whole)
        {
            size = (int)declared;
            if (FitCrc.Of(bytes.Slice(at, head + size + 2)) != 0)
            {
                log.Warn(IssueLog.Byte(from + size), "The checksum of the file is wrong.", "The file was read all the same.");
            }
        }
        else
        {
            size = declared == 0 ? Math.Max(0, room - 2) : (int)Math.Min(declared, (uint)room);
            log.Warn(IssueLog.Byte(at + 4), declared == 0 ? "The length in the head is 0: the recording was never closed." : "The file is shorter than its head says.",
                "What is there was read.");
        }

        found.BeginFile();
        Messages(bytes.Slice(from, size), from, found, log);
        return whole ? from + size + 2 : bytes.Length;
    }

    private static void Messages(ReadOnlySpan<byte> data, int offset, FitFindings found, IssueLog log)
    {
        var local = new FitDefinition?[16];
        int at = 0;
        while (at < data.Length)
        {
            byte h = data[at];
            int start = at++;
            bool compressed = (h & 0x80) != 0;
            if (!compressed && (h & 0x40) != 0)
            {
                int used = Define(data[at..], (h & 0x20) != 0, offset + at, log, out local[h & 15]);
                if (used < 0)
                {
                    log.Error(IssueLog.Byte(offset + start), "A definition breaks off.", "What stands before was kept.");
                    return;
                }

                at += used;
                continue;
            }

            var d = local[compressed ? (h >> 5) & 3 : h & 15];
            if (d is null)
            {
                log.Error(IssueLog.Byte(offset + start), "A message comes before its definition.", "What stands before was kept; its length cannot be known.");
                return;
            }

            if (at + d.Size > data.Length)
            {
                log.Error(IssueLog.Byte(offset + start), "The last message breaks off.", "What stands before was kept.");
                return;
            }

            found.Message(d, data.Slice(at, d.Size), compressed ? h & 31 : -1);
            at += d.Size;
        }
    }

    // Reads a definition; returns the bytes used, -1 where it breaks off.
    private static int Define(ReadOnlySpan<byte> b, bool developer, int offset, IssueLog log, out FitDefinition? definition)
    {
        definition = null;
        if (b.Length < 5 || b.Length < 5 + (b[4] * 3))
        {
            return -1;
        }

        if (b[1] > 1)
        {
            log.Warn(IssueLog.Byte(offset + 1), "The byte order is given as something else than 0 or 1.", "It was taken by its last bit.");
        }

        bool big = (b[1] & 1) == 1;
        int global = big ? BinaryPrimitives.ReadUInt16BigEndian(b[2..]) : BinaryPrimitives.ReadUInt16LittleEndian(b[2..]);
        int n = b[4], at = 5, size = 0;
        var fields = new FitField[n];
        for (int i = 0; i < n; i++, at += 3)
        {
            fields[i] = new FitField(b[at], size, b[at + 1], b[at + 2]);
            if (fields[i].Count == 0 && b[at + 1] > 0)
            {
                log.Note(IssueLog.Byte(offset + at), "A field's size does not fit its type.", "The field was passed over.");
            }

            size += b[at + 1];
        }

        FitField[] own = [];
        byte[] index = [];
        if (developer)
        {
            if (b.Length < at + 1 || b.Length < at + 1 + (b[at] * 3))
            {
                return -1;
            }

            int m = b[at++];
            own = new FitField[m];
            index = new byte[m];
            for (int i = 0; i < m; i++, at += 3)
            {
                own[i] = new FitField(b[at], size, b[at + 1], 13);
                index[i] = b[at + 2];
                size += b[at + 1];
            }
        }

        definition = new FitDefinition(global, big, fields, own, index, size);
        return at;
    }
}
