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
        var scorer = new PeriodScorer(h);
        for (int w = 0; w < windows; w++)
        {
            seconds[w] = ((w * hop) + (0.5 * (width - 1)) + 0.5) * thin / hz;
            scores[w] = scorer.Of(acf.Of(y.AsSpan(w * hop, width)));
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
            trust[w] = Math.Clamp(scores[w][j] + Prior[j], 0, 1);
        }

        return new PeriodTrack(seconds, period, trust);
    }

    /// <summary>
    /// Score of each rate of the grid: the unbiased autocorrelation at its period, less a little for long periods so that the first of
    /// the harmonics wins.
    /// </summary>
    internal sealed class PeriodScorer
    {
        private readonly int[] _index = new int[Rates.Length];
        private readonly double[] _share = new double[Rates.Length];
        private readonly double[] _own = new double[Rates.Length];

        public PeriodScorer(double hz)
        {
            for (int j = 0; j < Rates.Length; j++)
            {
                double lag = hz * 60 / Rates[j];
                _index[j] = (int)lag;
                _share[j] = lag - _index[j];
            }
        }

        public double[] Of(ReadOnlySpan<double> acf)
        {
            var score = new double[Rates.Length];
            Into(acf, score);
            return score;
        }

        private void Into(ReadOnlySpan<double> acf, double[] score)
        {
            for (int j = 0; j < score.Length; j++)
            {
                int i = _index[j];
                score[j] = (i + 1 < acf.Length ? acf[i] + (_share[j] * (acf[i + 1] - acf[i])) : -1) - Prior[j];
            }
        }

        /// <summary>Period and trust from one window alone, for the one-sample-at-a-time form; allocates nothing.</summary>
        public (double Period, double Trust) Single(ReadOnlySpan<double> acf)
        {
            double[] score = _own;
            Into(acf, score);
            int best = 0;
            for (int j = 1; j < score.Length; j++)
            {
                if (score[j] > score[best])
                {
                    best = j;
                }
            }

            return (60 / Rates[best], Math.Clamp(score[best] + Prior[best], 0, 1));
        }
    }

    private static readonly double[] Prior = [.. Rates.Select(r => 0.10 * Math.Log2(HighestRate / r))];

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
