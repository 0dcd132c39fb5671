using System.Numerics;

namespace Stakeboat.Core.Numerics;

/// <summary>A linear functional of a state: Σ factor × component.</summary>
public sealed record Functional(int[] Index, double[] Factor)
{
    public static Functional Of(params (int Index, double Factor)[] parts) =>
        new([.. parts.Select(p => p.Index)], [.. parts.Select(p => p.Factor)]);

    public double Dot(ReadOnlySpan<double> x)
    {
        double sum = 0;
        for (int i = 0; i < Index.Length; i++)
        {
            sum += Factor[i] * x[Index[i]];
        }

        return sum;
    }
}

/// <summary>One elementary change of a state: with <c>Source</c> ≥ 0, x[Target] += Factor x[Source]; else x[Target] *= Factor.</summary>
public readonly record struct StateOp(int Target, int Source, double Factor)
{
    public static StateOp Add(int target, int source, double factor) => new(target, source, factor);

    public static StateOp Scale(int target, double factor) => new(target, -1, factor);
}

/// <summary>Variance that a transition adds at (Row, Column); an entry off the diagonal is added on both sides.</summary>
public readonly record struct NoiseEntry(int Row, int Column, double Variance);

/// <summary>
/// One step of a chain: a transition from the step before (elementary changes in order, then noise), then at most one Gaussian site
/// exp(Shift y - Precision y²/2) on y = Site'x.
/// </summary>
public sealed class ChainStep(StateOp[] ops, NoiseEntry[] noise, Functional? site)
{
    public StateOp[] Ops { get; } = ops;

    /// <summary>Noise of the transition; may be exchanged between runs, so that a search over strengths starts from the last answer.</summary>
    public NoiseEntry[] Noise { get; set; } = noise;

    public Functional? Site { get; } = site;

    /// <summary>Precision times location of the site.</summary>
    public double Shift { get; set; }

    /// <summary>Precision of the site; 0 is no site at all. A negative one is allowed as long as the state stays proper.</summary>
    public double Precision { get; set; }

    /// <summary>After <see cref="GaussianChain.Smooth"/>: mean of the site's y given all other sites.</summary>
    public double CavityMean { get; internal set; }

    /// <summary>+∞ where the other sites leave no proper distribution.</summary>
    public double CavityVariance { get; internal set; }
}

/// <summary>
/// A Gaussian Markov chain with one scalar site a step, filtered forwards and smoothed backwards with rank-one updates only.
/// </summary>
/// <remarks>
/// Forward: Kalman filter in information form of the site. Backward: the adjoint recursion of Bryson and Frazier as modified by Bierman (1973),
/// which needs no inverse. Covariances between steps: Durbin and Koopman (2012), 4.5.6.
/// A smoothed state of n components over N steps costs O(N n²).
/// </remarks>
public sealed class GaussianChain
{
    private readonly int _n;
    private readonly double[] _mean0;
    private readonly double[] _cov0;
    private readonly List<ChainStep> _steps;
    private readonly double[] _x;      // predicted means, a row a step
    private readonly double[] _p;      // predicted covariances
    private readonly double[] _ph;     // P h of each step
    private readonly double[] _v;      // h'P h
    private readonly double[] _m;      // h'x
    private readonly double[] _lambda; // adjoint mean after taking the site in
    private double[]? _big;            // adjoint covariance after taking the site in, kept on request
    private readonly double[] _work, _work2, _adjoint, _adjointCov;

    /// <param name="mean">Prior mean before the first step's transition.</param>
    /// <param name="covariance">Prior covariance, row by row.</param>
    public GaussianChain(double[] mean, double[] covariance, IReadOnlyList<ChainStep> steps)
    {
        _n = mean.Length;
        if (covariance.Length != _n * _n)
        {
            throw new ArgumentException("The covariance must have the square of the mean's length.", nameof(covariance));
        }

        _mean0 = mean;
        _cov0 = covariance;
        _steps = [.. steps];
        int count = _steps.Count;
        _x = new double[count * _n];
        _p = new double[count * _n * _n];
        _ph = new double[count * _n];
        _v = new double[count];
        _m = new double[count];
        _lambda = new double[count * _n];
        _work = new double[_n];
        _work2 = new double[_n];
        _adjoint = new double[_n];
        _adjointCov = new double[_n * _n];
    }

