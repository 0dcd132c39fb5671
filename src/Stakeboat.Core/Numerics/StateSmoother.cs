namespace Stakeboat.Core.Numerics;

/// <summary>How a small linear state moves from one node to the next: x' = F x + u + w, w ~ N(0, Q).</summary>
public interface IStateModel
{
    /// <summary>Length of the state.</summary>
    int Size { get; }

    /// <summary>How many nodes there are.</summary>
    int Nodes { get; }

    /// <summary>Writes F (row by row), u and Q of the step from <paramref name="node"/> to the next.</summary>
    void Step(int node, Span<double> f, Span<double> u, Span<double> q);
}

/// <summary>One scalar observation z = h x + e, e ~ N(0, variance), or Student-t with that scale where a weight is sought.</summary>
/// <param name="Node">Nodes never fall from one observation to the next.</param>
/// <param name="Row">Which of the rows h.</param>
public readonly record struct Observation(int Node, int Row, double Value, double Variance);

/// <summary>Everything that a pass left behind; nothing is thrown away, so that a person may ask why. Matrices row by row.</summary>
public sealed class Smoothed
{
    internal Smoothed(int size, int nodes, int observations)
    {
        Size = size;
        Nodes = nodes;
        PredictedMean = new double[size * nodes];
        PredictedCovariance = new double[size * size * nodes];
        FilteredMean = new double[size * nodes];
        FilteredCovariance = new double[size * size * nodes];
        Mean = new double[size * nodes];
        Covariance = new double[size * size * nodes];
        Gain = new double[size * size * nodes];
        Innovation = new double[observations];
        InnovationVariance = new double[observations];
        KalmanGain = new double[size * observations];
        Weight = new double[observations];
        Residual = new double[observations];
        ResidualVariance = new double[observations];
    }

    public int Size { get; }

    public int Nodes { get; }

    /// <summary>Before the node's own observations.</summary>
    public double[] PredictedMean { get; }

    public double[] PredictedCovariance { get; }

    /// <summary>With the node's own observations and all earlier ones.</summary>
    public double[] FilteredMean { get; }

    public double[] FilteredCovariance { get; }

    /// <summary>With all observations.</summary>
    public double[] Mean { get; }

    public double[] Covariance { get; }

    /// <summary>The smoother's gain G of each node but the last: the covariance of x[k] with x[k+1] is G[k] P[k+1].</summary>
    public double[] Gain { get; }

    /// <summary>Observation less its prediction, each after the ones before it.</summary>
    public double[] Innovation { get; }

    public double[] InnovationVariance { get; }

    /// <summary>Of each observation, a vector.</summary>
    public double[] KalmanGain { get; }

    /// <summary>Weight of each observation, 1 where no weights were sought.</summary>
    public double[] Weight { get; }

    /// <summary>Observation less its smoothed value.</summary>
    public double[] Residual { get; }

    /// <summary>Variance of the smoothed value of what was observed.</summary>
    public double[] ResidualVariance { get; }

    /// <summary>ln p(z), with -n/2 ln 2 pi; Gaussian with the weights as they stand.</summary>
    public double LogLikelihood { get; internal set; }

    public double At(int node, int i) => Mean[(node * Size) + i];

    public double CovarianceAt(int node, int i, int j) => Covariance[(node * Size * Size) + (i * Size) + j];

    /// <summary>Covariance of component i at node <paramref name="a"/> with component j at a later node <paramref name="b"/>: (G[a] ... G[b-1]) P[b].</summary>
    public double CovarianceBetween(int a, int i, int b, int j)
    {
        int n = Size;
        var row = new double[n];
        var next = new double[n];
        row[i] = 1;
        for (int k = a; k < b; k++)
        {
            for (int c = 0; c < n; c++)
            {
                double s = 0;
                for (int r = 0; r < n; r++)
                {
                    s += row[r] * Gain[(k * n * n) + (r * n) + c];
                }

                next[c] = s;
            }

            (row, next) = (next, row);
        }

        double v = 0;
        for (int r = 0; r < n; r++)
        {
            v += row[r] * CovarianceAt(b, r, j);
        }

        return v;
    }
}

/// <summary>
/// Kalman filter and Rauch-Tung-Striebel smoother (Kalman 1960; Rauch, Tung and Striebel 1965) for small states with scalar
/// observations taken one by one. With <c>freedom</c> the observation errors are Student-t: an observation's variance is divided by
/// w = (nu + 1) / (nu + r²/S), first from its innovation, then again from its smoothed residual with
/// w = (nu + 1) / (nu + (r² + h P h)/R) until settled (expectation-maximisation of the scale mixture, Lange, Little and Taylor 1989).
/// </summary>
public sealed class StateSmoother
{
    private readonly IStateModel _model;
    private readonly double[][] _rows;
    private readonly double[] _mean0;
    private readonly double[] _covariance0;

