using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Sound;

/// <summary>
/// A recording as one channel of samples in [-1, 1], pulled block by block in constant memory, from any second on and at any rate.
/// Sample n of a reader opened at second s stands at s + n / rate on the recording clock.
/// </summary>
public sealed class SoundReader : IDisposable
{
    private readonly SoundSource _source;
    private readonly IssueLog _log;
    private readonly Resampler? _resampler;
    private readonly float[] _interleaved;
    private readonly List<float> _ready = [];
    private int _readyAt;
    private long _mono;
    private long _given;
    private long _skipOutputs;
    private bool _drained;
    private readonly double[] _power;

    private SoundReader(SoundSource source, FileKind kind, IssueLog log, int rate, double fromSeconds, string name)
    {
        (_source, _log, Kind, Name) = (source, log, kind, name);
        SampleRate = rate;
        _resampler = rate == source.SampleRate ? null : new Resampler(source.SampleRate, rate);
        _interleaved = new float[source.Channels * 4096];
        _power = new double[source.Channels];
        StartSeconds = Math.Max(0, fromSeconds);
        Start();
    }

    public string Name { get; }

    public FileKind Kind { get; }

    /// <summary>Samples a second that <see cref="Read"/> gives.</summary>
    public int SampleRate { get; }

    /// <summary>Samples a second in the file.</summary>
    public int FileSampleRate => _source.SampleRate;

    public int Channels => _source.Channels;

    public string Codec => _source.Codec;

    /// <summary>Second of the recording at which the first sample stands.</summary>
    public double StartSeconds { get; }

    /// <summary>Length of the whole recording as its head tells; null where it does not.</summary>
    public double? DurationSeconds => _source.TotalFrames is { } t ? (double)t / _source.SampleRate : null;

    /// <summary>How far the zero of the recording may lie off, s (MP3 without the encoder's note: 0.1).</summary>
    public double StartUncertaintySeconds => _source.StartUncertainty;

    /// <summary>Root mean square of each channel over what was read so far, of full scale; one number where the decoder joins channels itself.</summary>
    public IReadOnlyList<double> ChannelRms => [.. _power.Select(p => Math.Sqrt(p / Math.Max(1, _mono)))];

    /// <summary>What was wrong so far; grows while the sound is read.</summary>
    public IReadOnlyList<ReadingIssue> Issues => _log.ToList();

    /// <summary>Opens a recording; its content decides what it is.</summary>
    /// <param name="stream">Stays open; seeking is used where it can be. The reader does not close it.</param>
    /// <param name="name">For the issues.</param>
    /// <param name="rate">Samples a second that are wanted; null: as in the file.</param>
    /// <param name="fromSeconds">Second to begin at.</param>
    public static Reading<SoundReader> Open(Stream stream, string name, int? rate = null, double fromSeconds = 0)
    {
        ArgumentNullException.ThrowIfNull(stream);
        if (rate is { } wanted)
        {
            ArgumentOutOfRangeException.ThrowIfLessThan(wanted, 1000);
            ArgumentOutOfRangeException.ThrowIfGreaterThan(wanted, 384000);
        }

        var log = new IssueLog(name);
        var head = new byte[512];
        int have = stream.ReadAtLeast(head, head.Length, false);
        var kind = Sniff.Kind(head.AsSpan(0, have), out _);
        if (stream.CanSeek)
        {
            stream.Position -= have;
        }
        else
        {
            stream = new HeadThenRest(head.AsMemory(0, have), stream);
        }

        SoundSource? source = kind switch
        {
            FileKind.Wav => WavSource.Open(stream, log),
            FileKind.Flac => FlacSource.Open(stream, log),
            FileKind.OggOpus => OpusSource.Open(stream, log, rate is 8000 or 12000 or 16000 or 24000 ? rate.Value : 48000, mono: true),
            FileKind.OggVorbis => VorbisSource.Open(stream, log),
            FileKind.Mp3 => Mp3Source.Open(stream, log),
            FileKind.M4a => OutsideDecoder.Open(stream, log, fromSeconds),
            _ => null,
        };
        if (source is null)
        {
            if (!log.HasErrors)
            {
                log.Error("", "This is no recording that can be read.", "Bring WAV, FLAC, MP3, Ogg Vorbis or Opus.");
            }

            return log.Reading<SoundReader>(null);
        }

        var reader = new SoundReader(source, kind, log, rate ?? source.SampleRate, fromSeconds, name);
        return new Reading<SoundReader>(reader, log.ToList());
    }

    /// <summary>What is known without listening.</summary>
    public SoundFacts Facts() => new(Name, DurationSeconds ?? 0);

    /// <summary>Fills a block; fewer than asked only at the end, 0 after it.</summary>
    public int Read(Span<float> block)
    {
        int n = 0;
        while (n < block.Length)
        {
            if (_readyAt == _ready.Count)
            {
                _ready.Clear();
                _readyAt = 0;
                if (!Fill())
                {
                    break;
                }

                continue;
            }

            int skip = (int)Math.Min(_skipOutputs, _ready.Count - _readyAt);
            _skipOutputs -= skip;
            _readyAt += skip;
            int take = Math.Min(block.Length - n, _ready.Count - _readyAt);
            System.Runtime.InteropServices.CollectionsMarshal.AsSpan(_ready).Slice(_readyAt, take).CopyTo(block[n..]);
            _readyAt += take;
            n += take;
        }

        return n;
    }

    public void Dispose() => _source.Dispose();

    // Goes near the wanted second, then leaves out the rest sample by sample.
    private void Start()
    {
        if (StartSeconds <= 0)
        {
            return;
        }

        long frame = (long)Math.Round(StartSeconds * _source.SampleRate);
        long reached = _source.SeekNear(frame);
        _skipOutputs = (long)Math.Round((frame - reached) * ((double)SampleRate / _source.SampleRate));
    }

    private bool Fill()
    {
        if (_drained)
        {
            return false;
        }

        int n = _source.Read(_interleaved);
        if (n == 0)
        {
            _drained = true;
            if (_resampler is not null)
            {
                long due = _resampler.OutputsFor(_mono);
                for (int i = 0; i < _resampler.Tail; i++)
                {
                    _resampler.Push(0, _ready);
                }

                long over = _given + _ready.Count - due;
                if (over > 0)
                {
                    _ready.RemoveRange((int)Math.Max(0, _ready.Count - over), (int)Math.Min(over, _ready.Count));
                }
            }

            return _ready.Count > 0;
        }

        int channels = _source.Channels;
        float scale = 1f / channels;
        for (int i = 0; i + channels <= n; i += channels)
        {
            float sum = 0;
            for (int c = 0; c < channels; c++)
            {
                float x = _interleaved[i + c];
                sum += x;
                _power[c] += x * x;
            }

            _mono++;
            if (_resampler is null)
            {
                _ready.Add(sum * scale);
            }
            else
            {
                _resampler.Push(sum * scale, _ready);
            }
        }

        _given += _ready.Count;
        return true;
    }
}
