namespace Stakeboat.Core.Signals;

/// <summary>
/// How much new sound begins at each hundredth of a second: log of 40 mel bands over 40 ms windows each 10 ms, rises summed (the
/// scheme of Ellis 2007, with windows for speech and knocks). One block of samples in, values out, constant memory.
/// </summary>
public sealed class OnsetEnvelope
{
    /// <summary>Values a second.</summary>
    public const double Hz = 100;

    private const int Bands = 40;
    private readonly int _window;
    private readonly int _hop;
    private readonly Fourier _fourier;
    private readonly double[] _shape;
    private readonly double[] _re;
    private readonly double[] _im;
    private readonly float[] _ring;
    private readonly (int Bin, double Weight)[][] _bands;
    private readonly double[] _last = new double[Bands];
    private int _filled;
    private bool _any;

    /// <param name="sampleRate">Samples a second of one channel, 4000 or more and a multiple of 100.</param>
    public OnsetEnvelope(int sampleRate)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(sampleRate, 4000);
        if (sampleRate % 100 != 0)
        {
            throw new ArgumentOutOfRangeException(nameof(sampleRate), sampleRate, "The sample rate must be a multiple of 100, so that values fall on hundredths of a second.");
        }

        _window = sampleRate / 25;
        _hop = sampleRate / 100;
        int n = Fourier.LengthFor(_window);
        _fourier = new Fourier(n);
        _re = new double[n];
        _im = new double[n];
        _ring = new float[_window];
        _shape = new double[_window];
        for (int i = 0; i < _window; i++)
        {
            _shape[i] = 0.5 - (0.5 * Math.Cos(2 * Math.PI * (i + 0.5) / _window));
        }

        _bands = MelBands(sampleRate, n);
    }

    /// <summary>Takes samples in [-1, 1] and appends a value for each 10 ms that they complete; the first window's value is 0. Value k belongs to the window that ends at (k + 4) hundredths.</summary>
    public void Push(ReadOnlySpan<float> samples, List<double> envelope)
    {
        ArgumentNullException.ThrowIfNull(envelope);
        while (!samples.IsEmpty)
        {
            int take = Math.Min(_window - _filled, samples.Length);
            samples[..take].CopyTo(_ring.AsSpan(_filled));
            samples = samples[take..];
            _filled += take;
            if (_filled == _window)
            {
                envelope.Add(Value());
                Array.Copy(_ring, _hop, _ring, 0, _window - _hop);
                _filled = _window - _hop;
            }
        }
    }

    /// <summary>The envelope of a whole recording. Value k stands for second k/100 + 0.02.</summary>
    public static double[] Of(ReadOnlySpan<float> samples, int sampleRate)
    {
        var values = new List<double>(samples.Length / (sampleRate / 100));
        new OnsetEnvelope(sampleRate).Push(samples, values);
        return [.. values];
    }

    /// <summary>The same of a recording that is pulled block by block; <paramref name="read"/> fills a block and returns how much, 0 at the end.</summary>
    public static double[] Of(Func<float[], int> read, int sampleRate)
    {
        ArgumentNullException.ThrowIfNull(read);
        var envelope = new OnsetEnvelope(sampleRate);
        var values = new List<double>();
        var block = new float[sampleRate];
        for (int n = read(block); n > 0; n = read(block))
        {
            envelope.Push(block.AsSpan(0, n), values);
        }

        return [.. values];
    }

    /// <summary>Second at which the first value stands, from the first sample.</summary>
    public const double FirstAt = 0.02;

    private double Value()
    {
        Array.Clear(_re);
        Array.Clear(_im);
        for (int i = 0; i < _window; i++)
        {
            _re[i] = _ring[i] * _shape[i];
        }

        _fourier.Forward(_re, _im);
        double rise = 0;
        for (int b = 0; b < Bands; b++)
        {
            double e = 0;
            foreach (var (bin, weight) in _bands[b])
            {
                e += weight * ((_re[bin] * _re[bin]) + (_im[bin] * _im[bin]));
            }

            double level = Math.Log(e + 1e-6);
            rise += _any ? Math.Max(0, level - _last[b]) : 0;
            _last[b] = level;
        }

        _any = true;
        return rise;
    }

    /// <summary>Triangles even on the mel scale 2595 log10(1 + f/700) (O'Shaughnessy 1987) from 100 Hz to 0.45 of the sample rate or 7 kHz.</summary>
    private static (int, double)[][] MelBands(int sampleRate, int n)
    {
        static double Mel(double f) => 2595 * Math.Log10(1 + (f / 700));
        static double Hertz(double m) => 700 * (Math.Pow(10, m / 2595) - 1);
        double low = Mel(100);
        double high = Mel(Math.Min(7000, 0.45 * sampleRate));
        var bands = new (int, double)[Bands][];
        for (int b = 0; b < Bands; b++)
        {
            double left = Hertz(low + ((high - low) * b / (Bands + 1)));
            double middle = Hertz(low + ((high - low) * (b + 1) / (Bands + 1)));
            double right = Hertz(low + ((high - low) * (b + 2) / (Bands + 1)));
            var weights = new List<(int, double)>();
            for (int k = 1; k < n / 2; k++)
            {
                double f = (double)k * sampleRate / n;
                double w = f <= middle ? (f - left) / (middle - left) : (right - f) / (right - middle);
                if (w > 0)
                {
                    weights.Add((k, w));
                }
            }

            if (weights.Count == 0)
            {
                weights.Add(((int)Math.Max(1, Math.Round(middle * n / sampleRate)), 1));
            }

            bands[b] = [.. weights];
        }

        return bands;
    }
}
