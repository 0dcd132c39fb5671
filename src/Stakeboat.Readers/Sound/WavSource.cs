using System.Buffers.Binary;
using System.Globalization;

namespace Stakeboat.Readers.Sound;

/// <summary>
/// RIFF/WAVE (Microsoft and IBM 1991; EXTENSIBLE: Microsoft 2001; RF64: EBU Tech 3306): PCM of 8, 16, 24, 32 bits, float of 32 and 64 bits.
/// A size of 0 or FFFFFFFF means that the writer could not go back: the sound then lasts to the end of the file.
/// </summary>
internal sealed class WavSource : SoundSource
{
    private readonly Stream _stream;
    private readonly IssueLog _log;
    private readonly int _bits;
    private readonly bool _float;
    private readonly int _frameBytes;
    private readonly long _dataAt;
    private readonly byte[] _buffer;
    private long _left;
    private bool _said;

    private WavSource(Stream stream, IssueLog log, int rate, int channels, int bits, bool isFloat, int frameBytes, long dataAt, long bytes, bool streamed)
    {
        (_stream, _log, _bits, _float, _frameBytes, _dataAt, _left) = (stream, log, bits, isFloat, frameBytes, dataAt, bytes);
        SampleRate = rate;
        Channels = channels;
        TotalFrames = streamed && !stream.CanSeek ? null : bytes / frameBytes;
        _buffer = new byte[frameBytes * Math.Max(1, 16384 / frameBytes)];
        Codec = string.Create(CultureInfo.InvariantCulture, $"WAV, {bits}-bit {(isFloat ? "float" : "PCM")}");
    }

    public override int SampleRate { get; }

    public override int Channels { get; }

    public override long? TotalFrames { get; }

    public override string Codec { get; }

    public static WavSource? Open(Stream s, IssueLog log)
    {
        Span<byte> h = stackalloc byte[16];
        if (s.ReadAtLeast(h[..12], 12, false) < 12)
        {
            log.Error("", "The WAV file ends within its first twelve bytes.", "Copy it again.");
            return null;
        }

        if (h.StartsWith("RIFX"u8))
        {
            log.Error("", "This WAV file has its high bytes first (RIFX), which cannot be read.", "Save it as a plain WAV file.");
            return null;
        }

        long at = 12, longData = -1;
        int format = 0, channels = 0, rate = 0, bits = 0, block = 0;
        while (true)
        {
            int n = s.ReadAtLeast(h[..8], 8, false);
            if (n < 8)
            {
                log.Error(IssueLog.Byte(at), format == 0 ? "The WAV file has no format." : "The WAV file has no samples.", "Copy it again.");
                return null;
            }

            at += 8;
            uint size = BinaryPrimitives.ReadUInt32LittleEndian(h[4..]);
            if (h.StartsWith("data"u8))
            {
                return Data(s, log, at, size, longData, format, channels, rate, bits, block);
            }

            var body = new byte[Math.Min(size, 64)];
            n = s.ReadAtLeast(body, body.Length, false);
            if (n < body.Length)
            {
                log.Error(IssueLog.Byte(at + n), "The WAV file breaks off before the samples.", "Copy it again.");
                return null;
            }

            if (h.StartsWith("fmt "u8) && body.Length >= 16)
            {
                format = BinaryPrimitives.ReadUInt16LittleEndian(body);
                channels = BinaryPrimitives.ReadUInt16LittleEndian(body.AsSpan(2));
                rate = (int)Math.Min(int.MaxValue, BinaryPrimitives.ReadUInt32LittleEndian(body.AsSpan(4)));
                block = BinaryPrimitives.ReadUInt16LittleEndian(body.AsSpan(12));
                bits = BinaryPrimitives.ReadUInt16LittleEndian(body.AsSpan(14));
                if (format == 0xFFFE && body.Length >= 26)
                {
                    format = BinaryPrimitives.ReadUInt16LittleEndian(body.AsSpan(24)); // the first two bytes of the sub-format
                }
            }
            else if (h.StartsWith("ds64"u8) && body.Length >= 16)
            {
                longData = BinaryPrimitives.ReadInt64LittleEndian(body.AsSpan(8));
            }

            at += size + (size & 1);
            if (!Skip(s, size + (size & 1) - body.Length))
            {
                log.Error("", "The WAV file breaks off before the samples.", "Copy it again.");
                return null;
            }
        }
    }

