using NVorbis;

namespace Stakeboat.Readers.Sound;

/// <summary>Ogg Vorbis through NVorbis. A damaged file gives what stood before the damage.</summary>
internal sealed class VorbisSource : SoundSource
{
    private readonly VorbisReader _reader;
    private readonly IssueLog _log;
    private bool _ended;

    private VorbisSource(VorbisReader reader, IssueLog log, long total)
    {
        (_reader, _log) = (reader, log);
        TotalFrames = total > 0 ? total : null;
        _reader.ClipSamples = false;
    }

    public override int SampleRate => _reader.SampleRate;

    public override int Channels => _reader.Channels;

    public override long? TotalFrames { get; }

    public override string Codec => "Ogg Vorbis";

    public static VorbisSource? Open(Stream s, IssueLog log)
    {
        try
        {
            long total = OggWalk.LastGranule(s);
            var reader = new VorbisReader(s, closeOnDispose: false);
            if (reader.SampleRate is >= 1000 and <= 1_000_000 && reader.Channels is >= 1 and <= 64)
            {
                return new VorbisSource(reader, log, total);
            }

            reader.Dispose();
        }
#pragma warning disable CA1031 // The library throws many types on damaged heads; all mean the same here.
        catch (Exception e) when (e is not OutOfMemoryException)
        {
        }
#pragma warning restore CA1031
        log.Error("", "The head of the Ogg Vorbis recording is damaged.", "Copy it again, or save it as FLAC.");
        return null;
    }

    public override int Read(Span<float> interleaved)
    {
        if (_ended)
        {
            return 0;
        }

        try
        {
            int n = _reader.ReadSamples(interleaved[..(interleaved.Length - (interleaved.Length % Channels))]);
            for (int i = 0; i < n; i++)
            {
                interleaved[i] = float.IsFinite(interleaved[i]) ? Math.Clamp(interleaved[i], -8f, 8f) : 0;
            }

            return n;
        }
#pragma warning disable CA1031
        catch (Exception e) when (e is not OutOfMemoryException)
        {
            _ended = true;
            _log.Warn("", "The Ogg Vorbis recording is damaged.", "It was read up to the damage.");
            return 0;
        }
#pragma warning restore CA1031
    }

    public override long SeekNear(long frame)
    {
        try
        {
            if (frame > SampleRate && TotalFrames is { } t && frame < t)
            {
                _reader.SeekTo(frame, SeekOrigin.Begin);
                return _reader.SamplePosition;
            }
        }
#pragma warning disable CA1031
        catch (Exception e) when (e is not OutOfMemoryException)
        {
            _ended = true;
            _log.Warn("", "The Ogg Vorbis recording is damaged.", "It was read up to the damage.");
        }
#pragma warning restore CA1031
        return 0;
    }

    protected override void Dispose(bool disposing)
    {
        if (disposing)
        {
            _reader.Dispose();
        }
    }
}
