namespace Stakeboat.Core.Numerics;

/// <summary>A level that wanders, seen with noise: y = mu + e, mu' = mu + n (Durbin and Koopman 2012, chapter 2). NaN is a missing value.</summary>
public static class LocalLevel
{
    private sealed class Walk(int nodes, double q) : IStateModel
    {
        public int Size => 1;

        public int Nodes => nodes;

        public void Step(int node, Span<double> f, Span<double> u, Span<double> p)
        {
            f[0] = 1;
            u[0] = 0;
            p[0] = q;
        }
    }

    /// <summary>Smoothed level, its variance, and ln p of all observations after the first under an unknown first level (exact diffuse start, without its constant).</summary>
    public static (double[] Level, double[] Variance, double LogLikelihood) Smooth(ReadOnlySpan<double> y, double observationVariance, double levelVariance)
    {
        int n = y.Length;
        int first = 0;
        while (first < n && double.IsNaN(y[first]))
        {
            first++;
        }

        if (first == n)
        {
            throw new ArgumentException("A local level needs at least one value that is not missing.", nameof(y));
        }

        var observations = new List<Observation>(n);
        for (int i = first + 1; i < n; i++)
        {
            if (!double.IsNaN(y[i]))
            {
                observations.Add(new Observation(i - first, 0, y[i], observationVariance));
            }
        }

        var run = new StateSmoother(new Walk(n - first, levelVariance), [[1]], [y[first]], [observationVariance]).Run(observations.ToArray());
        var level = new double[n];
        var variance = new double[n];
        for (int i = 0; i < n; i++)
        {
            int k = Math.Max(0, i - first);
            level[i] = run.Mean[k];
            variance[i] = run.Covariance[k] + (Math.Max(0, first - i) * levelVariance);
        }

        return (level, variance, run.LogLikelihood);
    }
}
