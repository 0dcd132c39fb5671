namespace Stakeboat.Core.Signals;

/// <summary>Correlation of a signal with itself and with another.</summary>
public static class Correlation
{
    /// <summary>
    /// Biased autocorrelation about the mean, divided by that of lag 0: r[k] = sum (x[n]-m)(x[n+k]-m) / sum (x[n]-m)².
    /// All zeros where the signal does not vary.
    /// </summary>
    public static double[] Biased(ReadOnlySpan<double> x, int maxLag, bool removeMean = true)
    {
        int n = x.Length;
        maxLag = Math.Min(maxLag, n - 1);
        double mean = 0;
        if (removeMean)
        {
            for (int i = 0; i < n; i++)
            {
                mean += x[i];
            }

            mean /= n;
        }

        int m = Fourier.LengthFor(n + maxLag + 1);
        var re = new double[m];
        var im = new double[m];
        for (int i = 0; i < n; i++)
        {
            re[i] = x[i] - mean;
        }

        var fourier = new Fourier(m);
        fourier.Forward(re, im);
        for (int i = 0; i < m; i++)
        {
            re[i] = (re[i] * re[i]) + (im[i] * im[i]);
            im[i] = 0;
        }

        fourier.Inverse(re, im);
        var r = new double[maxLag + 1];
        if (re[0] <= 0)
        {
            return r;
        }

        for (int k = 0; k <= maxLag; k++)
        {
            r[k] = re[k] / re[0];
        }

        return r;
    }

    /// <summary>
    /// Normalised cross-correlation of two signals for lags -maxLag..maxLag: at lag k, a[n] is laid on b[n+k].
    /// Each value is divided by the energy of the parts that overlap; where fewer than <paramref name="minOverlap"/> samples do, it is 0.
    /// </summary>
    public static double[] Cross(ReadOnlySpan<double> a, ReadOnlySpan<double> b, int maxLag, int minOverlap)
    {
        int m = Fourier.LengthFor(a.Length + b.Length + 1);
        var fourier = new Fourier(m);
        var ar = new double[m];
        var ai = new double[m];
        var br = new double[m];
        var bi = new double[m];
        a.CopyTo(ar);
        b.CopyTo(br);
        fourier.Forward(ar, ai);
        fourier.Forward(br, bi);
        for (int i = 0; i < m; i++)
        {
            double re = (ar[i] * br[i]) + (ai[i] * bi[i]);
            double im = (ar[i] * bi[i]) - (ai[i] * br[i]);
            ar[i] = re;
            ai[i] = im;
        }

        fourier.Inverse(ar, ai);
        var ea = Energy(a);
        var eb = Energy(b);
        var r = new double[(2 * maxLag) + 1];
        for (int k = -maxLag; k <= maxLag; k++)
        {
            int from = Math.Max(0, -k);
            int to = Math.Min(a.Length, b.Length - k);
            if (to - from < minOverlap)
            {
                continue;
            }

            double e = (ea[to] - ea[from]) * (eb[to + k] - eb[from + k]);
            r[k + maxLag] = e > 0 ? ar[((k % m) + m) % m] / Math.Sqrt(e) : 0;
        }

        return r;
    }

    private static double[] Energy(ReadOnlySpan<double> x)
    {
        var e = new double[x.Length + 1];
        for (int i = 0; i < x.Length; i++)
        {
            e[i + 1] = e[i] + (x[i] * x[i]);
        }

        return e;
    }

    /// <summary>Place of the top of a parabola through three even samples, in samples from the middle one, and its height.</summary>
    public static (double Shift, double Height) Parabola(double left, double middle, double right)
    {
        double curve = left - (2 * middle) + right;
        if (Math.Abs(curve) < 1e-300)
        {
            return (0, middle);
        }

        double shift = Math.Clamp(0.5 * (left - right) / curve, -0.5, 0.5);
        return (shift, middle - (0.25 * (left - right) * shift));
    }
}
