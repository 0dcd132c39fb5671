using NLayer;

namespace Stakeboat.Readers.Sound;

/// <summary>
/// MP3 through NLayer. The encoder's silence at both ends is cut off where the first frame tells its length; where it does not, the zero of the sound is
/// uncertain by about a tenth of a second, and that is said.
/// </summary>
internal sealed class Mp3Source : SoundSource
{
    private readonly MpegFile _file;
    private readonly IssueLog _log;
    private readonly Mp3Gap _gap;
    private long _skip;
    private long _left;
    private bool _ended;
    private float[] _buffer = [];

    private Mp3Source(MpegFile file, Mp3Gap gap, IssueLog log)
    {
        (_file, _gap, _log) = (file, gap, log);
        _skip = gap.Known ? gap.Delay + Mp3Gap.DecoderDelay : Mp3Gap.DecoderDelay;
        _left = gap.Total ?? long.MaxValue;
        TotalFrames = gap.Total ?? (gap.Frames > 0 ? gap.Frames * gap.FrameSamples : null);
    }

    public override int SampleRate => _file.SampleRate;

    public override int Channels => _file.Channels;

    public override long? TotalFrames { get; }

    public override string Codec => "MP3";

    public override double StartUncertainty => _gap.Known ? 0.001 : 0.1;

    public static Mp3Source? Open(Stream s, IssueLog log)
    {
        var head = new byte[1 << 16];
        long from = s.CanSeek ? s.Position : 0;
        int have = s.ReadAtLeast(head, head.Length, false);
        var gap = Mp3Gap.Look(head.AsSpan(0, have), out _);
        if (gap is null && s.CanSeek && have == head.Length && head.AsSpan().StartsWith("ID3"u8))
        {
            // The tag is longer than what was looked at (a picture).
            Mp3Gap.Look(head.AsSpan(0, 11), out int at);
            s.Position = Math.Min(s.Length, from + at);
            have = s.ReadAtLeast(head, head.Length, false);
            gap = Mp3Gap.Look(head.AsSpan(0, have), out _);
        }

        if (s.CanSeek)
        {
            s.Position = from;
        }

        if (gap is not { } g || !s.CanSeek)
        {
            log.Error("", s.CanSeek ? "There is no MP3 sound in the file." : "An MP3 recording must be a file.", "Copy it again.");
            return null;
        }

        if (!g.Known)
        {
            log.Note("", "The MP3 file does not tell how much silence the encoder put before the sound.", "Its zero of time is uncertain by about 0.1 s.");
        }

        try
        {
            var file = new MpegFile(s);
            if (file.SampleRate >= 8000 && file.Channels is 1 or 2)
            {
                return new Mp3Source(file, g, log);
            }
        }
#pragma warning disable CA1031 // The library throws several types on damaged files; all mean the same here.
        catch (Exception e) when (e is not OutOfMemoryException)
        {
        }
#pragma warning restore CA1031
        log.Error("", "The MP3 file is damaged.", "Copy it again.");
        return null;
    }

    public override int Read(Span<float> interleaved)
    {
        int want = interleaved.Length - (interleaved.Length % Channels);
        if (_buffer.Length < want)
        {
            _buffer = new float[want];
        }

        while (!_ended)
        {
            int n;
            try
            {
                n = _file.ReadSamples(_buffer, 0, want);
            }
#pragma warning disable CA1031
            catch (Exception e) when (e is not OutOfMemoryException)
            {
                _log.Warn("", "The MP3 file is damaged.", "It was read up to the damage.");
                n = 0;
            }
#pragma warning restore CA1031

            n -= n % Channels;
            if (n <= 0)
            {
                _ended = true;
                break;
            }

            int cut = (int)Math.Min(_skip, n / Channels);
            _skip -= cut;
            int frames = (int)Math.Min((n / Channels) - cut, _left);
            _left -= frames;
            if (frames > 0)
            {
                var good = _buffer.AsSpan(cut * Channels, frames * Channels);
                for (int i = 0; i < good.Length; i++)
                {
                    interleaved[i] = float.IsFinite(good[i]) ? Math.Clamp(good[i], -8f, 8f) : 0;
                }

                return frames * Channels;
            }

            if (_left == 0)
            {
                _ended = true;
            }
        }

        return 0;
    }
}
