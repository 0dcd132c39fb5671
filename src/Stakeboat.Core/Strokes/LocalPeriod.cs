using Stakeboat.Core.Signals;

namespace Stakeboat.Core.Strokes;

/// <summary>The stroke's period around each moment, and how periodic the signal is there.</summary>
/// <param name="Seconds">Centre of each window.</param>
/// <param name="Period">s.</param>
/// <param name="Trust">Autocorrelation at that period, in [0, 1].</param>
internal sealed record PeriodTrack(double[] Seconds, double[] Period, double[] Trust)
{
    public (double Period, double Trust) At(double t)
    {
        int n = Seconds.Length;
        if (n == 0)
        {
            return (LocalPeriod.Usual, 0);
        }

        if (n == 1 || t <= Seconds[0])
        {
            return (Period[0], Trust[0]);
        }

        double x = (t - Seconds[0]) / (Seconds[1] - Seconds[0]);
        int i = Math.Min(n - 2, (int)x);
        double f = Math.Clamp(x - i, 0, 1);
        return (Period[i] + (f * (Period[i + 1] - Period[i])), Trust[i] + (f * (Trust[i + 1] - Trust[i])));
    }
}

/// <summary>Local period by autocorrelation of windows, joined by the cheapest path over a grid of rates (Viterbi 1967).</summary>
internal static class LocalPeriod
{
    public const double Usual = 2;
    public const double LowestRate = 11;
    public const double HighestRate = 54;
    private const double Window = 9;
    private const double Hop = 1;

    /// <summary>Width of the grid of rates, as a share.</summary>
    private const double GridStep = 0.02;

    private static readonly double[] Rates = MakeRates();

    public static PeriodTrack Find(double[] x, double hz)
    {
        int thin = Math.Max(1, (int)Math.Round(hz / 12.5));
        double h = hz / thin;
        int n = x.Length / thin;
        var y = new double[n];
        for (int i = 0; i < n; i++)
        {
            double s = 0;
            for (int k = 0; k < thin; k++)
            {
                s += x[(i * thin) + k];
            }

            y[i] = s / thin;
        }

        int width = (int)Math.Round(Window * h);
        int hop = Math.Max(1, (int)Math.Round(Hop * h));
        if (n < width)
        {
            return new PeriodTrack([], [], []);
        }

        int windows = ((n - width) / hop) + 1;
        var scores = new double[windows][];
        var seconds = new double[windows];
        var acf = new Autocorrelator(width, (int)Math.Ceiling(h * 60 / LowestRate) + 2);
        for (int w = 0; w < windows; w++)
        {
            seconds[w] = ((w * hop) + (0.5 * (width - 1)) + 0.5) * thin / hz;
            scores[w] = Score(acf.Of(y.AsSpan(w * hop, width)), h);
        }

        var path = RatePath.Best(scores, Rates, 0.06 * Math.Sqrt(Hop), 0.35);
        var period = new double[windows];
        var trust = new double[windows];
        for (int w = 0; w < windows; w++)
        {
            int j = path[w];
            double left = j > 0 ? scores[w][j - 1] : scores[w][j];
            double right = j < Rates.Length - 1 ? scores[w][j + 1] : scores[w][j];
            var (shift, _) = Correlation.Parabola(left, scores[w][j], right);
            period[w] = 60 / (Rates[j] * Math.Pow(1 + GridStep, shift));
            trust[w] = Math.Clamp(scores[w][j] + Prior(j), 0, 1);
        }

        return new PeriodTrack(seconds, period, trust);
    }

    /// <summary>Score of each rate of the grid: the unbiased autocorrelation at its period, less a little for long periods so that the first of the harmonics wins.</summary>
    public static double[] Score(ReadOnlySpan<double> acf, double hz)
    {
        var score = new double[Rates.Length];
        for (int j = 0; j < Rates.Length; j++)
        {
            double lag = hz * 60 / Rates[j];
            score[j] = At(acf, lag) - Prior(j);
        }

        return score;
    }

    /// <summary>Period and trust from one window alone, for the one-sample-at-a-time form.</summary>
    public static (double Period, double Trust) Single(ReadOnlySpan<double> acf, double hz)
    {
        var score = Score(acf, hz);
        int best = 0;
        for (int j = 1; j < score.Length; j++)
        {
            if (score[j] > score[best])
            {
                best = j;
            }
        }

        return (60 / Rates[best], Math.Clamp(score[best] + Prior(best), 0, 1));
    }

