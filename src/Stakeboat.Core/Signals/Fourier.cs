namespace Stakeboat.Core.Signals;

/// <summary>Fast Fourier transform of lengths that are powers of two (Cooley and Tukey 1965), with its table of sines kept.</summary>
public sealed class Fourier
{
    private readonly int _n;
    private readonly double[] _cos;
    private readonly double[] _sin;
    private readonly int[] _reversed;

    public Fourier(int length)
    {
        if (length < 2 || (length & (length - 1)) != 0)
        {
            throw new ArgumentOutOfRangeException(nameof(length), length, "The length of a transform must be a power of two, 2 or more.");
        }

        _n = length;
        _cos = new double[length / 2];
        _sin = new double[length / 2];
        for (int i = 0; i < length / 2; i++)
        {
            (_sin[i], _cos[i]) = Math.SinCos(2 * Math.PI * i / length);
        }

        int bits = int.Log2(length);
        _reversed = new int[length];
        for (int i = 0; i < length; i++)
        {
            _reversed[i] = (_reversed[i >> 1] >> 1) | ((i & 1) << (bits - 1));
        }
    }

    public int Length => _n;

    /// <summary>Smallest power of two not below <paramref name="n"/>.</summary>
    public static int LengthFor(int n)
    {
        int p = 2;
        while (p < n)
        {
            p <<= 1;
        }

        return p;
    }

    /// <summary>X[k] = sum x[n] exp(-2 pi i k n / N), in place.</summary>
    public void Forward(double[] re, double[] im) => Run(re, im, -1);

    /// <summary>The inverse with its 1/N, in place.</summary>
    public void Inverse(double[] re, double[] im)
    {
        Run(re, im, 1);
        for (int i = 0; i < _n; i++)
        {
            re[i] /= _n;
            im[i] /= _n;
        }
    }

    private void Run(double[] re, double[] im, int sign)
    {
        ArgumentNullException.ThrowIfNull(re);
        ArgumentNullException.ThrowIfNull(im);
        ArgumentOutOfRangeException.ThrowIfNotEqual(re.Length, _n);
        ArgumentOutOfRangeException.ThrowIfNotEqual(im.Length, _n);
        for (int i = 0; i < _n; i++)
        {
            int j = _reversed[i];
            if (j > i)
            {
                (re[i], re[j]) = (re[j], re[i]);
                (im[i], im[j]) = (im[j], im[i]);
            }
        }

        for (int half = 1; half < _n; half <<= 1)
        {
            int stride = _n / (2 * half);
            for (int start = 0; start < _n; start += 2 * half)
            {
                for (int k = 0; k < half; k++)
                {
                    double c = _cos[k * stride];
                    double s = sign * _sin[k * stride];
                    int a = start + k;
                    int b = a + half;
                    double tr = (re[b] * c) - (im[b] * s);
                    double ti = (re[b] * s) + (im[b] * c);
                    re[b] = re[a] - tr;
                    im[b] = im[a] - ti;
                    re[a] += tr;
                    im[a] += ti;
                }
            }
        }
    }
}
