using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

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

/// <summary>
/// One elementary change of a state, for <c>Count</c> neighbouring components at once: with <c>Source</c> ≥ 0, x[Target + i] += Factor x[Source + i];
/// else x[Target + i] *= Factor. Target and source must not overlap.
/// </summary>
public readonly record struct StateOp(int Target, int Source, double Factor, int Count = 1)
{
    public static StateOp Add(int target, int source, double factor, int count = 1) => new(target, source, factor, count);

    public static StateOp Scale(int target, double factor, int count = 1) => new(target, -1, factor, count);
}

/// <summary>Variance that a transition adds at (Row, Column); an entry off the diagonal is added on both sides.</summary>
public readonly record struct NoiseEntry(int Row, int Column, double Variance);

/// <summary>
/// One step of a chain: a transition from the step before (elementary changes in order, then noise), then at most one Gaussian site
/// exp(Shift y - Precision y²/2) on y = Site'x.
/// </summary>
/// <param name="asked">Whether means and covariances at this step will be asked for; false saves their memory.</param>
public sealed class ChainStep(StateOp[] ops, NoiseEntry[] noise, Functional? site, bool asked = true)
{
    public bool Asked { get; } = asked;

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
    private readonly ChainStep[] _steps;
    private readonly double[] _ph;     // P h of each step
    private readonly double[] _v;      // h'P h
    private readonly double[] _m;      // h'x
    private readonly int[] _kept;      // row of each step in what is kept; -1: not asked
    private readonly int _keptCount;
    private double[]? _x;              // predicted means of the steps asked for
    private double[]? _p;              // predicted covariances
    private double[]? _lambda;         // adjoint means after taking the site in
    private double[]? _big;            // adjoint covariances after taking the site in
    private readonly Functional[] _traced;
    private readonly Lock _gate = new();
    private double[]? _tracedPf;       // P f of every functional traced, at the steps asked for
    private bool _whole;               // what is kept belongs to the sites as they were smoothed last
    private readonly double[] _runX, _runP, _work, _work2, _adjoint, _adjointCov;

