using System.Numerics;
using System.Runtime.InteropServices;

namespace Stakeboat.Core.Strokes;

/// <summary>Unbiased autocorrelation of one window, scaled by the energy of the parts that overlap; keeps its work space.</summary>
internal sealed class Autocorrelator(int width, int maxLag)
{
    private readonly double[] _x = new double[width];
    private readonly double[] _energy = new double[width + 1];
    private readonly double[] _r = new double[maxLag + 1];

    public ReadOnlySpan<double> Of(ReadOnlySpan<double> x)
    {
        double mean = 0;
        for (int i = 0; i < width; i++)
        {
            mean += x[i];
        }

        mean /= width;
        for (int i = 0; i < width; i++)
        {
            double v = x[i] - mean;
            _x[i] = v;
            _energy[i + 1] = _energy[i] + (v * v);
        }

        int top = Math.Min(maxLag, width - 1);
        for (int k = 0; k <= top; k++)
        {
            int n = width - k;

            // Each part has its own energy: a start from rest must not weaken what follows. A short overlap counts for less.
            double e = Math.Sqrt(_energy[n] * (_energy[width] - _energy[k]));
            _r[k] = e > 1e-12 ? Dot(_x.AsSpan(0, n), _x.AsSpan(k, n)) / e * Math.Min(1, 1.6 * n / width) : 0;
        }

        return _r;
    }

    private static double Dot(ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        ref double x = ref MemoryMarshal.GetReference(a);
        ref double y = ref MemoryMarshal.GetReference(b);
        nuint step = (nuint)Vector<double>.Count;
        nuint length = (nuint)a.Length;
        var sum = Vector<double>.Zero;
        var other = Vector<double>.Zero;
        nuint i = 0;
        for (; i + (2 * step) <= length; i += 2 * step)
        {
            sum += Vector.LoadUnsafe(ref x, i) * Vector.LoadUnsafe(ref y, i);
            other += Vector.LoadUnsafe(ref x, i + step) * Vector.LoadUnsafe(ref y, i + step);
        }

        double s = Vector.Sum(sum + other);
        for (; i < length; i++)
        {
            s += a[(int)i] * b[(int)i];
        }

        return s;
    }
}
