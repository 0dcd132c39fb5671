namespace Stakeboat.Core.Strokes;

/// <summary>A catch as picked: the deepest point of the acceleration around.</summary>
/// <param name="Depth">How deep, m/s², positive.</param>
/// <param name="Trust">Autocorrelation at the local period.</param>
internal readonly record struct PickedCatch(double Seconds, double Depth, double Period, double Trust);

/// <summary>
/// Picks catches out of band-passed acceleration, one sample at a time and in constant memory; the whole-log and the on-the-water
/// detectors both stand on it. A minimum is a catch when nothing within 0.55 of the local period is deeper, it is deep enough against
/// its neighbours, a drive lifts the acceleration after it (a crew that comes forward and stops checks the boat without a stroke), and
/// the signal is either periodic or plainly a stroke. It is known 0.55 of a period after it happened.
/// </summary>
internal sealed class CatchPicker
{
    /// <summary>No hull in use checks less than this at a stroke, m/s² (my judgement, no source).</summary>
    public const double Least = 0.7;

    private const double Reach = 0.55;
    private readonly double[] _depths = new double[5];
    private readonly double[] _rises = new double[5];
    private int _known;
    private double _rise;
    private double _lastCatch = double.NegativeInfinity;
    private double _candidate;
    private double _candidateDepth;
    private bool _has;
    private double _t1;
    private double _x1 = double.NaN;
    private double _x2 = double.NaN;
    private double _dt;

    /// <summary>Takes a sample with the period and trust that hold there; true when a catch became certain.</summary>
    public bool Push(double t, double x, double period, double trust, out PickedCatch found)
    {
        found = default;
        bool emitted = false;
        if (_has && t - _candidate >= Reach * period)
        {
            if (_candidateDepth >= Threshold(_candidate, period, trust) && _rise >= Lift(_candidate, period))
            {
                found = new PickedCatch(_candidate, _candidateDepth, period, trust);
                Remember(found.Depth, _rise);
                _lastCatch = _candidate;
                emitted = true;
            }

            _has = false;
        }

        // A minimum at the sample before this one.
        if (_x1 < _x2 && _x1 <= x && -_x1 > 0.5 * Least)
        {
            var (shift, height) = Signals.Correlation.Parabola(_x2, _x1, x);
            double at = _t1 + (shift * _dt);
            double depth = -height;
            if (at - _lastCatch > Reach * period && (!_has || depth > _candidateDepth))
            {
                _has = true;
                _candidate = at;
                _candidateDepth = depth;
                _rise = 0;
            }
        }

        if (!double.IsNaN(_x1))
        {
            _dt = t - _t1;
        }

        _rise = Math.Max(_rise, x);

        _x2 = _x1;
        _x1 = x;
        _t1 = t;
        return emitted;
    }

    /// <summary>Forgets the last samples, for instance across a gap.</summary>
    public void Break()
    {
        _x1 = double.NaN;
        _x2 = double.NaN;
        _has = false;
        _lastCatch = double.NegativeInfinity;
    }

    private double Threshold(double at, double period, double trust)
    {
        double least = trust >= 0.5 ? Least : 1.5 * Least;
        if (_known == 0)
        {
            return least;
        }

        double typical = Median(_depths);
        double strokesSince = (at - _lastCatch) / period;
        double share = trust >= 0.5 ? 0.35 : 0.5;
        double ease = strokesSince > 3 ? 0.5 : 1;
        return Math.Max(least, share * ease * typical);
    }

    /// <summary>Least rise after a catch: a share of what the last drives gave, eased after a pause as the depth is.</summary>
    private double Lift(double at, double period)
    {
        if (_known == 0)
        {
            return 0.5 * Least;
        }

        double ease = (at - _lastCatch) / period > 3 ? 0.5 : 1;

        // The first drives from rest lift more than those that follow, so a short memory asks for less.
        double share = _known < 4 ? 0.1 : 0.25;
        return Math.Max(0.5 * Least, share * ease * Median(_rises));
    }

    private void Remember(double depth, double rise)
    {
        if (_known == _depths.Length)
        {
            Array.Copy(_depths, 1, _depths, 0, _depths.Length - 1);
            Array.Copy(_rises, 1, _rises, 0, _rises.Length - 1);
            _known--;
        }

        _depths[_known] = depth;
        _rises[_known++] = rise;
    }

    private double Median(double[] of)
    {
        Span<double> s = stackalloc double[5];
        for (int i = 0; i < _known; i++)
        {
            s[i] = of[i];
        }

        s[.._known].Sort();
        return s[_known / 2];
    }
}
