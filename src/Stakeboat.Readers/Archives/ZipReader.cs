using System.Globalization;
using System.IO.Compression;
using Stakeboat.Readers.Motion;

namespace Stakeboat.Readers.Archives;

/// <summary>
/// Zip archives, as phones share several files at once. Caps: entries, bytes, ratio, no archive within an archive. Nothing is ever written to disk and no
/// path of the archive is used: only the last part of a name is shown.
/// </summary>
public static class ZipReader
{
    public const int MostEntries = 200;

    /// <summary>Bytes of one entry, unpacked.</summary>
    public const long MostBytes = 512L << 20;

    /// <summary>Bytes of all entries together, unpacked.</summary>
    public const long MostBytesTogether = 1L << 30;

    /// <summary>Unpacked over packed, beyond the first megabyte. Text logs come to about 10; a bomb to 1000.</summary>
    public const int MostRatio = 100;

    public static Reading<FileContents> Read(Stream stream, string name, LogCorrection? correction = null)
    {
        ArgumentNullException.ThrowIfNull(stream);
        var log = new IssueLog(name);
        var parts = new List<FileContents>();
        try
        {
            if (!stream.CanSeek)
            {
                using var capped = new CappedStream(stream, MostBytes);
                using var copy = new MemoryStream();
                capped.CopyTo(copy);
                copy.Position = 0;
                Entries(copy, name, correction, parts, log);
            }
            else
            {
                Entries(stream, name, correction, parts, log);
            }
        }
        catch (Exception e) when (e is InvalidDataException or IOException or NotSupportedException or ArgumentException or OverflowException)
        {
            log.Error("", "The archive is damaged.", "What could be taken out of it was read. Share the files again.");
        }

        parts = TurningLog.Join(parts, i => log.AddRange([i]));
        if (parts.Count == 0)
        {
            log.Error("", "There is nothing in the archive that can be read.", "Share the track, captions or recording itself.");
            return log.Reading<FileContents>(null);
        }

        return log.Reading(new FileContents(name, FileKind.Zip) { Parts = parts });
    }

    private static void Entries(Stream stream, string name, LogCorrection? correction, List<FileContents> parts, IssueLog log)
    {
        long together = 0;
        int count = 0;
        using var zip = new ZipArchive(stream, ZipArchiveMode.Read, leaveOpen: true);
        foreach (var entry in zip.Entries)
        {
            string leaf = Leaf(entry.FullName);
            if (leaf.Length == 0 || leaf[0] == '.' || entry.FullName.Contains("__MACOSX", StringComparison.Ordinal))
            {
                continue;
            }

            if (++count > MostEntries)
            {
                log.Warn("", string.Create(CultureInfo.InvariantCulture, $"The archive holds more than {MostEntries} files."), "The rest was left out.");
                return;
            }

            long cap = Math.Min(MostBytes, Math.Min(MostBytesTogether - together, (1 << 20) + (entry.CompressedLength * MostRatio)));
            if (entry.Length > cap)
            {
                // By its own word; an archive that lies about it is cut off while it is unpacked.
                log.Error(leaf, "The file swells to many times its packed size, or is too large.", "It was left out.");
                continue;
            }

            try
            {
                using var raw = entry.Open();
                using var capped = new CappedStream(raw, cap);
                using var copy = new MemoryStream();
                capped.CopyTo(copy);
                together += copy.Length;
                if (capped.Overflowed)
                {
                    log.Error(leaf, "The file swells to many times its packed size, or is too large.", "It was left out.");
                    continue;
                }

                copy.Position = 0;
                Part(copy, name + "/" + leaf, correction, parts, log);
            }
            catch (Exception e) when (e is InvalidDataException or IOException or NotSupportedException)
            {
                log.Error(leaf, "The file is damaged, encrypted or packed in a way that is not known.", "It was left out.");
            }
        }
    }

    private static void Part(Stream copy, string name, LogCorrection? correction, List<FileContents> parts, IssueLog log)
    {
        Span<byte> head = stackalloc byte[4];
        int n = copy.Read(head);
        copy.Position = 0;
        if (n == 4 && head.StartsWith("PK\u0003\u0004"u8))
        {
            log.Error(name, "There is an archive within the archive.", "It was left out; unpack it yourself.");
            return;
        }

        var reading = FileDoor.Open(copy, name, correction);
        // A phone's archive holds lists of its own beside the samples: what is no file of ours is no damage.
        log.AddRange(reading.Value is null && reading.Issues is [{ Place: "", Severity: Severity.Error } only] ? [only with { Severity = Severity.Warning }] : reading.Issues);
        if (reading.Value is { } v)
        {
            parts.Add(v);
        }
    }

    private static string Leaf(string path)
    {
        int slash = path.LastIndexOfAny(['/', '\\']);
        string leaf = slash < 0 ? path : path[(slash + 1)..];
        return new string([.. leaf.Where(c => !char.IsControl(c)).Take(120)]);
    }
}
