using System.Buffers.Binary;

namespace Stakeboat.Words.Speech;

/// <summary>Writes mono 16-bit WAV, the form that every recogniser takes.</summary>
public static class WavFile
{
    public static void Write(string path, ReadOnlySpan<float> samples, int rate)
    {
        // Through a small buffer: a long stretch takes no memory of its own.
        Span<byte> head = stackalloc byte[44];
        "RIFF"u8.CopyTo(head);
        BinaryPrimitives.WriteInt32LittleEndian(head[4..], 36 + 2 * samples.Length);
        "WAVEfmt "u8.CopyTo(head[8..]);
        BinaryPrimitives.WriteInt32LittleEndian(head[16..], 16);
        BinaryPrimitives.WriteInt16LittleEndian(head[20..], 1);
        BinaryPrimitives.WriteInt16LittleEndian(head[22..], 1);
        BinaryPrimitives.WriteInt32LittleEndian(head[24..], rate);
        BinaryPrimitives.WriteInt32LittleEndian(head[28..], rate * 2);
        BinaryPrimitives.WriteInt16LittleEndian(head[32..], 2);
        BinaryPrimitives.WriteInt16LittleEndian(head[34..], 16);
        "data"u8.CopyTo(head[36..]);
        BinaryPrimitives.WriteInt32LittleEndian(head[40..], 2 * samples.Length);
        using var file = new FileStream(path, FileMode.Create, FileAccess.Write, FileShare.Read, 16384);
        file.Write(head);
        Span<byte> sample = stackalloc byte[2];
        foreach (float x in samples)
        {
            BinaryPrimitives.WriteInt16LittleEndian(sample, (short)Math.Round(Math.Clamp(x, -1, 1) * 32767));
            file.Write(sample);
        }
    }
}