    /// <param name="rows">The observation rows h that <see cref="Observation.Row"/> names.</param>
    /// <param name="mean0">State before the observations of node 0.</param>
    /// <param name="covariance0">Its covariance, row by row.</param>
    public StateSmoother(IStateModel model, double[][] rows, double[] mean0, double[] covariance0)
    {
        ArgumentNullException.ThrowIfNull(model);
        ArgumentNullException.ThrowIfNull(rows);
        ArgumentNullException.ThrowIfNull(mean0);
        ArgumentNullException.ThrowIfNull(covariance0);
        ArgumentOutOfRangeException.ThrowIfNotEqual(mean0.Length, model.Size);
        ArgumentOutOfRangeException.ThrowIfNotEqual(covariance0.Length, model.Size * model.Size);
        _model = model;
        _rows = rows;
        _mean0 = mean0;
        _covariance0 = covariance0;
    }

    /// <summary>ln p(z) alone, storing nothing. With <paramref name="freedom"/> each innovation is scored by the Student-t density of scale S and updates with its weight.</summary>
    public double Evidence(ReadOnlySpan<Observation> observations, double? freedom = null) => Forward(observations, null, null, freedom);

    /// <summary>Filter and smoother. <paramref name="passes"/> counts re-weightings after the first pass where weights are sought.</summary>
    public Smoothed Run(ReadOnlySpan<Observation> observations, double? freedom = null, int passes = 4)
    {
        var result = new Smoothed(_model.Size, _model.Nodes, observations.Length);
        result.LogLikelihood = Forward(observations, result, null, freedom);
        Backward(result);
        Residuals(observations, result);
        if (freedom is { } nu)
        {
            var weights = new double[observations.Length];
            for (int pass = 0; pass < passes; pass++)
            {
                for (int i = 0; i < weights.Length; i++)
                {
                    double r2 = (result.Residual[i] * result.Residual[i]) + result.ResidualVariance[i];
                    weights[i] = (nu + 1) / (nu + (r2 / observations[i].Variance));
                }

                result.LogLikelihood = Forward(observations, result, weights, null);
                Backward(result);
                Residuals(observations, result);
            }
        }

        return result;
    }

    private double Forward(ReadOnlySpan<Observation> observations, Smoothed? keep, double[]? weights, double? freedom)
    {
        int n = _model.Size;
        int nn = n * n;
        Span<double> x = stackalloc double[n];
        Span<double> p = stackalloc double[nn];
        Span<double> f = stackalloc double[nn];
        Span<double> u = stackalloc double[n];
        Span<double> q = stackalloc double[nn];
        Span<double> t = stackalloc double[nn];
        Span<double> ph = stackalloc double[n];
        _mean0.CopyTo(x);
        _covariance0.CopyTo(p);
        double log = 0;
        double tConstant = freedom is { } nu0
            ? Gamma.Log((nu0 + 1) / 2) - Gamma.Log(nu0 / 2) - (0.5 * Math.Log(nu0 * Math.PI))
            : 0;
        int o = 0;
        for (int k = 0; k < _model.Nodes; k++)
        {
            if (k > 0)
            {
                _model.Step(k - 1, f, u, q);
                Multiply(f, x, ph, n);
                for (int i = 0; i < n; i++)
                {
                    x[i] = ph[i] + u[i];
                }

                Sandwich(f, p, q, t, n);
            }

            if (keep is not null)
            {
                x.CopyTo(keep.PredictedMean.AsSpan(k * n));
                p.CopyTo(keep.PredictedCovariance.AsSpan(k * nn));
            }

            for (; o < observations.Length && observations[o].Node == k; o++)
            {
                var z = observations[o];
                var h = _rows[z.Row];
                double expected = 0;
                double hph = 0;
                for (int i = 0; i < n; i++)
                {
                    double s = 0;
                    for (int j = 0; j < n; j++)
                    {
                        s += p[(i * n) + j] * h[j];
                    }

                    ph[i] = s;
                }

                for (int i = 0; i < n; i++)
                {
                    expected += h[i] * x[i];
                    hph += h[i] * ph[i];
                }

                double innovation = z.Value - expected;
                double weight = 1;
                if (weights is not null)
                {
                    weight = weights[o];
                }
                else if (freedom is { } nu)
                {
                    double s0 = hph + z.Variance;
                    weight = (nu + 1) / (nu + (innovation * innovation / s0));
                }

                double variance = hph + (z.Variance / weight);
                if (freedom is { } nu1)
                {
                    double s0 = hph + z.Variance;
                    log += tConstant - (0.5 * Math.Log(s0)) - (0.5 * (nu1 + 1) * Math.Log(1 + (innovation * innovation / (s0 * nu1))));
                }
                else
                {
                    log -= 0.5 * (Math.Log(2 * Math.PI * variance) + (innovation * innovation / variance));
                }

                double scale = 1 / variance;
                for (int i = 0; i < n; i++)
                {
                    x[i] += ph[i] * scale * innovation;
                    for (int j = 0; j < n; j++)
                    {
                        p[(i * n) + j] -= ph[i] * ph[j] * scale;
                    }
                }

                if (keep is not null)
                {
                    keep.Innovation[o] = innovation;
                    keep.InnovationVariance[o] = variance;
                    keep.Weight[o] = weight;
                    for (int i = 0; i < n; i++)
                    {
                        keep.KalmanGain[(o * n) + i] = ph[i] * scale;
                    }
                }
            }

            if (keep is not null)
            {
                x.CopyTo(keep.FilteredMean.AsSpan(k * n));
                p.CopyTo(keep.FilteredCovariance.AsSpan(k * nn));
            }
        }

        return log;
    }

