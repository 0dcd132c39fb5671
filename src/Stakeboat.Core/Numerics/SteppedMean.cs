namespace Stakeboat.Core.Numerics;

/// <summary>Steps of a mean: where they are, and how sure one is of a single one.</summary>
public static class SteppedMean
{
    /// <summary>Least squared error with exactly <paramref name="changes"/> steps, each part at least <paramref name="least"/> long (Bellman 1961).</summary>
    public static (int[] After, double SquaredError) Best(ReadOnlySpan<double> x, int changes, int least)
    {
        int n = x.Length;
        var sums = new PrefixSums(x);
        var cost = new double[changes + 1, n + 1];
        var from = new int[changes + 1, n + 1];
        for (int t = 0; t <= n; t++)
        {
            cost[0, t] = t >= least ? sums.Cost(0, t) : double.PositiveInfinity;
        }

        for (int k = 1; k <= changes; k++)
        {
            for (int t = 0; t <= n; t++)
            {
                cost[k, t] = double.PositiveInfinity;
                for (int s = k * least; s <= t - least; s++)
                {
                    double c = cost[k - 1, s] + sums.Cost(s, t);
                    if (c < cost[k, t])
                    {
                        cost[k, t] = c;
                        from[k, t] = s;
                    }
                }
            }
        }

        var after = new int[changes];
        int at = n;
        for (int k = changes; k > 0; k--)
        {
            at = from[k, at];
            after[k - 1] = at;
        }

        return (after, cost[changes, n]);
    }

    /// <summary>Bayesian information criterion of a stepped mean: n (ln(2 pi SSE/n) + 1) + (2 m + 2) ln n with m steps (Schwarz 1978; means, places and one variance count).</summary>
    public static double Information(double squaredError, int n, int changes) =>
        (n * (Math.Log(2 * Math.PI * squaredError / n) + 1)) + (((2 * changes) + 2) * Math.Log(n));

    /// <summary>
    /// Probability of each place of a single step (index = how many come before it) with flat means, 1/sigma and every place from
    /// <paramref name="first"/> to <paramref name="last"/> alike: p(k) ~ (k (n - k))^-1/2 SSE(k)^-(n-2)/2.
    /// </summary>
    public static double[] Posterior(ReadOnlySpan<double> x, int first, int last)
    {
        int n = x.Length;
        var sums = new PrefixSums(x);
        var log = new double[n];
        Array.Fill(log, double.NegativeInfinity);
        double top = double.NegativeInfinity;
        for (int k = first; k <= last; k++)
        {
            double sse = sums.Cost(0, k) + sums.Cost(k, n);
            log[k] = (-0.5 * Math.Log((double)k * (n - k))) - (0.5 * (n - 2) * Math.Log(sse));
            top = Math.Max(top, log[k]);
        }

        double total = 0;
        for (int k = 0; k < n; k++)
        {
            log[k] = Math.Exp(log[k] - top);
            total += log[k];
        }

        for (int k = 0; k < n; k++)
        {
            log[k] /= total;
        }

        return log;
    }

    /// <summary>Variance of the noise from first differences, sum (x[i+1] - x[i])² / (2 (n - 1)): steps hardly count in it (von Neumann 1941).</summary>
    public static double NoiseVariance(ReadOnlySpan<double> x)
    {
        double s = 0;
        for (int i = 1; i < x.Length; i++)
        {
            s += (x[i] - x[i - 1]) * (x[i] - x[i - 1]);
        }

        return s / (2 * (x.Length - 1));
    }

    private sealed class PrefixSums
    {
        private readonly double[] _s;
        private readonly double[] _s2;

        public PrefixSums(ReadOnlySpan<double> x)
        {
            // About the first value, so that squares do not swallow small steps on a large level.
            _s = new double[x.Length + 1];
            _s2 = new double[x.Length + 1];
            for (int i = 0; i < x.Length; i++)
            {
                double d = x[i] - x[0];
                _s[i + 1] = _s[i] + d;
                _s2[i + 1] = _s2[i] + (d * d);
            }
        }

        public double Cost(int from, int to)
        {
            double s = _s[to] - _s[from];
            return Math.Max(0, _s2[to] - _s2[from] - (s * s / (to - from)));
        }
    }
}