    public IReadOnlyList<ChainStep> Steps => _steps;

    public int Size => _n;

    /// <summary>Prior covariance, row by row; may be refilled between runs.</summary>
    public double[] Prior => _cov0;

    /// <summary>
    /// Sum over the steps of log ∫ exp(shift y - precision y²/2) N(y; predicted) dy of the last <see cref="Smooth"/>.
    /// </summary>
    public double LogMass { get; private set; }

    /// <summary>False where a site of negative precision left the state improper; the results are then of no use.</summary>
    public bool Proper { get; private set; }

    /// <summary>log ∫ exp(shift y - precision y²/2) N(y; mean, variance) dy.</summary>
    public static double LogSiteMass(double shift, double precision, double mean, double variance)
    {
        double s = 1 + precision * variance;
        return -0.5 * Math.Log(s) + (2 * shift * mean + shift * shift * variance - precision * mean * mean) / (2 * s);
    }

    /// <summary>Filters and smooths; fills each step's cavity.</summary>
    /// <param name="keepCovariance">Keep what <see cref="Variance"/> and <see cref="Covariances"/> need.</param>
    public void Smooth(bool keepCovariance)
    {
        Forward();
        if (Proper)
        {
            Backward(keepCovariance);
        }
    }

    private void Forward()
    {
        int n = _n;
        double logMass = 0;
        Proper = true;
        for (int k = 0; k < _steps.Count; k++)
        {
            var step = _steps[k];
            var x = _x.AsSpan(k * n, n);
            var p = _p.AsSpan(k * n * n, n * n);
            if (k == 0)
            {
                _mean0.CopyTo(x);
                _cov0.CopyTo(p);
            }
            else
            {
                _x.AsSpan((k - 1) * n, n).CopyTo(x);
                _p.AsSpan((k - 1) * n * n, n * n).CopyTo(p);
                Update(k - 1, x, p);
            }

            foreach (var op in step.Ops)
            {
                Apply(op, x, p);
            }

            foreach (var noise in step.Noise)
            {
                p[noise.Row * n + noise.Column] += noise.Variance;
                if (noise.Row != noise.Column)
                {
                    p[noise.Column * n + noise.Row] += noise.Variance;
                }
            }

            if (step.Site is { } h)
            {
                var ph = _ph.AsSpan(k * n, n);
                Times(p, h, ph);
                _v[k] = h.Dot(ph);
                _m[k] = h.Dot(x);
                double s = 1 + step.Precision * _v[k];
                if (!(s > 0))
                {
                    Proper = false;
                    return;
                }

                logMass += LogSiteMass(step.Shift, step.Precision, _m[k], _v[k]);
            }
        }

        LogMass = logMass;
    }

    /// <summary>Takes the site of step k into a copy of its predicted state.</summary>
    private void Update(int k, Span<double> x, Span<double> p)
    {
        var step = _steps[k];
        if (step.Site is null || (step.Precision == 0 && step.Shift == 0))
        {
            return;
        }

        int n = _n;
        var ph = _ph.AsSpan(k * n, n);
        double s = 1 + step.Precision * _v[k];
        double gain = (step.Shift - step.Precision * _m[k]) / s;
        double g = step.Precision / s;
        for (int i = 0; i < n; i++)
        {
            x[i] += ph[i] * gain;
            AddScaled(p.Slice(i * n, n), ph, -g * ph[i]);
        }
    }

