using Stakeboat.Core.Signals;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Strokes;

/// <summary>
/// Rate from the sound of the boat: periodicity of an onset envelope in 12 s windows each 2 s (comb over one, two and three periods less
/// a quarter of the half period), a log-normal leaning to 32 strokes/min, and the likeliest path of the rate (Viterbi 1967).
/// It stands on rowlocks and seats; with voice alone it is right about seven times in ten, so it is a third source. Each reading's sd
/// grows as its periodicity falls.
/// </summary>
public static class SoundRate
{
    private const double Window = 12;
    private const double Hop = 2;
    private const double Lowest = 14;
    private const double Highest = 50;
    private const double GridStep = 0.012;

    /// <param name="envelope">Onset envelope.</param>
    /// <param name="hz">Its values a second.</param>
    /// <param name="start">Seconds of its first value on the recording's clock.</param>
    public static IReadOnlyList<RateReading> Find(ReadOnlySpan<double> envelope, double hz = OnsetEnvelope.Hz, double start = 0)
    {
        int width = (int)Math.Round(Window * hz);
        int hop = (int)Math.Round(Hop * hz);
        if (envelope.Length < width)
        {
            return [];
        }

        var rates = new List<double>();
        for (double r = Lowest; r <= Highest; r *= 1 + GridStep)
        {
            rates.Add(r);
        }

        var grid = rates.ToArray();
        int windows = ((envelope.Length - width) / hop) + 1;
        var scores = new double[windows][];
        var correlations = new double[windows][];
        var smooth = Rises(envelope, hz);
        int maxLag = Math.Min(width - 1, (int)Math.Ceiling(hz * 60 / Lowest * 3) + 2);
        for (int w = 0; w < windows; w++)
        {
            var r = Correlation.Biased(smooth.AsSpan(w * hop, width), maxLag);
            Unbias(r, width);
            correlations[w] = r;
            scores[w] = new double[grid.Length];
            for (int j = 0; j < grid.Length; j++)
            {
                double lag = hz * 60 / grid[j];
                double z = Math.Log2(grid[j] / 32) / 0.6;
                scores[w][j] = Peak(r, lag) + (0.7 * Peak(r, 2 * lag)) + (0.5 * Peak(r, 3 * lag)) - (0.25 * Peak(r, 0.5 * lag)) - (0.06 * z * z);
            }
        }

        var path = RatePath.Best(scores, grid, 0.035, 0.12);
        var readings = new RateReading[windows];
        for (int w = 0; w < windows; w++)
        {
            double rate = Refine(correlations[w], hz, grid[path[w]]);
            double clear = Peak(correlations[w], hz * 60 / rate);
            double sd = rate * (0.006 + (0.02 * Math.Clamp(0.5 - clear, 0, 0.5) / 0.5)) + (clear < 0.12 ? 2.5 : 0);
            readings[w] = new RateReading(start + (((w * hop) + (0.5 * width)) / hz), new Estimate(rate, sd), RateSource.Sound);
        }

        return readings;
    }

    /// <summary>Envelope less its mean of 2 s around, smoothed over 50 ms, cut at four times its own mean height so that one shout does not rule a window.</summary>
    private static double[] Rises(ReadOnlySpan<double> x, double hz)
    {
        int n = x.Length;
        var sum = new double[n + 1];
        for (int i = 0; i < n; i++)
        {
            sum[i + 1] = sum[i] + x[i];
        }

        int wide = Math.Max(1, (int)Math.Round(hz));
        int thin = Math.Max(0, (int)Math.Round(0.025 * hz));
        var y = new double[n];
        double height = 0;
        for (int i = 0; i < n; i++)
        {
            int a = Math.Max(0, i - wide);
            int b = Math.Min(n, i + wide + 1);
            int c = Math.Max(0, i - thin);
            int d = Math.Min(n, i + thin + 1);
            y[i] = ((sum[d] - sum[c]) / (d - c)) - ((sum[b] - sum[a]) / (b - a));
            height += Math.Abs(y[i]) / n;
        }

        for (int i = 0; i < n; i++)
        {
            y[i] = Math.Clamp(y[i], -4 * height, 4 * height);
        }

        return y;
    }

    private static void Unbias(double[] r, int width)
    {
        for (int k = 1; k < r.Length; k++)
        {
            r[k] *= Math.Min(4, (double)width / (width - k));
        }
    }

    private static double Peak(double[] r, double lag)
    {
        int i = (int)lag;
        if (i + 1 >= r.Length)
        {
            return 0;
        }

        double f = lag - i;
        return r[i] + (f * (r[i + 1] - r[i]));
    }

    /// <summary>Follows the top of the correlation from the first period outwards, each further multiple sharpening the period.</summary>
    private static double Refine(double[] r, double hz, double rate)
    {
        double period = hz * 60 / rate;
        for (int m = 1; m <= 3; m++)
        {
            int centre = (int)Math.Round(m * period);
            int reach = Math.Max(2, (int)Math.Round(0.04 * period * m));
            if (centre + reach + 1 >= r.Length)
            {
                break;
            }

            int best = centre;
            for (int k = centre - reach; k <= centre + reach; k++)
            {
                if (r[k] > r[best])
                {
                    best = k;
                }
            }

            if (r[best] < 0.05 || best == centre - reach || best == centre + reach)
            {
                break;
            }

            period = (best + Correlation.Parabola(r[best - 1], r[best], r[best + 1]).Shift) / m;
        }

        return 60 * hz / period;
    }
}
