using System.Globalization;

namespace Stakeboat.Readers.Text;

/// <summary>Numbers out of untrusted text: invariant, finite, no thousands marks ("1,5" is never fifteen).</summary>
public static class Numbers
{
    private static readonly double[] s_ten =
    [
        1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
    ];

    /// <summary>10^n for n in 0..22, exact in binary.</summary>
    internal static double PowerOfTen(int n) => s_ten[n];

    /// <summary>Reads a whole field; false where it is no finite number.</summary>
    public static bool TryDouble(ReadOnlySpan<char> text, out double value) =>
        double.TryParse(text.Trim(), NumberStyles.Float, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);

    /// <summary>
    /// Reads a whole field of ASCII digits. Plain decimals of at most 15 digits are exact by one division
    /// (Clinger 1990, "How to read floating point numbers accurately": significand below 2^53 and power of ten up to 22); the rest goes the long way.
    /// </summary>
    /// <param name="decimalMark">A full stop or a comma.</param>
    public static bool TryDouble(ReadOnlySpan<byte> text, byte decimalMark, out double value)
    {
        int i = 0, n = text.Length;
        while (i < n && text[i] is (byte)' ' or (byte)'\t')
        {
            i++;
        }

        while (n > i && text[n - 1] is (byte)' ' or (byte)'\t')
        {
            n--;
        }

        int start = i;
        bool negative = false;
        if (i < n && text[i] is (byte)'-' or (byte)'+')
        {
            negative = text[i] == '-';
            i++;
        }

        long significand = 0;
        int digits = 0, scale = 0;
        bool seenMark = false;
        for (; i < n; i++)
        {
            uint d = (uint)(text[i] - '0');
            if (d <= 9)
            {
                if (++digits > 15)
                {
                    return Slow(text[start..n], decimalMark, out value);
                }

                significand = (significand * 10) + d;
                scale += seenMark ? 1 : 0;
            }
            else if (text[i] == decimalMark && !seenMark)
            {
                seenMark = true;
            }
            else
            {
                return Slow(text[start..n], decimalMark, out value);
            }
        }

        if (digits == 0)
        {
            value = 0;
            return false;
        }

        value = significand / s_ten[scale];
        value = negative ? -value : value;
        return true;
    }

    private static bool Slow(ReadOnlySpan<byte> text, byte decimalMark, out double value)
    {
        value = 0;
        if (text.Length is 0 or > 400)
        {
            return false;
        }

        Span<byte> copy = stackalloc byte[text.Length];
        text.CopyTo(copy);
        if (decimalMark == ',')
        {
            if (copy.Contains((byte)'.'))
            {
                return false;
            }

            copy.Replace((byte)',', (byte)'.');
        }

        return double.TryParse(copy, NumberStyles.Float, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);
    }
}
