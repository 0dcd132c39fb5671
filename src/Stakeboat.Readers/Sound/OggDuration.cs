using System.Buffers.Binary;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Readers.Sound;

/// <summary>Length of an Ogg recording from its first and last pages alone (RFC 3533; Opus: RFC 7845).</summary>
public static class OggDuration
{
    public static Reading<SoundFacts> Read(Stream stream, string name)
    {
        ArgumentNullException.ThrowIfNull(stream);
        var log = new IssueLog(name);
        var head = new byte[512];
        long from = stream.CanSeek ? stream.Position : 0;
        int have = stream.ReadAtLeast(head, head.Length, throwOnEndOfStream: false);
        var h = head.AsSpan(0, have);
        int opus = h.IndexOf("OpusHead"u8), vorbis = h.IndexOf("\u0001vorbis"u8);
        double rate = 48000;
        long skip = 0;
        if (opus >= 0 && opus + 12 <= have)
        {
            skip = BinaryPrimitives.ReadUInt16LittleEndian(h[(opus + 10)..]);
        }
        else if (vorbis >= 0 && vorbis + 16 <= have)
        {
            rate = BinaryPrimitives.ReadUInt32LittleEndian(h[(vorbis + 12)..]);
        }
        else
        {
            log.Error("", "The Ogg file holds neither Opus nor Vorbis.", "Export the recording as WAV, FLAC, MP3 or Opus.");
            return log.Reading<SoundFacts>(null);
        }

        long last = LastGranule(stream, from, h);
        if (last < 0 || rate is < 1000 or > 1e6)
        {
            log.Warn("", "The length of the recording cannot be told.", "It is taken as unknown.");
            return log.Reading(new SoundFacts(name, 0));
        }

        return log.Reading(new SoundFacts(name, Math.Max(0, last - skip) / rate));
    }

    private static long LastGranule(Stream stream, long from, ReadOnlySpan<byte> head)
    {
        var tail = new byte[1 << 17];
        int have = 0;
        if (stream.CanSeek)
        {
            stream.Position = Math.Max(from, stream.Length - tail.Length);
            have = stream.ReadAtLeast(tail, tail.Length, throwOnEndOfStream: false);
        }
        else
        {
            head.CopyTo(tail);
            have = head.Length;
            int n;
            while ((n = stream.Read(tail, have, tail.Length - have)) > 0)
            {
                have += n;
                if (have == tail.Length)
                {
                    tail.AsSpan(tail.Length / 2).CopyTo(tail);
                    have = tail.Length / 2;
                }
            }
        }

        var t = tail.AsSpan(0, have);
        for (int at = t.LastIndexOf("OggS"u8); at >= 0; at = t[..at].LastIndexOf("OggS"u8))
        {
            if (at + 14 <= have && BinaryPrimitives.ReadInt64LittleEndian(t[(at + 6)..]) is var g and >= 0 and < (1L << 50))
            {
                return g;
            }
        }

        return -1;
    }
}
