using System.Buffers.Binary;

namespace Stakeboat.Readers.Sound;

/// <summary>
/// What the first MP3 frame says of the silence that the encoder put before and behind the sound ("Xing"/"Info" frame with the LAME extension: three bytes
/// of two 12-bit numbers at 21 bytes after "LAME", as the encoder's public description has them). A decoder adds 529 frames of its own (layer III filter bank).
/// </summary>
internal readonly record struct Mp3Gap(int SampleRate, int FrameSamples, long Frames, int Delay, int Padding, bool Known)
{
    public const int DecoderDelay = 529;

    /// <summary>Samples of the sound itself, where everything was written; else null.</summary>
    public long? Total => Known && Frames > 0 ? Math.Max(0, (Frames * FrameSamples) - Delay - Padding) : null;

    private static readonly int[] s_rates = [44100, 48000, 32000];

    /// <summary>Looks at the first frame; null where there is none.</summary>
    public static Mp3Gap? Look(ReadOnlySpan<byte> h, out int frameAt)
    {
        frameAt = 0;
        if (h.Length > 10 && h.StartsWith("ID3"u8))
        {
            frameAt = 10 + ((h[6] & 0x7F) << 21) + ((h[7] & 0x7F) << 14) + ((h[8] & 0x7F) << 7) + (h[9] & 0x7F);
        }

        for (; frameAt + 4 <= h.Length; frameAt++)
        {
            var f = h[frameAt..];
            if (f[0] != 0xFF || (f[1] & 0xE6) != 0xE2 || (f[1] & 0x18) == 0x08 || (f[2] & 0x0C) == 0x0C || (f[2] & 0xF0) is 0 or 0xF0)
            {
                continue; // no layer III head
            }

            int version = (f[1] >> 3) & 3; // 3: MPEG-1, 2: MPEG-2, 0: MPEG-2.5
            int rate = s_rates[(f[2] >> 2) & 3] >> (version == 3 ? 0 : version == 2 ? 1 : 2);
            bool mono = (f[3] & 0xC0) == 0xC0;
            int samples = version == 3 ? 1152 : 576;
            int side = version == 3 ? (mono ? 17 : 32) : (mono ? 9 : 17);
            int at = 4 + side + ((f[1] & 1) == 0 ? 2 : 0);
            var gap = new Mp3Gap(rate, samples, 0, 0, 0, false);
            if (f.Length < at + 8 || !(f[at..].StartsWith("Xing"u8) || f[at..].StartsWith("Info"u8)))
            {
                return gap;
            }

            uint flags = BinaryPrimitives.ReadUInt32BigEndian(f[(at + 4)..]);
            int p = at + 8;
            long frames = 0;
            if ((flags & 1) != 0 && f.Length >= p + 4)
            {
                frames = BinaryPrimitives.ReadUInt32BigEndian(f[p..]);
                p += 4;
            }

            p += ((flags & 2) != 0 ? 4 : 0) + ((flags & 4) != 0 ? 100 : 0) + ((flags & 8) != 0 ? 4 : 0);
            if (f.Length < p + 24 || f[p] == 0)
            {
                return gap with { Frames = frames };
            }

            int delay = (f[p + 21] << 4) | (f[p + 22] >> 4), padding = ((f[p + 22] & 15) << 8) | f[p + 23];
            return gap with { Frames = frames, Delay = delay, Padding = padding, Known = true };
        }

        return null;
    }
}
