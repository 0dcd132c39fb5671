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

    /// <summary>Runs over an array in place, section by section (the same arithmetic as <see cref="Step"/>).</summary>
    public void Run(Span<double> x)
    {
        for (int i = 0; i < _sections.Length; i++)
        {
            var (b0, b1, b2, a1, a2) = _sections[i];
            double z1 = _state[2 * i];
            double z2 = _state[(2 * i) + 1];
            for (int n = 0; n < x.Length; n++)
            {
                double v = x[n];
                double y = (b0 * v) + z1;
                z1 = (b1 * v) - (a1 * y) + z2;
                z2 = (b2 * v) - (a2 * y);
                x[n] = y;
            }

            _state[2 * i] = z1;
            _state[(2 * i) + 1] = z2;
        }
    }

    /// <summary>
    /// Forwards and backwards, so without delay: the gain is squared. Ends are padded by odd reflection, three times the filter's
    /// length, and each pass starts settled (Gustafsson 1996 gives the idea of matched ends; the padding is that of common libraries).
    /// </summary>
    public static double[] ZeroPhase(Section[] sections, ReadOnlySpan<double> x)
    {
        ArgumentNullException.ThrowIfNull(sections);
        int zeroB2 = 0;
        int zeroA2 = 0;
        foreach (var s in sections)
        {
            zeroB2 += s.B2 == 0 ? 1 : 0;
            zeroA2 += s.A2 == 0 ? 1 : 0;
        }

        int pad = 3 * ((2 * sections.Length) + 1 - Math.Min(zeroB2, zeroA2));
        return ZeroPhase(sections, x, Math.Min(pad, Math.Max(0, x.Length - 1)));
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
        Array.Reverse(work);
        filter.Settle(work[0]);
        filter.Run(work);
        Array.Reverse(work);
        return work.AsSpan(pad, n).ToArray();
    }
}