    private static WavSource? Data(Stream s, IssueLog log, long at, uint size, long longData, int format, int channels, int rate, int bits, int block)
    {
        bool isFloat = format == 3;
        if (format is not (1 or 3) || channels is < 1 or > 64 || rate is < 1000 or > 1_000_000
            || !(isFloat ? bits is 32 or 64 : bits is 8 or 16 or 24 or 32) || block != channels * bits / 8)
        {
            log.Error("", string.Create(CultureInfo.InvariantCulture, $"This kind of WAV cannot be read (format {format}, {channels} channels, {rate} Hz, {bits} bits)."),
                "Save it as 16-bit PCM.");
            return null;
        }

        long bytes = size == uint.MaxValue && longData > 0 ? longData : size;
        bool streamed = bytes is 0 or uint.MaxValue;
        long real = s.CanSeek ? s.Length - s.Position : long.MaxValue;
        if (streamed)
        {
            bytes = real;
            if (real > 0)
            {
                log.Note(IssueLog.Byte(at - 4), "The length of the samples is not written.", "The sound is read to the end of the file.");
            }
        }
        else if (bytes > real)
        {
            log.Warn(IssueLog.Byte(at - 4), "The file is shorter than its head says.", "What is there was read.");
            bytes = real;
        }

        return new WavSource(s, log, rate, channels, bits, isFloat, block, at, bytes, streamed);
    }

    public override int Read(Span<float> interleaved)
    {
        int frames = Math.Min(interleaved.Length / Channels, _buffer.Length / _frameBytes);
        int want = (int)Math.Min((long)frames * _frameBytes, _left - (_left % _frameBytes));
        if (want <= 0)
        {
            return 0;
        }

        int got = _stream.ReadAtLeast(_buffer.AsSpan(0, want), want, false);
        _left -= got;
        if (got < want)
        {
            _left = 0;
            if (!_said && TotalFrames is not null)
            {
                _said = true;
                _log.Warn("", "The samples end before the length that was written.", "What is there was read.");
            }
        }

        got -= got % _frameBytes;
        int values = got / (_bits / 8);
        Convert(_buffer.AsSpan(0, got), interleaved[..values]);
        return values;
    }

    public override long SeekNear(long frame)
    {
        if (!_stream.CanSeek)
        {
            return 0;
        }

        long total = _left / _frameBytes;
        frame = Math.Clamp(frame, 0, total);
        _stream.Position += frame * _frameBytes;
        _left -= frame * _frameBytes;
        return frame;
    }

    private void Convert(ReadOnlySpan<byte> from, Span<float> to)
    {
        switch (_bits, _float)
        {
            case (8, _):
                for (int i = 0; i < to.Length; i++)
                {
                    to[i] = (from[i] - 128) / 128f;
                }

                break;
            case (16, _):
                for (int i = 0; i < to.Length; i++)
                {
                    to[i] = BinaryPrimitives.ReadInt16LittleEndian(from[(2 * i)..]) / 32768f;
                }

                break;
            case (24, _):
                for (int i = 0; i < to.Length; i++)
                {
                    to[i] = ((from[3 * i] << 8) | (from[(3 * i) + 1] << 16) | (from[(3 * i) + 2] << 24)) / 2147483648f;
                }

                break;
            case (32, false):
                for (int i = 0; i < to.Length; i++)
                {
                    to[i] = BinaryPrimitives.ReadInt32LittleEndian(from[(4 * i)..]) / 2147483648f;
                }

                break;
            case (32, true):
                for (int i = 0; i < to.Length; i++)
                {
                    to[i] = Finite(BinaryPrimitives.ReadSingleLittleEndian(from[(4 * i)..]));
                }

                break;
            default:
                for (int i = 0; i < to.Length; i++)
                {
                    to[i] = Finite((float)BinaryPrimitives.ReadDoubleLittleEndian(from[(8 * i)..]));
                }

                break;
        }
    }

    private static float Finite(float v) => float.IsFinite(v) ? Math.Clamp(v, -8f, 8f) : 0;

    private static bool Skip(Stream s, long bytes)
    {
        if (bytes <= 0)
        {
            return true;
        }

        if (s.CanSeek)
        {
            if (s.Position + bytes > s.Length)
            {
                return false;
            }

            s.Position += bytes;
            return true;
        }

        var b = new byte[8192];
        while (bytes > 0)
        {
            int n = s.Read(b, 0, (int)Math.Min(b.Length, bytes));
            if (n == 0)
            {
                return false;
            }

            bytes -= n;
        }

        return true;
    }
}