    /// <param name="mean">Prior mean before the first step's transition.</param>
    /// <param name="covariance">Prior covariance, row by row.</param>
    /// <param name="traced">Functionals whose means and variances <see cref="Trace"/> finds at every step that is asked for.</param>
    public GaussianChain(double[] mean, double[] covariance, IReadOnlyList<ChainStep> steps, IReadOnlyList<Functional>? traced = null)
    {
        _traced = [.. traced ?? []];
        _n = mean.Length;
        if (covariance.Length != _n * _n)
        {
            throw new ArgumentException("The covariance must have the square of the mean's length.", nameof(covariance));
        }

        _mean0 = mean;
        _cov0 = covariance;
        _steps = [.. steps];
        int count = _steps.Length;
        _ph = new double[count * _n];
        _v = new double[count];
        _m = new double[count];
        _kept = new int[count];
        for (int k = 0; k < count; k++)
        {
            _kept[k] = _steps[k].Asked ? _keptCount++ : -1;
        }

        _runX = new double[_n];
        _runP = new double[_n * _n];
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

    /// <summary>Means of the traced functionals, a row a step asked for; after <see cref="Trace"/>.</summary>
    public double[] TracedMean { get; private set; } = [];

    /// <summary>Their variances.</summary>
    public double[] TracedVariance { get; private set; } = [];

    /// <summary>Filters and smooths; fills each step's cavity.</summary>
    /// <param name="keepCovariance">Keep at once what <see cref="Mean"/>, <see cref="Variance"/> and <see cref="Covariances"/> need; else the first
    /// that is asked for smooths once more, with the sites as they are then.</param>
    public void Smooth(bool keepCovariance)
    {
        if (keepCovariance && _x is null)
        {
            _x = GC.AllocateUninitializedArray<double>(_keptCount * _n);
            _p = GC.AllocateUninitializedArray<double>(_keptCount * _n * _n);
            _lambda = GC.AllocateUninitializedArray<double>(_keptCount * _n);
            _big = GC.AllocateUninitializedArray<double>(_keptCount * _n * _n);
        }

        _whole = false;
        Forward(keepCovariance);
        if (Proper)
        {
            Backward(keepCovariance);
            _whole = keepCovariance;
        }
    }

    /// <summary>Smooths without keeping covariances, but finds mean and variance of the traced functionals at every step asked for.</summary>
    public void Trace()
    {
        int rows = _keptCount * _traced.Length;
        TracedMean = new double[rows];
        TracedVariance = new double[rows];
        _tracedPf = GC.AllocateUninitializedArray<double>(rows * _n);
        Smooth(keepCovariance: false);
        _tracedPf = null;
    }

    private void Forward(bool keep)
    {
        int n = _n;
        double logMass = 0;
        Proper = true;
        var x = _runX.AsSpan();
        var p = _runP.AsSpan();
        _mean0.CopyTo(x);
        _cov0.CopyTo(p);
        for (int k = 0; k < _steps.Length; k++)
        {
            var step = _steps[k];
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

            if (keep && _kept[k] >= 0)
            {
                x.CopyTo(_x.AsSpan(_kept[k] * n, n));
                p.CopyTo(_p.AsSpan(_kept[k] * n * n, n * n));
            }

            if (_tracedPf is not null && _kept[k] >= 0)
            {
                TraceForward(_kept[k], x, p);
            }

            if (step.Site is not { } h)
            {
                continue;
            }

            var ph = _ph.AsSpan(k * n, n);
            Times(p, h, ph);
            double v = h.Dot(ph), m = h.Dot(x);
            _v[k] = v;
            _m[k] = m;
            double s = 1 + step.Precision * v;
            if (!(s > 0))
            {
                Proper = false;
                return;
            }

            logMass += LogSiteMass(step.Shift, step.Precision, m, v);
            if (step.Precision == 0 && step.Shift == 0)
            {
                continue;
            }

            double gain = (step.Shift - step.Precision * m) / s;
            double g = step.Precision / s;
            AddScaled(x, ph, gain);
            for (int i = 0; i < n; i++)
            {
                AddScaled(p.Slice(i * n, n), ph, -g * ph[i]);
            }
        }

        LogMass = logMass;
    }

    private void Backward(bool keep)
    {
        int n = _n;
        var lambda = _adjoint.AsSpan();
        var big = _adjointCov.AsSpan();
        lambda.Clear();
        big.Clear();
        var w = _work.AsSpan();
        for (int k = _steps.Length - 1; k >= 0; k--)
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
                if (step.Precision != 0 || step.Shift != 0)
                {
                    TakeInBackward(h, lambda, big, w, g, -innovation - g * pl, g + g * g * q);
                }
            }

            if (keep && _kept[k] >= 0)
            {
                lambda.CopyTo(_lambda.AsSpan(_kept[k] * n, n));
                big.CopyTo(_big.AsSpan(_kept[k] * n * n, n * n));
            }

            if (_tracedPf is not null && _kept[k] >= 0)
            {
                TraceBackward(_kept[k], lambda, big);
            }

            for (int o = step.Ops.Length - 1; o >= 0; o--)
            {
                var op = step.Ops[o];
                Apply(op.Source < 0 ? op : op with { Target = op.Source, Source = op.Target }, lambda, big);
            }
        }
    }

    private void TraceForward(int kept, ReadOnlySpan<double> x, ReadOnlySpan<double> p)
    {
        for (int f = 0; f < _traced.Length; f++)
        {
            int row = kept * _traced.Length + f;
            var pf = _tracedPf.AsSpan(row * _n, _n);
            Times(p, _traced[f], pf);
            TracedMean[row] = _traced[f].Dot(x);
            TracedVariance[row] = _traced[f].Dot(pf);
        }
    }

    private void TraceBackward(int kept, ReadOnlySpan<double> lambda, ReadOnlySpan<double> big)
    {
        for (int f = 0; f < _traced.Length; f++)
        {
            int row = kept * _traced.Length + f;
            var pf = _tracedPf.AsSpan(row * _n, _n);
            Multiply(big, pf, _work2);
            TracedMean[row] -= Dot(pf, lambda);
            TracedVariance[row] -= Dot(pf, _work2);
        }
    }

    /// <summary>λ += h onLambda, Λ += hh' onH - g (hw' + wh').</summary>
    private void TakeInBackward(Functional h, Span<double> lambda, Span<double> big, ReadOnlySpan<double> w, double g, double onLambda, double onH)
    {
        int n = _n;
        for (int a = 0; a < h.Index.Length; a++)
        {
            int ia = h.Index[a];
            double fa = h.Factor[a], gf = g * fa;
            lambda[ia] += fa * onLambda;
            AddScaled(big.Slice(ia * n, n), w, -gf);
            for (int b = 0; b < n; b++)
            {
                big[b * n + ia] -= gf * w[b];
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

    /// <summary>Smoothed mean of a functional at a step, given all sites.</summary>
    public double Mean(int step, Functional f)
    {
        lock (_gate)
        {
            Whole();
            var pf = _work.AsSpan();
            Times(P(step), f, pf);
            return f.Dot(_x.AsSpan(_kept[step] * _n, _n)) - Dot(pf, _lambda.AsSpan(_kept[step] * _n, _n));
        }
    }

    private void Whole()
    {
        if (!_whole)
        {
            Smooth(keepCovariance: true);
        }
    }

    /// <summary>Smoothed mean and variance of a functional at a step.</summary>
    public (double Mean, double Variance) Moments(int step, Functional f)
    {
        lock (_gate)
        {
            Whole();
            return MomentsNow(step, f);
        }
    }

    private (double Mean, double Variance) MomentsNow(int step, Functional f)
    {
        var pf = _work.AsSpan();
        Times(P(step), f, pf);
        double mean = f.Dot(_x.AsSpan(_kept[step] * _n, _n)) - Dot(pf, _lambda.AsSpan(_kept[step] * _n, _n));
        var lp = _work2.AsSpan();
        Multiply(L(step), pf, lp);
        return (mean, f.Dot(pf) - Dot(pf, lp));
    }

    /// <summary>Smoothed variance of a functional at a step.</summary>
    public double Variance(int step, Functional f) => Moments(step, f).Variance;

    /// <summary>Smoothed covariance of two functionals at one step.</summary>
    public double Covariance(int step, Functional f, Functional g) => Covariances([(step, f), (step, g)])[1];

    private ReadOnlySpan<double> P(int step) => Kept(_p, step);

    private ReadOnlySpan<double> L(int step) => Kept(_big, step);

    private ReadOnlySpan<double> Kept(double[]? all, int step)
    {
        if (all is null || _kept[step] < 0)
        {
            throw new InvalidOperationException("This step was not kept: ask for it when the chain is made.");
        }

        return all.AsSpan(_kept[step] * _n * _n, _n * _n);
    }

    /// <summary>
    /// Smoothed covariance matrix of functionals at steps, row by row, in the order given. Steps may repeat and need not be sorted.
    /// </summary>
    public double[] Covariances(IReadOnlyList<(int Step, Functional F)> at)
    {
        lock (_gate)
        {
            Whole();
            return CovariancesNow(at);
        }
    }

    private double[] CovariancesNow(IReadOnlyList<(int Step, Functional F)> at)
    {
        int n = _n, count = at.Count;
        var result = new double[count * count];
        int[] order = [.. Enumerable.Range(0, count).OrderBy(i => at[i].Step)];
        var w = new double[n];
        var pf = new double[n];
        for (int jj = 0; jj < count; jj++)
        {
            int j = order[jj];
            var (stepJ, f) = at[j];
            Times(P(stepJ), f, pf);
            Multiply(L(stepJ), pf, w);
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

                Times(P(step), at[i].F, pf);
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
            for (int i = 0; i < op.Count; i++)
            {
                if (op.Source < 0)
                {
                    w[op.Target + i] *= op.Factor;
                }
                else
                {
                    w[op.Source + i] += op.Factor * w[op.Target + i];
                }
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

    /// <summary>x &lt;- E x, P &lt;- E P E' for an elementary E.</summary>
    private void Apply(StateOp op, Span<double> x, Span<double> p)
    {
        int n = _n, count = op.Count;
        if (op.Source < 0)
        {
            for (int q = op.Target; q < op.Target + count; q++)
            {
                x[q] *= op.Factor;
                Scale(p.Slice(q * n, n), op.Factor);
            }

            for (int i = op.Target; i < p.Length; i += n)
            {
                Scale(p.Slice(i, count), op.Factor);
            }
        }
        else
        {
            for (int q = 0; q < count; q++)
            {
                x[op.Target + q] += op.Factor * x[op.Source + q];
                AddScaled(p.Slice((op.Target + q) * n, n), p.Slice((op.Source + q) * n, n), op.Factor);
            }

            for (int i = 0; i < p.Length; i += n)
            {
                AddScaled(p.Slice(i + op.Target, count), p.Slice(i + op.Source, count), op.Factor);
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

    /// <summary>A symmetric matrix times a vector, row after row without sums across.</summary>
    private void Multiply(ReadOnlySpan<double> symmetric, ReadOnlySpan<double> x, Span<double> result)
    {
        result.Clear();
        for (int i = 0; i < _n; i++)
        {
            if (x[i] != 0)
            {
                AddScaled(result, symmetric.Slice(i * _n, _n), x[i]);
            }
        }
    }

    private static void Scale(Span<double> target, double factor)
    {
        for (int i = 0; i < target.Length; i++)
        {
            target[i] *= factor;
        }
    }

    private static void AddScaled(Span<double> target, ReadOnlySpan<double> source, double factor)
    {
        ref double to = ref MemoryMarshal.GetReference(target);
        ref double from = ref MemoryMarshal.GetReference(source);
        int i = 0, width = Vector<double>.Count, count = target.Length;
        if (count >= width)
        {
            var f = new Vector<double>(factor);
            for (; i <= count - width; i += width)
            {
                var sum = Vector.LoadUnsafe(ref to, (nuint)i) + f * Vector.LoadUnsafe(ref from, (nuint)i);
                sum.StoreUnsafe(ref to, (nuint)i);
            }
        }

        for (; i < count; i++)
        {
            Unsafe.Add(ref to, i) += factor * Unsafe.Add(ref from, i);
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
