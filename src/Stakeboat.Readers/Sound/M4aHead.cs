using System.Buffers.Binary;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Readers.Sound;

/// <summary>Length of an M4A recording from its movie head (ISO/IEC 14496-12, boxes moov and mvhd), without decoding.</summary>
internal static class M4aHead
{
    public static Reading<SoundFacts> Read(Stream s, string name)
    {
        var log = new IssueLog(name);
        double seconds = s.CanSeek ? Walk(s, s.Length) : 0;
        if (seconds <= 0)
        {
            log.Warn("", "The length of the M4A recording is not written where it should be.", "It is taken as unknown.");
        }

        if (OutsideDecoder.Find("ffmpeg", Environment.GetEnvironmentVariable("PATH")) is null)
        {
            log.Warn("", "To listen to an M4A recording the program ffmpeg is needed, which is not installed here.",
                "Install it (Debian: apt install ffmpeg; macOS: brew install ffmpeg), or save the recording as WAV, FLAC, MP3 or Opus.");
        }

        return log.Reading(new SoundFacts(name, seconds));
    }

    private static double Walk(Stream s, long end)
    {
        Span<byte> h = stackalloc byte[32];
        for (int boxes = 0; boxes < 10_000 && s.Position + 8 <= end; boxes++)
        {
            long at = s.Position;
            if (s.ReadAtLeast(h[..8], 8, false) < 8)
            {
                return 0;
            }

            long size = BinaryPrimitives.ReadUInt32BigEndian(h);
            bool inside = h[4..8].SequenceEqual("moov"u8), head = h[4..8].SequenceEqual("mvhd"u8);
            if (size == 1)
            {
                if (s.ReadAtLeast(h[..8], 8, false) < 8)
                {
                    return 0;
                }

                size = BinaryPrimitives.ReadInt64BigEndian(h);
            }

            if (head)
            {
                if (s.ReadAtLeast(h, 32, false) < 32)
                {
                    return 0;
                }

                bool wide = h[0] == 1;
                double scale = BinaryPrimitives.ReadUInt32BigEndian(h[(wide ? 20 : 12)..]);
                double length = wide ? BinaryPrimitives.ReadUInt64BigEndian(h[24..]) : BinaryPrimitives.ReadUInt32BigEndian(h[16..]);
                double seconds = scale > 0 ? length / scale : 0;
                return double.IsFinite(seconds) && seconds < 1e7 ? seconds : 0;
            }

            if (inside)
            {
                continue;
            }

            if (size < 8 || size > end - at)
            {
                return 0;
            }

            s.Position = at + size;
        }

        return 0;
    }
}