    private static double Prior(int j) => 0.10 * Math.Log2(HighestRate / Rates[j]);

    private static double At(ReadOnlySpan<double> acf, double lag)
    {
        int i = (int)lag;
        if (i + 1 >= acf.Length)
        {
            return -1;
        }

        double f = lag - i;
        return acf[i] + (f * (acf[i + 1] - acf[i]));
    }

    private static double[] MakeRates()
    {
        var rates = new List<double>();
        for (double r = LowestRate; r <= HighestRate; r *= 1 + GridStep)
        {
            rates.Add(r);
        }

        return [.. rates];
    }
}

/// <summary>Unbiased autocorrelation of one window, scaled by its zero lag; keeps its work space.</summary>
internal sealed class Autocorrelator(int width, int maxLag)
{
    private readonly double[] _x = new double[width];
    private readonly double[] _r = new double[maxLag + 1];

    public ReadOnlySpan<double> Of(ReadOnlySpan<double> x)
    {
        double mean = 0;
        for (int i = 0; i < width; i++)
        {
            mean += x[i] / width;
        }

        for (int i = 0; i < width; i++)
        {
            _x[i] = x[i] - mean;
        }

        int top = Math.Min(maxLag, width - 1);
        for (int k = 0; k <= maxLag; k++)
        {
            if (k > top)
            {
                _r[k] = 0;
                continue;
            }

            double s = 0;
            double a = 0;
            double b = 0;
            int n = width - k;
            for (int i = 0; i < n; i++)
            {
                s += _x[i] * _x[i + k];
                a += _x[i] * _x[i];
                b += _x[i + k] * _x[i + k];
            }

            // Each part has its own energy: a start from rest must not weaken what follows. A short overlap counts for less.
            double e = Math.Sqrt(a * b);
            _r[k] = e > 1e-12 ? s / e * Math.Min(1, 1.6 * n / width) : 0;
        }

        return _r;
    }
}

/// <summary>The likeliest path of a rate through windows, each with a score for each rate of a geometric grid.</summary>
internal static class RatePath
{
    /// <param name="rates">Grid, rising.</param>
    /// <param name="spread">Standard deviation of the change of ln(rate) from window to window.</param>
    /// <param name="temper">A score of this size is worth one nat.</param>
    /// <returns>Index of the rate for each window.</returns>
    public static int[] Best(double[][] scores, double[] rates, double spread, double temper)
    {
        int n = scores.Length;
        int m = rates.Length;
        if (n == 0)
        {
            return [];
        }

        double step = Math.Log(rates[1] / rates[0]);
        int reach = Math.Max(2, (int)Math.Ceiling(4 * spread / step));
        var cost = new double[(2 * reach) + 1];
        for (int d = -reach; d <= reach; d++)
        {
            // A wide tail, so that a real step of the rate may pass.
            double z = d * step / spread;
            cost[d + reach] = 1.5 * Math.Log(1 + (z * z / 3));
        }

        var best = new double[m];
        var next = new double[m];
        var from = new int[n][];
        for (int j = 0; j < m; j++)
        {
            best[j] = scores[0][j] / temper;
        }

        double jump = cost[0] + 2;
        for (int w = 1; w < n; w++)
        {
            from[w] = new int[m];
            int anywhere = 0;
            for (int j = 1; j < m; j++)
            {
                if (best[j] > best[anywhere])
                {
                    anywhere = j;
                }
            }

            for (int j = 0; j < m; j++)
            {
                double top = best[anywhere] - jump;
                int arg = anywhere;
                int a = Math.Max(0, j - reach);
                int b = Math.Min(m - 1, j + reach);
                for (int k = a; k <= b; k++)
                {
                    double v = best[k] - cost[j - k + reach];
                    if (v > top)
                    {
                        top = v;
                        arg = k;
                    }
                }

                next[j] = top + (scores[w][j] / temper);
                from[w][j] = arg;
            }

            (best, next) = (next, best);
        }

        var path = new int[n];
        for (int j = 1; j < m; j++)
        {
            if (best[j] > best[path[n - 1]])
            {
                path[n - 1] = j;
            }
        }

        for (int w = n - 1; w > 0; w--)
        {
            path[w - 1] = from[w][path[w]];
        }

        return path;
    }
}
