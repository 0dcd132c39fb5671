namespace Stakeboat.Words.Speech;

/// <summary>
/// Sound made ready for a recogniser: rumble and wind below speech taken out, knocks held down, loudness levelled.
/// </summary>
public static class SpeechSound
{
    /// <summary>Samples a second that recognisers take.</summary>
    public const int Rate = 16000;

    /// <summary>Corner of the high-pass, Hz: the fundamental of a low voice is about 85 Hz, its first harmonics suffice.</summary>
    private const double HighPassHz = 110;

    /// <summary>Levelled to this root mean square of the upper quartile of 50 ms frames, of full scale.</summary>
    private const double Target = 0.12;

    /// <summary>Loudest gain: noise of a silent stretch is not blown up further.</summary>
    private const double MostGain = 20;

    /// <summary>In place. A second-order Butterworth high-pass (bilinear), a limiter for frames that stand out of their neighbours, one gain.</summary>
    public static void Level(Span<float> x)
    {
        HighPass(x);
        Knocks(x);
        double gain = Math.Min(MostGain, Target / Math.Max(1e-6, UpperQuartileRms(x)));
        for (int i = 0; i < x.Length; i++)
        {
            // Soft above 0.8: tanh keeps order and never clips.
            double y = x[i] * gain;
            x[i] = (float)(Math.Abs(y) <= 0.8 ? y : Math.Sign(y) * (0.8 + 0.2 * Math.Tanh((Math.Abs(y) - 0.8) / 0.2)));
        }
    }

    private static void HighPass(Span<float> x)
    {
        double w = Math.Tan(Math.PI * HighPassHz / Rate), q = Math.Sqrt(2), n = 1 / (1 + q * w + w * w);
        double b0 = n, b1 = -2 * n, a1 = 2 * (w * w - 1) * n, a2 = (1 - q * w + w * w) * n;
        double z1 = 0, z2 = 0;
        for (int i = 0; i < x.Length; i++)
        {
            double v = x[i], y = b0 * v + z1;
            z1 = b1 * v - a1 * y + z2;
            z2 = b0 * v - a2 * y;
            x[i] = (float)y;
        }
    }

    /// <summary>A 10 ms frame more than four times as loud as the median of its 21 neighbours is brought down to four times: a rowlock, not a vowel.</summary>
    private static void Knocks(Span<float> x)
    {
        const int frame = Rate / 100, reach = 10;
        int n = x.Length / frame;
        var rms = new double[n];
        for (int k = 0; k < n; k++)
        {
            double s = 0;
            for (int i = k * frame; i < (k + 1) * frame; i++)
            {
                s += x[i] * x[i];
            }

            rms[k] = Math.Sqrt(s / frame);
        }

        var near = new double[2 * reach + 1];
        double last = 1;
        for (int k = 0; k < n; k++)
        {
            int from = Math.Max(0, k - reach), count = Math.Min(n, k + reach + 1) - from;
            Array.Copy(rms, from, near, 0, count);
            Array.Sort(near, 0, count);
            double limit = 4 * near[count / 2], gain = rms[k] > limit && limit > 1e-5 ? limit / rms[k] : 1;
            for (int i = 0; i < frame; i++)
            {
                x[k * frame + i] *= (float)(last + (gain - last) * i / frame);
            }

            last = gain;
        }
    }

    private static double UpperQuartileRms(ReadOnlySpan<float> x)
    {
        const int frame = Rate / 20;
        int n = Math.Max(1, x.Length / frame);
        var power = new double[n];
        for (int k = 0; k < n; k++)
        {
            for (int i = k * frame; i < Math.Min(x.Length, (k + 1) * frame); i++)
            {
                power[k] += x[i] * x[i];
            }
        }

        // The upper quartile: silence does not count, and neither does a single bang.
        Array.Sort(power);
        return Math.Sqrt(power[Math.Min(n - 1, 3 * n / 4)] / frame);
    }
}
