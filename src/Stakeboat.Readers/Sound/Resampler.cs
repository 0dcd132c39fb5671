namespace Stakeboat.Readers.Sound;

/// <summary>
/// Sound at another rate: a polyphase windowed sinc (Kaiser, beta 8.6: about 80 dB below; Kaiser 1974), 16 zero crossings to a side, cut at 0.92 of the lower
/// half rate. The delay is taken out: sample n of the output stands at n / rate exactly. Constant memory.
/// </summary>
internal sealed class Resampler
{
    private const int Crossings = 16;
    private const double Beta = 8.6;
    private const int MaxPhases = 2048;

    private readonly int _up;
    private readonly int _down;
    private readonly int _half; // taps to a side, input samples
    private readonly float[][] _phases;
    private readonly float[] _ring;
    private long _inputs;
    private long _outputs;

    public Resampler(int from, int to)
    {
        int g = Gcd(from, to);
        (_up, _down) = (to / g, from / g);
        if (_up > MaxPhases)
        {
            // Odd rates: the nearest of so many phases, an error below 1/4096 of a sample.
            _down = (int)Math.Round((double)from / to * MaxPhases);
            _up = MaxPhases;
        }

        double cut = 0.92 * Math.Min(1.0, (double)to / from);
        _half = (int)Math.Ceiling(Crossings / cut);
        _phases = new float[_up][];
        for (int p = 0; p < _up; p++)
        {
            _phases[p] = Taps((double)p / _up, cut);
        }

        int size = 1;
        while (size < (2 * _half) + 2)
        {
            size <<= 1;
        }

        _ring = new float[size];
    }

    /// <summary>Takes one input sample and gives what outputs it makes known. At the end push zeros until the count is right.</summary>
    public void Push(float sample, List<float> output)
    {
        _ring[_inputs & (_ring.Length - 1)] = sample;
        _inputs++;
        while (true)
        {
            long numerator = _outputs * _down;
            long centre = numerator / _up;
            if (centre + _half >= _inputs)
            {
                return;
            }

            var taps = _phases[(int)(numerator % _up)];
            float sum = 0;
            long first = centre - _half + 1;
            for (int k = 0; k < taps.Length; k++)
            {
                long i = first + k;
                if (i >= 0)
                {
                    sum += taps[k] * _ring[i & (_ring.Length - 1)];
                }
            }

            output.Add(sum);
            _outputs++;
        }
    }

    public int Tail => _half + 1;

    public long OutputsFor(long inputs) => ((inputs * _up) + _down - 1) / _down;

    private float[] Taps(double phase, double cut)
    {
        var t = new float[2 * _half];
        double sum = 0;
        for (int k = 0; k < t.Length; k++)
        {
            double x = k - _half + 1 - phase, w = x / _half;
            double sinc = Math.Abs(x) < 1e-12 ? 1 : Math.Sin(Math.PI * cut * x) / (Math.PI * cut * x);
            double v = cut * sinc * (Math.Abs(w) >= 1 ? 0 : Bessel(Beta * Math.Sqrt(1 - (w * w))) / Bessel(Beta));
            t[k] = (float)v;
            sum += v;
        }

        for (int k = 0; k < t.Length; k++)
        {
            t[k] = (float)(t[k] / sum);
        }

        return t;
    }

    // Modified Bessel function of order zero by its power series (Abramowitz and Stegun 1964, 9.6.12).
    private static double Bessel(double x)
    {
        double sum = 1, term = 1;
        for (int k = 1; k < 60; k++)
        {
            term *= x / (2 * k) * (x / (2 * k));
            sum += term;
            if (term < 1e-16 * sum)
            {
                break;
            }
        }

        return sum;
    }

    private static int Gcd(int a, int b) => b == 0 ? a : Gcd(b, a % b);
}
