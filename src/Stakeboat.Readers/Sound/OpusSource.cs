using System.Buffers.Binary;
using Concentus;

namespace Stakeboat.Readers.Sound;

/// <summary>
/// Opus in Ogg (RFC 7845): the pre-skip is taken off, the last page's granule position ends the sound. The decoder can give 48, 24, 16, 12 or 8 kHz at once,
/// mixed to one channel where one is wanted.
/// </summary>
internal sealed class OpusSource : SoundSource
{
    /// <summary>Frames decoded before a seek's target so that the decoder has settled: 80 ms (RFC 7845 section 4.6).</summary>
    private const int Preroll = 3840;

    private readonly OggWalk _ogg;
    private readonly IssueLog _log;
    private readonly long _lastGranule;
    private readonly float[] _pcm;
    private IOpusDecoder _decoder;
    private int _preSkip;
    private long _skip;
    private long _granule; // of the 48 kHz clock, of the next packet's beginning; -1 unknown after a seek
    private int _from;
    private int _have;
    private bool _ended;

    private OpusSource(OggWalk ogg, IssueLog log, int rate, int channels, int preSkip, float gain, long last)
    {
        (_ogg, _log, _preSkip, _lastGranule, Gain) = (ogg, log, preSkip, last, gain);
        SampleRate = rate;
        Channels = channels;
        _skip = preSkip;
        TotalFrames = last >= 0 ? (long)(Math.Max(0, last - preSkip) * (rate / 48000.0)) : null;
        _decoder = Make(rate, channels);
        _pcm = new float[rate / 1000 * 120 * channels];
    }

    public override int SampleRate { get; }

    public override int Channels { get; }

    public override long? TotalFrames { get; }

    public override string Codec => "Opus";

    private float Gain { get; set; }

    public static OpusSource? Open(Stream s, IssueLog log, int rate, bool mono)
    {
        long last = OggWalk.LastGranule(s);
        if (last > 0 && s.CanSeek && last / 5760 > s.Length)
        {
            log.Warn("", "The last page gives a length that the file cannot hold.", "The length is taken as unknown."); // a packet has a byte at least and lasts 120 ms at most
            last = -1;
        }

        var ogg = new OggWalk(s, log);
        if (!ogg.NextPacket() || !Head(ogg.Packet, out int channels, out int preSkip, out float gain))
        {
            log.Error("", "The head of the Opus recording is damaged, or it has more than two channels.", "Save it in mono or stereo.");
            return null;
        }

        if (!ogg.NextPacket())
        {
            log.Error("", "The Opus recording has a head and no sound.", "Copy it again.");
            return null;
        }

        return new OpusSource(ogg, log, rate, mono ? 1 : channels, preSkip, gain, last);
    }

    public override int Read(Span<float> interleaved)
    {
        while (_from == _have)
        {
            if (_ended || !Decode())
            {
                return 0;
            }
        }

        int n = Math.Min(interleaved.Length - (interleaved.Length % Channels), _have - _from);
        _pcm.AsSpan(_from, n).CopyTo(interleaved);
        _from += n;
        return n;
    }

    public override long SeekNear(long frame)
    {
        long target = (frame * 48000 / SampleRate) + _preSkip - Preroll;
        long reached = target > 48000 ? _ogg.SkipPagesTo(target) : -1;
        if (reached < _preSkip)
        {
            return 0;
        }

        _decoder.ResetState();
        _skip = 0;
        _granule = reached;
        return (reached - _preSkip) * SampleRate / 48000;
    }

    private bool Decode()
    {
        _from = _have = 0;
        if (!_ogg.NextPacket())
        {
            _ended = true;
            return false;
        }

        if (_ogg.NewStream)
        {
            Chain();
            return true;
        }

        int frames = 0;
        if (_ogg.Packet.Length > 0)
        {
            try
            {
                frames = _decoder.Decode(_ogg.Packet, _pcm, _pcm.Length / Channels, false);
            }
#pragma warning disable CA1031 // The library throws several types on damaged packets; all mean the same here.
            catch (Exception e) when (e is not OutOfMemoryException)
            {
                _log.Warn("", "An Opus packet is damaged.", "It was left out; the sound after it may lie early.");
            }
#pragma warning restore CA1031
        }

        frames = Math.Clamp(frames, 0, _pcm.Length / Channels);
        int step = 48000 / SampleRate;
        long before = _granule;
        _granule += (long)frames * step;
        int cut = (int)Math.Min(frames, (_skip + step - 1) / step);
        _skip = Math.Max(0, _skip - ((long)cut * step));
        int end = frames;
        if (_ogg.LastPage && _ogg.Granule >= 0 && _granule > _ogg.Granule)
        {
            end = (int)Math.Clamp((_ogg.Granule - before) / step, 0, frames);
        }

        _from = cut * Channels;
        _have = Math.Max(end, cut) * Channels;
        for (int i = _from; i < _have; i++)
        {
            float v = _pcm[i] * Gain;
            _pcm[i] = float.IsFinite(v) ? Math.Clamp(v, -8f, 8f) : 0;
        }

        return true;
    }

    private void Chain()
    {
        if (!Head(_ogg.Packet, out _, out int preSkip, out float gain) || !_ogg.NextPacket())
        {
            _log.Warn("", "A second recording follows in the same file and cannot be read.", "The sound ends before it.");
            _ended = true;
            return;
        }

        _log.Note("", "Several recordings follow each other in this file.", "They were joined without a gap.");
        _decoder = Make(SampleRate, Channels);
        (_preSkip, _skip, Gain, _granule) = (preSkip, preSkip, gain, 0);
    }

    private static IOpusDecoder Make(int rate, int channels)
    {
        OpusCodecFactory.AttemptToUseNativeLibrary = false; // the same samples on every machine
        return OpusCodecFactory.CreateDecoder(rate, channels);
    }

    private static bool Head(ReadOnlySpan<byte> p, out int channels, out int preSkip, out float gain)
    {
        channels = preSkip = 0;
        gain = 1;
        if (p.Length < 19 || !p.StartsWith("OpusHead"u8) || p[8] >= 16 || p[9] is 0 or > 2)
        {
            return false;
        }

        channels = p[9];
        preSkip = BinaryPrimitives.ReadUInt16LittleEndian(p[10..]);
        gain = MathF.Pow(10, BinaryPrimitives.ReadInt16LittleEndian(p[16..]) / (20f * 256));
        return p[18] == 0;
    }
}
