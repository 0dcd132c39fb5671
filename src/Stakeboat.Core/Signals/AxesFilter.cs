using System.Runtime.Intrinsics;

namespace Stakeboat.Core.Signals;

/// <summary>
/// A chain of second-order sections over four signals at once, one to each lane of a vector: the arithmetic of each lane is that of
/// <see cref="SectionFilter"/>.
/// </summary>
internal static class AxesFilter
{
    /// <summary>Forwards and backwards over three axes and nothing in the fourth lane; padded as <see cref="SectionFilter.ZeroPhase(Section[], ReadOnlySpan{double})"/> pads.</summary>
    public static Vector256<double>[] ZeroPhase(Section[] sections, double[] x, double[] y, double[] z)
    {
        int n = x.Length;
        if (n == 0)
        {
            return [];
        }

        int pad = SectionFilter.Padding(sections, n);
        var work = new Vector256<double>[n + (2 * pad)];
        for (int i = 0; i < n; i++)
        {
            work[pad + i] = Vector256.Create(x[i], y[i], z[i], 0);
        }

        for (int i = 0; i < pad; i++)
        {
            work[i] = (2 * work[pad]) - work[(2 * pad) - i];
            work[n + pad + i] = (2 * work[n + pad - 1]) - work[n + pad - 2 - i];
        }

        foreach (var section in sections)
        {
            Run(section, work, 0, 1);
        }

        foreach (var section in sections)
        {
            Run(section, work, work.Length - 1, -1);
        }

        return pad == 0 ? work : work[pad..^pad];
    }

    /// <summary>One section over all, begun as after an endless past at the first value.</summary>
    private static void Run(Section s, Vector256<double>[] x, int from, int step)
    {
        var first = x[from];
        var settled = first * ((s.B0 + s.B1 + s.B2) / (1 + s.A1 + s.A2));
        var z2 = (s.B2 * first) - (s.A2 * settled);
        var z1 = (s.B1 * first) - (s.A1 * settled) + z2;
        var b0 = Vector256.Create(s.B0);
        var b1 = Vector256.Create(s.B1);
        var b2 = Vector256.Create(s.B2);
        var a1 = Vector256.Create(s.A1);
        var a2 = Vector256.Create(s.A2);
        for (int n = from; (uint)n < (uint)x.Length; n += step)
        {
            var v = x[n];
            var y = (b0 * v) + z1;
            z1 = (b1 * v) - (a1 * y) + z2;
            z2 = (b2 * v) - (a2 * y);
            x[n] = y;
        }
    }
}
