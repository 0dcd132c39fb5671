using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief;

/// <summary>A quantity over time with its standard deviation, sampled at rising instants on the debrief's clock (s). Linear between samples.</summary>
public sealed class Curve
{
    private readonly double[] _t, _mean, _sd;
    private readonly double _longestGap;

    /// <param name="t">Rising, s.</param>
    /// <param name="mean">In the quantity's unit.</param>
    /// <param name="sd">In the quantity's unit.</param>
    /// <param name="longestGap">No value is given inside a gap longer than this, s.</param>
    /// <exception cref="ArgumentException">The columns differ in length or time does not rise.</exception>
    public Curve(double[] t, double[] mean, double[] sd, double longestGap = 6)
    {
        if (t.Length != mean.Length || t.Length != sd.Length)
        {
            throw new ArgumentException("The columns of a curve must have one length.", nameof(mean));
        }

        for (int i = 1; i < t.Length; i++)
        {
            if (!(t[i] > t[i - 1]))
            {
                throw new ArgumentException("The instants of a curve must rise.", nameof(t));
            }
        }

        _t = t;
        _mean = mean;
        _sd = sd;
        _longestGap = longestGap;
    }

    public int Count => _t.Length;

    public double From => _t.Length > 0 ? _t[0] : double.NaN;

    public double To => _t.Length > 0 ? _t[^1] : double.NaN;

    public ReadOnlySpan<double> T => _t;

    public ReadOnlySpan<double> Mean => _mean;

    public ReadOnlySpan<double> Sd => _sd;

    /// <summary>The value at <paramref name="t"/>, or null outside the curve and inside its gaps.</summary>
    public Estimate? At(double t)
    {
        if (_t.Length == 0 || t < _t[0] || t > _t[^1])
        {
            return null;
        }

        int i = Array.BinarySearch(_t, t);
        if (i >= 0)
        {
            return new Estimate(_mean[i], _sd[i]);
        }

        i = ~i;
        double span = _t[i] - _t[i - 1];
        if (span > _longestGap)
        {
            return null;
        }

        double w = (t - _t[i - 1]) / span;
        return new Estimate(_mean[i - 1] + w * (_mean[i] - _mean[i - 1]), _sd[i - 1] + w * (_sd[i] - _sd[i - 1]));
    }

    /// <summary>First instant at which the curve reaches <paramref name="value"/> going up, or null.</summary>
    public double? FirstReaches(double value)
    {
        for (int i = 0; i < _t.Length; i++)
        {
            if (_mean[i] >= value)
            {
                return i == 0 || _mean[i] == _mean[i - 1] ? _t[i]
                    : _t[i - 1] + (_t[i] - _t[i - 1]) * (value - _mean[i - 1]) / (_mean[i] - _mean[i - 1]);
            }
        }

        return null;
    }

    /// <summary>Time average over [from, to] by the trapezium rule on the samples inside, or null where fewer than two are.</summary>
    public double? Average(double from, double to)
    {
        int first = LowerBound(from), last = LowerBound(to);
        if (last - first < 2)
        {
            return null;
        }

        double area = 0;
        for (int i = first + 1; i < last; i++)
        {
            area += 0.5 * (_mean[i] + _mean[i - 1]) * (_t[i] - _t[i - 1]);
        }

        return area / (_t[last - 1] - _t[first]);
    }

    private int LowerBound(double t)
    {
        int i = Array.BinarySearch(_t, t);
        return i >= 0 ? i : ~i;
    }
}