    private void Backward(Smoothed r)
    {
        int n = r.Size;
        int nn = n * n;
        int last = r.Nodes - 1;
        Array.Copy(r.FilteredMean, last * n, r.Mean, last * n, n);
        Array.Copy(r.FilteredCovariance, last * nn, r.Covariance, last * nn, nn);
        Span<double> f = stackalloc double[nn];
        Span<double> u = stackalloc double[n];
        Span<double> q = stackalloc double[nn];
        Span<double> a = stackalloc double[nn];
        Span<double> b = stackalloc double[nn];
        Span<double> d = stackalloc double[nn];
        for (int k = last - 1; k >= 0; k--)
        {
            _model.Step(k, f, u, q);
            var filtered = r.FilteredCovariance.AsSpan(k * nn, nn);
            var predicted = r.PredictedCovariance.AsSpan((k + 1) * nn, nn);
            var gain = r.Gain.AsSpan(k * nn, nn);

            // G = P F' P'^-1: solve P' G' = F P by Cholesky.
            for (int i = 0; i < n; i++)
            {
                for (int j = 0; j < n; j++)
                {
                    double s = 0;
                    for (int m = 0; m < n; m++)
                    {
                        s += f[(i * n) + m] * filtered[(m * n) + j];
                    }

                    a[(i * n) + j] = s;
                }
            }

            Cholesky.Factor(predicted, b, n);
            Cholesky.Solve(b, a, n, n);
            for (int i = 0; i < n; i++)
            {
                for (int j = 0; j < n; j++)
                {
                    gain[(i * n) + j] = a[(j * n) + i];
                }
            }

            for (int i = 0; i < n; i++)
            {
                double s = r.FilteredMean[(k * n) + i];
                for (int j = 0; j < n; j++)
                {
                    s += gain[(i * n) + j] * (r.Mean[((k + 1) * n) + j] - r.PredictedMean[((k + 1) * n) + j]);
                }

                r.Mean[(k * n) + i] = s;
            }

            for (int i = 0; i < nn; i++)
            {
                d[i] = r.Covariance[((k + 1) * nn) + i] - predicted[i];
            }

            Sandwich(gain, d, filtered, a, n);
            d.CopyTo(r.Covariance.AsSpan(k * nn));
        }
    }

    private void Residuals(ReadOnlySpan<Observation> observations, Smoothed r)
    {
        int n = r.Size;
        for (int o = 0; o < observations.Length; o++)
        {
            var z = observations[o];
            var h = _rows[z.Row];
            double e = 0;
            double v = 0;
            for (int i = 0; i < n; i++)
            {
                e += h[i] * r.Mean[(z.Node * n) + i];
                for (int j = 0; j < n; j++)
                {
                    v += h[i] * h[j] * r.Covariance[(z.Node * n * n) + (i * n) + j];
                }
            }

            r.Residual[o] = z.Value - e;
            r.ResidualVariance[o] = v;
        }
    }

    /// <summary>p = f p f' + q, made symmetric.</summary>
    private static void Sandwich(ReadOnlySpan<double> f, Span<double> p, ReadOnlySpan<double> q, Span<double> work, int n)
    {
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j < n; j++)
            {
                double s = 0;
                for (int m = 0; m < n; m++)
                {
                    s += f[(i * n) + m] * p[(m * n) + j];
                }

                work[(i * n) + j] = s;
            }
        }

        for (int i = 0; i < n; i++)
        {
            for (int j = i; j < n; j++)
            {
                double s = 0.5 * (q[(i * n) + j] + q[(j * n) + i]);
                for (int m = 0; m < n; m++)
                {
                    s += work[(i * n) + m] * f[(j * n) + m];
                }

                p[(i * n) + j] = s;
                p[(j * n) + i] = s;
            }
        }
    }

    private static void Multiply(ReadOnlySpan<double> f, ReadOnlySpan<double> x, Span<double> y, int n)
    {
        for (int i = 0; i < n; i++)
        {
            double s = 0;
            for (int j = 0; j < n; j++)
            {
                s += f[(i * n) + j] * x[j];
            }

            y[i] = s;
        }
    }
}
