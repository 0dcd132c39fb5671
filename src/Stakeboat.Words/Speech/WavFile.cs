using System.Buffers.Binary;

namespace Stakeboat.Words.Speech;

/// <summary>Writes mono 16-bit WAV, the form that every recogniser takes.</summary>
public static class WavFile
{
    public static void Write(string path, ReadOnlySpan<float> samples, int rate)
    {
        var bytes = new byte[44 + 2 * samples.Length];
        var s = bytes.AsSpan();
        "RIFF"u8.CopyTo(s);
        BinaryPrimitives.WriteInt32LittleEndian(s[4..], bytes.Length - 8);
        "WAVEfmt "u8.CopyTo(s[8..]);
        BinaryPrimitives.WriteInt32LittleEndian(s[16..], 16);
        BinaryPrimitives.WriteInt16LittleEndian(s[20..], 1);
        BinaryPrimitives.WriteInt16LittleEndian(s[22..], 1);
        BinaryPrimitives.WriteInt32LittleEndian(s[24..], rate);
        BinaryPrimitives.WriteInt32LittleEndian(s[28..], rate * 2);
        BinaryPrimitives.WriteInt16LittleEndian(s[32..], 2);
        BinaryPrimitives.WriteInt16LittleEndian(s[34..], 16);
        "data"u8.CopyTo(s[36..]);
        BinaryPrimitives.WriteInt32LittleEndian(s[40..], 2 * samples.Length);
        for (int i = 0; i < samples.Length; i++)
        {
            BinaryPrimitives.WriteInt16LittleEndian(s[(44 + 2 * i)..], (short)Math.Round(Math.Clamp(samples[i], -1, 1) * 32767));
        }

        File.WriteAllBytes(path, bytes);
    }
}
