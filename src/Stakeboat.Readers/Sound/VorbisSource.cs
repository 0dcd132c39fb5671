using NVorbis;

namespace Stakeboat.Readers.Sound;

/// <summary>
/// Ogg Vorbis: pages, checksums and positions by our own walk, packets decoded by NVorbis. A damaged packet is left out; a damaged head is an error.
/// The sound ends where the last page says (Vorbis I specification, appendix A.2).
/// </summary>
internal sealed class VorbisSource : SoundSource
{
    /// <summary>Longest stretch that a packet can overlap, frames: the largest block of the specification.</summary>
    private const int Overlap = 8192;

    private readonly OggWalk _ogg;
    private readonly byte[] _identification;
    private readonly byte[] _setup;
    private readonly IssueLog _log;
    private VorbisPackets _packets;
    private StreamDecoder _decoder;
    private float[] _held = [];
    private int _heldFrom;
    private long _position;
    private bool _ended;

    private VorbisSource(OggWalk ogg, byte[] identification, byte[] setup, VorbisPackets packets, StreamDecoder decoder, IssueLog log, long total)
    {
        (_ogg, _identification, _setup, _packets, _decoder, _log) = (ogg, identification, setup, packets, decoder, log);
        (SampleRate, Channels) = (decoder.SampleRate, decoder.Channels);
        TotalFrames = total > 0 ? total : null;
        decoder.ClipSamples = false;
    }

    public override int SampleRate { get; }

    public override int Channels { get; }

    public override long? TotalFrames { get; }

    public override string Codec => "Ogg Vorbis";

    public static VorbisSource? Open(Stream s, IssueLog log)
    {
        long total = OggWalk.LastGranule(s);
        if (total > 0 && s.CanSeek && total / Overlap > s.Length)
        {
            log.Warn("", "The last page gives a length that the file cannot hold.", "The length is taken as unknown.");
            total = -1;
        }

        var ogg = new OggWalk(s, log);
        try
        {
            if (Head(ogg, 1) is { } identification && Head(ogg, 3) is not null && Head(ogg, 5) is { } setup && identification.Length >= 30 && identification[11] is >= 1 and <= 16 && VorbisSetup.Sensible(setup))
            {
                var packets = new VorbisPackets(ogg, identification, setup);
                var decoder = new StreamDecoder(packets);
                if (decoder.SampleRate is >= 1000 and <= 1_000_000)
                {
                    return new VorbisSource(ogg, identification, setup, packets, decoder, log, total);
                }

                decoder.Dispose();
            }
        }
#pragma warning disable CA1031 // The library throws many types on damaged heads; all mean the same here.
        catch (Exception e) when (e is not OutOfMemoryException)
        {
        }
#pragma warning restore CA1031
        log.Error("", "The head of the Ogg Vorbis recording is damaged.", "Copy it again, or save it as FLAC.");
        return null;
    }

    private static byte[]? Head(OggWalk ogg, byte kind) =>
        ogg.NextPacket() && !ogg.NewStream && ogg.Packet.Length >= 7 && ogg.Packet[0] == kind && ogg.Packet[1..7].SequenceEqual("vorbis"u8) ? ogg.Packet.ToArray() : null;

    public override int Read(Span<float> interleaved)
    {
        int n = 0;
        if (_heldFrom < _held.Length)
        {
            n = Math.Min(interleaved.Length - (interleaved.Length % Channels), _held.Length - _heldFrom);
            _held.AsSpan(_heldFrom, n).CopyTo(interleaved);
            _heldFrom += n;
        }
        else if (!_ended)
        {
            n = Decode(interleaved);
            _ended = n == 0;
        }

        // What lies beyond the last position fills up the last packet.
        if (TotalFrames is { } end)
        {
            n = (int)Math.Clamp((end - _position) * Channels, 0, n);
        }

        _position += n / Channels;
        return n;
    }

    private int Decode(Span<float> interleaved)
    {
        int whole = interleaved.Length - (interleaved.Length % Channels);
        for (int tries = 0; ; tries++)
        {
            try
            {
                int n = _decoder.Read(interleaved, 0, whole);
                for (int i = 0; i < n; i++)
                {
                    interleaved[i] = float.IsFinite(interleaved[i]) ? Math.Clamp(interleaved[i], -8f, 8f) : 0;
                }

                return n;
            }
#pragma warning disable CA1031 // The library throws several types on damaged packets; all mean the same here.
            catch (Exception e) when (e is not OutOfMemoryException)
            {
                _log.Warn("", "A Vorbis packet is damaged.", "It was left out; the sound after it may lie early.");
                if (tries >= 1000)
                {
                    return 0;
                }
            }
#pragma warning restore CA1031
        }
    }

    public override long SeekNear(long frame)
    {
        long reached = frame > SampleRate && TotalFrames is { } t && frame < t ? _ogg.SkipPagesTo(frame - Overlap) : -1;
        if (reached <= 0)
        {
            return 0;
        }

        // A decoder that begins anew; where its sound stands is known at the next page that ends, so that much is decoded and held.
        _decoder.Dispose();
        _packets = new VorbisPackets(_ogg, _identification, _setup);
        _decoder = new StreamDecoder(_packets) { ClipSamples = false };
        var held = new List<float>();
        var one = new float[Channels];
        long handed = 0, granule = -1;
        while (held.Count < (SampleRate * 60L * Channels))
        {
            int n = Decode(one);
            if (granule >= 0 && (n == 0 || _packets.Handed != handed))
            {
                _position = granule - (held.Count / Channels);
                held.AddRange(one.AsSpan(0, n));
                break;
            }

            if (n == 0)
            {
                _position = reached; // no page says where it ends
                break;
            }

            held.AddRange(one);
            if (_packets.Handed != handed)
            {
                (handed, granule) = (_packets.Handed, _packets.Granule);
            }
        }

        _held = [.. held];
        _heldFrom = 0;
        if (_position > frame)
        {
            _position = frame;
        }

        return _position;
    }

    protected override void Dispose(bool disposing)
    {
        if (disposing)
        {
            _decoder.Dispose();
        }
    }
}