    private void Backward(bool keep)
    {
        int n = _n;
        if (keep)
        {
            _big ??= new double[_steps.Count * n * n];
        }

        var lambda = _adjoint.AsSpan();
        var big = _adjointCov.AsSpan();
        lambda.Clear();
        big.Clear();
        var w = _work.AsSpan();
        for (int k = _steps.Count - 1; k >= 0; k--)
        {
            var step = _steps[k];
            if (step.Site is { } h)
            {
                var ph = _ph.AsSpan(k * n, n);
                double v = _v[k], m = _m[k];
                Multiply(big, ph, w);
                double q = Dot(ph, w);
                double pl = Dot(ph, lambda);
                double s = 1 + step.Precision * v, g = step.Precision / s;
                double innovation = (step.Shift - step.Precision * m) / s;

                // Smoothed y: filtered, less what the future takes away. Its cavity is that without the site.
                double smoothed = Math.Max(v / s - q / (s * s), 1e-300), mean = m + v * innovation - pl / s;
                double rest = 1 / smoothed - step.Precision;
                step.CavityVariance = rest > 0 ? 1 / rest : double.PositiveInfinity;
                step.CavityMean = rest > 0 ? (mean / smoothed - step.Shift) / rest : mean;
                double onLambda = -innovation - g * pl;
                double onH = g + g * g * q;
                for (int a = 0; a < h.Index.Length; a++)
                {
                    int ia = h.Index[a];
                    double fa = h.Factor[a];
                    lambda[ia] += fa * onLambda;
                    var row = big.Slice(ia * n, n);
                    AddScaled(row, w, -g * fa);
                    for (int b = 0; b < n; b++)
                    {
                        big[b * n + ia] -= g * fa * w[b];
                    }
                }

                for (int a = 0; a < h.Index.Length; a++)
                {
                    for (int b = 0; b < h.Index.Length; b++)
                    {
                        big[h.Index[a] * n + h.Index[b]] += h.Factor[a] * h.Factor[b] * onH;
                    }
                }
            }

            lambda.CopyTo(_lambda.AsSpan(k * n, n));
            if (keep)
            {
                big.CopyTo(_big.AsSpan(k * n * n, n * n));
            }

            for (int o = step.Ops.Length - 1; o >= 0; o--)
            {
                var op = step.Ops[o];
                Apply(op.Source < 0 ? op : new StateOp(op.Source, op.Target, op.Factor), lambda, big);
            }
        }
    }

    /// <summary>Smoothed mean of a functional at a step, given all sites.</summary>
    public double Mean(int step, Functional f)
    {
        var pf = _work.AsSpan();
        Times(_p.AsSpan(step * _n * _n, _n * _n), f, pf);
        return f.Dot(_x.AsSpan(step * _n, _n)) - Dot(pf, _lambda.AsSpan(step * _n, _n));
    }

    /// <summary>Smoothed variance of a functional at a step. Needs <see cref="Smooth"/> with covariances kept.</summary>
    public double Variance(int step, Functional f) => Covariance(step, f, f);

    /// <summary>Smoothed covariance of two functionals at one step.</summary>
    public double Covariance(int step, Functional f, Functional g)
    {
        var big = Big();
        var pf = _work.AsSpan();
        var pg = _work2.AsSpan();
        var p = _p.AsSpan(step * _n * _n, _n * _n);
        Times(p, f, pf);
        Times(p, g, pg);
        double prior = f.Dot(pg);
        double taken = 0;
        var l = big.AsSpan(step * _n * _n, _n * _n);
        for (int i = 0; i < _n; i++)
        {
            taken += pf[i] * Dot(l.Slice(i * _n, _n), pg);
        }

        return prior - taken;
    }

