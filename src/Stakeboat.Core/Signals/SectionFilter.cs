namespace Stakeboat.Core.Signals;

/// <summary>A chain of second-order sections with its memory: one sample in, one sample out (transposed direct form II).</summary>
public sealed class SectionFilter
{
    private readonly Section[] _sections;
    private readonly double[] _state;

    public SectionFilter(Section[] sections)
    {
        ArgumentNullException.ThrowIfNull(sections);
        _sections = sections;
        _state = new double[2 * sections.Length];
    }

    /// <summary>Sets the memory to that of an endless past at the constant value <paramref name="level"/>.</summary>
    public void Settle(double level)
    {
        double x = level;
        for (int i = 0; i < _sections.Length; i++)
        {
            var s = _sections[i];
            double y = x * (s.B0 + s.B1 + s.B2) / (1 + s.A1 + s.A2);
            _state[(2 * i) + 1] = (s.B2 * x) - (s.A2 * y);
            _state[2 * i] = (s.B1 * x) - (s.A1 * y) + _state[(2 * i) + 1];
            x = y;
        }
    }

    public double Step(double x)
    {
        for (int i = 0; i < _sections.Length; i++)
        {
            ref readonly var s = ref _sections[i];
            double y = (s.B0 * x) + _state[2 * i];
            _state[2 * i] = (s.B1 * x) - (s.A1 * y) + _state[(2 * i) + 1];
            _state[(2 * i) + 1] = (s.B2 * x) - (s.A2 * y);
            x = y;
        }

        return x;
    }

    /// <summary>Runs over an array in place (the same arithmetic as <see cref="Step"/>).</summary>
    public void Run(Span<double> x)
    {
        if (_sections.Length == 2)
        {
            RunTwo(x, 0, 1);
            return;
        }

        for (int i = 0; i < _sections.Length; i++)
        {
            RunOne(x, i, 0, 1);
        }
    }

    /// <summary>Runs over an array in place from its end to its beginning.</summary>
    public void RunBackwards(Span<double> x)
    {
        if (_sections.Length == 2)
        {
            RunTwo(x, x.Length - 1, -1);
            return;
        }

        for (int i = 0; i < _sections.Length; i++)
        {
            RunOne(x, i, x.Length - 1, -1);
        }
    }

    private void RunOne(Span<double> x, int section, int from, int step)
    {
        var (b0, b1, b2, a1, a2) = _sections[section];
        double z1 = _state[2 * section];
        double z2 = _state[(2 * section) + 1];
        for (int n = from; (uint)n < (uint)x.Length; n += step)
        {
            double v = x[n];
            double y = (b0 * v) + z1;
            z1 = (b1 * v) - (a1 * y) + z2;
            z2 = (b2 * v) - (a2 * y);
            x[n] = y;
        }

        _state[2 * section] = z1;
        _state[(2 * section) + 1] = z2;
    }

    /// <summary>Two sections in one pass: the second works on a sample while the first is at the next.</summary>
    private void RunTwo(Span<double> x, int from, int step)
    {
        var (b0, b1, b2, a1, a2) = _sections[0];
        var (d0, d1, d2, c1, c2) = _sections[1];
        double z1 = _state[0];
        double z2 = _state[1];
        double w1 = _state[2];
        double w2 = _state[3];
        for (int n = from; (uint)n < (uint)x.Length; n += step)
        {
            double v = x[n];
            double u = (b0 * v) + z1;
            z1 = (b1 * v) - (a1 * u) + z2;
            z2 = (b2 * v) - (a2 * u);
            double y = (d0 * u) + w1;
            w1 = (d1 * u) - (c1 * y) + w2;
            w2 = (d2 * u) - (c2 * y);
            x[n] = y;
        }

        _state[0] = z1;
        _state[1] = z2;
        _state[2] = w1;
        _state[3] = w2;
    }

    /// <summary>
    /// Forwards and backwards, so without delay: the gain is squared. Ends are padded by odd reflection, three times the filter's
    /// length, and each pass starts settled (Gustafsson 1996 gives the idea of matched ends; the padding is that of common libraries).
    /// </summary>
    public static double[] ZeroPhase(Section[] sections, ReadOnlySpan<double> x)
    {
        ArgumentNullException.ThrowIfNull(sections);
        return ZeroPhase(sections, x, Padding(sections, x.Length));
    }

    /// <summary>The usual padding at each end for a signal of <paramref name="length"/> samples: three times the filter's length, less than the signal's.</summary>
    internal static int Padding(Section[] sections, int length)
    {
        int zeroB2 = 0;
        int zeroA2 = 0;
        foreach (var s in sections)
        {
            zeroB2 += s.B2 == 0 ? 1 : 0;
            zeroA2 += s.A2 == 0 ? 1 : 0;
        }

        return Math.Min(3 * ((2 * sections.Length) + 1 - Math.Min(zeroB2, zeroA2)), Math.Max(0, length - 1));
    }

    /// <summary>As above with a stated padding in samples, less than the length of <paramref name="x"/>.</summary>
    public static double[] ZeroPhase(Section[] sections, ReadOnlySpan<double> x, int pad)
    {
        ArgumentNullException.ThrowIfNull(sections);
        int n = x.Length;
        if (n == 0)
        {
            return [];
        }

        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(pad, n);
        var work = new double[n + (2 * pad)];
        for (int i = 0; i < pad; i++)
        {
            work[i] = (2 * x[0]) - x[pad - i];
            work[n + pad + i] = (2 * x[n - 1]) - x[n - 2 - i];
        }

        x.CopyTo(work.AsSpan(pad));
        var filter = new SectionFilter(sections);
        filter.Settle(work[0]);
        filter.Run(work);
        filter.Settle(work[^1]);
        filter.RunBackwards(work);
        return work.AsSpan(pad, n).ToArray();
    }
}
