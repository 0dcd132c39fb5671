using System.Numerics;

namespace Stakeboat.Core.Signals;

/// <summary>One second-order section, a0 = 1: y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] - a2 y[n-2].</summary>
public readonly record struct Section(double B0, double B1, double B2, double A1, double A2);

/// <summary>
/// Butterworth filters as second-order sections by the bilinear transform with pre-warped edges
/// (Oppenheim and Schafer, Discrete-Time Signal Processing, 7.1-7.2). Frequencies in Hz.
/// </summary>
public static class Butterworth
{
    /// <summary>Low-pass of <paramref name="order"/>, half power at <paramref name="edge"/>.</summary>
    public static Section[] LowPass(int order, double edge, double sampleRate) => Design(order, edge, sampleRate, high: false);

    /// <summary>High-pass of <paramref name="order"/>, half power at <paramref name="edge"/>.</summary>
    public static Section[] HighPass(int order, double edge, double sampleRate) => Design(order, edge, sampleRate, high: true);

    /// <summary>
    /// Band-pass from a prototype of <paramref name="order"/> (twice as many poles), half power at both edges.
    /// Sections run from the upper edge's poles to the lower edge's; zeros at -1 go to the first half, zeros at +1 to the second.
    /// </summary>
    public static Section[] BandPass(int order, double low, double high, double sampleRate)
    {
        Check(order, low, sampleRate);
        Check(order, high, sampleRate);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(low, high);
        double fs2 = 2 * sampleRate;
        double w1 = fs2 * Math.Tan(Math.PI * low / sampleRate);
        double w2 = fs2 * Math.Tan(Math.PI * high / sampleRate);
        double bandwidth = w2 - w1;
        double centre2 = w1 * w2;
        var poles = new List<Complex>();
        Complex gain = Math.Pow(bandwidth, order);
        foreach (var p in Prototype(order))
        {
            var half = p * bandwidth / 2;
            var root = Complex.Sqrt((half * half) - centre2);
            poles.Add(half + root);
            poles.Add(half - root);
        }

        // The analogue band-pass has `order` zeros at 0, which go to +1, and `order` at infinity, which go to -1.
        gain *= Math.Pow(fs2, order);
        var digital = new Complex[poles.Count];
        for (int i = 0; i < poles.Count; i++)
        {
            gain /= fs2 - poles[i];
            digital[i] = (fs2 + poles[i]) / (fs2 - poles[i]);
        }

        var pairs = Pairs(digital);
        // Poles nearest the unit circle last, as is usual, so that the strongest resonance meets an already filtered signal.
        pairs.Sort((a, b) => a.A2.CompareTo(b.A2));
        var sections = new Section[pairs.Count];
        int plus = order;
        int minus = order;
        for (int i = 0; i < pairs.Count; i++)
        {
            int atMinus = Math.Min(2, minus);
            minus -= atMinus;
            int atPlus = 2 - atMinus;
            plus -= atPlus;
            sections[i] = WithZeros(pairs[i], atPlus, atMinus);
        }

        return Scaled(sections, gain.Real);
    }

    /// <summary>Gain of a chain of sections at a frequency.</summary>
    public static double Magnitude(ReadOnlySpan<Section> sections, double frequency, double sampleRate) =>
        Response(sections, frequency, sampleRate).Magnitude;

    /// <summary>Phase of a chain of sections at a frequency, radians in (-pi, pi].</summary>
    public static double Phase(ReadOnlySpan<Section> sections, double frequency, double sampleRate) =>
        Response(sections, frequency, sampleRate).Phase;

    private static Complex Response(ReadOnlySpan<Section> sections, double frequency, double sampleRate)
    {
        var z1 = Complex.Exp(new Complex(0, -2 * Math.PI * frequency / sampleRate));
        var z2 = z1 * z1;
        Complex h = 1;
        foreach (var s in sections)
        {
            h *= (s.B0 + (s.B1 * z1) + (s.B2 * z2)) / (1 + (s.A1 * z1) + (s.A2 * z2));
        }

        return h;
    }

    private static Section[] Design(int order, double edge, double sampleRate, bool high)
    {
        Check(order, edge, sampleRate);
        double fs2 = 2 * sampleRate;
        double w = fs2 * Math.Tan(Math.PI * edge / sampleRate);
        var prototype = Prototype(order);
        var digital = new Complex[order];
        Complex gain = 1;
        for (int i = 0; i < order; i++)
        {
            var p = high ? w / prototype[i] : w * prototype[i];
            gain *= high ? -prototype[i] : w;
            gain /= high ? (fs2 - p) * -prototype[i] / fs2 : fs2 - p;
            digital[i] = (fs2 + p) / (fs2 - p);
        }

        var pairs = Pairs(digital);
        pairs.Sort((a, b) => a.A2.CompareTo(b.A2));
        var sections = new Section[pairs.Count];
        for (int i = 0; i < pairs.Count; i++)
        {
            int zeros = pairs[i].A2 == 0 ? 1 : 2;
            sections[i] = high ? WithZeros(pairs[i], zeros, 0) : WithZeros(pairs[i], 0, zeros);
        }

        return Scaled(sections, gain.Real);
    }

    private static Complex[] Prototype(int order)
    {
        var poles = new Complex[order];
        for (int k = 0; k < order; k++)
        {
            poles[k] = -Complex.Exp(new Complex(0, Math.PI * ((2 * k) - order + 1) / (2.0 * order)));
        }

        return poles;
    }

    private static List<Section> Pairs(Complex[] poles)
    {
        var pairs = new List<Section>();
        var real = new List<double>();
        foreach (var p in poles)
        {
            if (p.Imaginary > 1e-12)
            {
                pairs.Add(new Section(1, 0, 0, -2 * p.Real, (p.Real * p.Real) + (p.Imaginary * p.Imaginary)));
            }
            else if (Math.Abs(p.Imaginary) <= 1e-12)
            {
                real.Add(p.Real);
            }
        }

        real.Sort();
        for (int i = 0; i + 1 < real.Count; i += 2)
        {
            pairs.Add(new Section(1, 0, 0, -(real[i] + real[i + 1]), real[i] * real[i + 1]));
        }

        if (real.Count % 2 == 1)
        {
            pairs.Add(new Section(1, 0, 0, -real[^1], 0));
        }

        return pairs;
    }

    private static Section WithZeros(Section poles, int atPlus, int atMinus) => (atPlus, atMinus) switch
    {
        (2, 0) => poles with { B0 = 1, B1 = -2, B2 = 1 },
        (0, 2) => poles with { B0 = 1, B1 = 2, B2 = 1 },
        (1, 1) => poles with { B0 = 1, B1 = 0, B2 = -1 },
        (1, 0) => poles with { B0 = 1, B1 = -1, B2 = 0 },
        (0, 1) => poles with { B0 = 1, B1 = 1, B2 = 0 },
        _ => poles,
    };

    private static Section[] Scaled(Section[] sections, double gain)
    {
        sections[0] = sections[0] with { B0 = sections[0].B0 * gain, B1 = sections[0].B1 * gain, B2 = sections[0].B2 * gain };
        return sections;
    }

    private static void Check(int order, double edge, double sampleRate)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(order, 1);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(edge);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(edge, sampleRate / 2);
    }
}