    /// <summary>
    /// Smoothed covariance matrix of functionals at steps, row by row, in the order given. Steps may repeat and need not be sorted.
    /// </summary>
    public double[] Covariances(IReadOnlyList<(int Step, Functional F)> at)
    {
        var big = Big();
        int n = _n, count = at.Count;
        var result = new double[count * count];
        int[] order = [.. Enumerable.Range(0, count).OrderBy(i => at[i].Step)];
        var w = new double[n];
        var pf = new double[n];
        for (int jj = 0; jj < count; jj++)
        {
            int j = order[jj];
            var (stepJ, f) = at[j];
            Times(_p.AsSpan(stepJ * n * n, n * n), f, pf);
            Multiply(big.AsSpan(stepJ * n * n, n * n), pf, w);
            for (int i = 0; i < n; i++)
            {
                w[i] = -w[i];
            }

            for (int i = 0; i < f.Index.Length; i++)
            {
                w[f.Index[i]] += f.Factor[i];
            }

            int step = stepJ;
            for (int ii = jj; ii >= 0; ii--)
            {
                int i = order[ii];
                while (step > at[i].Step)
                {
                    StepBack(step, w);
                    step--;
                }

                Times(_p.AsSpan(step * n * n, n * n), at[i].F, pf);
                double c = Dot(pf, w);
                result[i * count + j] = c;
                result[j * count + i] = c;
            }
        }

        return result;
    }

    /// <summary>w &lt;- C' F' w: from before the site of <paramref name="step"/> to before the site of the step ahead of it.</summary>
    private void StepBack(int step, Span<double> w)
    {
        var ops = _steps[step].Ops;
        for (int o = ops.Length - 1; o >= 0; o--)
        {
            var op = ops[o];
            if (op.Source < 0)
            {
                w[op.Target] *= op.Factor;
            }
            else
            {
                w[op.Source] += op.Factor * w[op.Target];
            }
        }

        var before = _steps[step - 1];
        if (before.Site is { } h && before.Precision != 0)
        {
            double g = before.Precision / (1 + before.Precision * _v[step - 1]);
            double c = g * Dot(_ph.AsSpan((step - 1) * _n, _n), w);
            for (int a = 0; a < h.Index.Length; a++)
            {
                w[h.Index[a]] -= c * h.Factor[a];
            }
        }
    }

    private double[] Big() => _big ?? throw new InvalidOperationException("Covariances were not kept: smooth with keepCovariance.");

    /// <summary>x &lt;- E x, P &lt;- E P E' for an elementary E.</summary>
    private void Apply(StateOp op, Span<double> x, Span<double> p)
    {
        int n = _n;
        var target = p.Slice(op.Target * n, n);
        if (op.Source < 0)
        {
            x[op.Target] *= op.Factor;
            for (int j = 0; j < n; j++)
            {
                target[j] *= op.Factor;
            }

            for (int i = 0; i < n; i++)
            {
                p[i * n + op.Target] *= op.Factor;
            }
        }
        else
        {
            x[op.Target] += op.Factor * x[op.Source];
            AddScaled(target, p.Slice(op.Source * n, n), op.Factor);
            for (int i = 0; i < n; i++)
            {
                p[i * n + op.Target] += op.Factor * p[i * n + op.Source];
            }
        }
    }

    private void Times(ReadOnlySpan<double> p, Functional f, Span<double> result)
    {
        result.Clear();
        for (int a = 0; a < f.Index.Length; a++)
        {
            AddScaled(result, p.Slice(f.Index[a] * _n, _n), f.Factor[a]);
        }
    }

    private void Multiply(ReadOnlySpan<double> p, ReadOnlySpan<double> x, Span<double> result)
    {
        for (int i = 0; i < _n; i++)
        {
            result[i] = Dot(p.Slice(i * _n, _n), x);
        }
    }

    private static void AddScaled(Span<double> target, ReadOnlySpan<double> source, double factor)
    {
        int i = 0, width = Vector<double>.Count;
        var f = new Vector<double>(factor);
        for (; i <= target.Length - width; i += width)
        {
            (new Vector<double>(target[i..]) + f * new Vector<double>(source[i..])).CopyTo(target[i..]);
        }

        for (; i < target.Length; i++)
        {
            target[i] += factor * source[i];
        }
    }

    private static double Dot(ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        int i = 0, width = Vector<double>.Count;
        var sum = Vector<double>.Zero;
        for (; i <= a.Length - width; i += width)
        {
            sum += new Vector<double>(a[i..]) * new Vector<double>(b[i..]);
        }

        double total = Vector.Sum(sum);
        for (; i < a.Length; i++)
        {
            total += a[i] * b[i];
        }

        return total;
    }
}
