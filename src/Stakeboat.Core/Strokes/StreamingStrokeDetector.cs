using Stakeboat.Core.Signals;

namespace Stakeboat.Core.Strokes;

/// <summary>A catch that became certain.</summary>
/// <param name="Seconds">When it happened, on the samples' clock.</param>
/// <param name="Rate">Of the stroke that ended with it, strokes/min; null for the first of a stretch.</param>
/// <param name="SteadyRate">Over the last three strokes, strokes/min; null until there are as many.</param>
/// <param name="Depth">How deep the check's acceleration went, m/s².</param>
/// <param name="Trust">Periodicity in [0, 1].</param>
/// <param name="KnownAt">When it became certain.</param>
public readonly record struct StrokeEvent(double Seconds, double? Rate, double? SteadyRate, double Depth, double Trust, double KnownAt);

/// <summary>
/// Strokes one motion sample at a time, for the phone in the boat: constant memory, no look ahead beyond half a stroke. It shares the
/// filters, the period score and the catch picker with the analysis of whole logs; what it lacks is their zero-phase pass and their
/// sharpening, so catches scatter more (figures in docs/strokes/accuracy.md).
/// </summary>
public sealed class StreamingStrokeDetector
{
    private const double Hz = 50;
    private const double Window = 9;
    private const double Thin = 4;

    private readonly SectionFilter[] _band;
    private readonly double[] _up = new double[3];
    private readonly double[] _cov = new double[6];
    private readonly double[] _axis = new double[3];
    private readonly double[] _sum = new double[3];
    private readonly double[] _history;
    private readonly double[] _window;
    private readonly Autocorrelator _autocorrelator;
    private readonly LocalPeriod.PeriodScorer _scorer = new(Hz / Thin);
    private readonly CatchPicker _picker = new();
    private readonly double[] _lastCatches = new double[4];
    private readonly double _delay;
    private int _catches;
    private int _written;
    private double _thinSum;
    private int _thinCount;
    private long _bin = long.MinValue;
    private int _samples;
    private long _steps;
    private double _period = LocalPeriod.Usual;
    private double _trust;
    private double _down;
    private double _rise;
    private double _speedVote;
    private double _gained;
    private double _lastSpeed = double.NaN;
    private double _gainedAtSpeed;
    private double _last = double.NegativeInfinity;
    private bool _settled;

    public StreamingStrokeDetector()
    {
        var sections = Butterworth.BandPass(2, SensorAnalysis.BandLow, SensorAnalysis.BandHigh, Hz);
        _band = [new SectionFilter(sections), new SectionFilter(sections), new SectionFilter(sections)];
        int width = (int)Math.Round(Window * Hz / Thin);
        _history = new double[width];
        _window = new double[width];
        _autocorrelator = new Autocorrelator(width, (int)Math.Ceiling(Hz / Thin * 60 / LocalPeriod.LowestRate) + 2);
        _delay = GroupDelay(sections, 2) + (0.5 / Hz);
    }

    /// <summary>Period that now holds, s, and how sure it is, in [0, 1].</summary>
    public (double Period, double Trust) Now => (_period, _trust);

    /// <summary>Takes the receiver's speed, which settles which way the axis points. Optional.</summary>
    public void PushSpeed(double speedMps)
    {
        if (!double.IsNaN(_lastSpeed))
        {
            _speedVote = (0.98 * _speedVote) + ((speedMps - _lastSpeed) * (_gained - _gainedAtSpeed));
            if (_speedVote < -0.5)
            {
                Flip();
            }
        }

        _lastSpeed = speedMps;
        _gainedAtSpeed = _gained;
    }

    /// <summary>Takes one sample in m/s² with gravity, in the phone's own frame; times must rise. True when a catch became certain.</summary>
    public bool Push(double seconds, double x, double y, double z, out StrokeEvent found)
    {
        found = default;
        if (!(seconds > _last) || !double.IsFinite(x + y + z))
        {
            return false;
        }

        bool emitted = false;
        long bin = (long)Math.Floor(seconds * Hz);
        if (seconds - _last > 1 && _samples > 0)
        {
            // Across a gap nothing is carried.
            _picker.Break();
            _catches = 0;
            _bin = bin;
            _samples = 0;
            _settled = false;
            Array.Clear(_sum);
        }

        if (bin != _bin && _samples > 0)
        {
            // Close the bin; bins without a sample repeat it.
            double mx = _sum[0] / _samples;
            double my = _sum[1] / _samples;
            double mz = _sum[2] / _samples;
            long empty = Math.Min(bin - _bin, 50);
            for (long k = 0; k < empty; k++)
            {
                emitted |= Step((_bin + k + 0.5) / Hz, mx, my, mz, ref found);
            }

            Array.Clear(_sum);
            _samples = 0;
        }

        _bin = bin;
        _sum[0] += x;
        _sum[1] += y;
        _sum[2] += z;
        _samples++;
        _last = seconds;
        return emitted;
    }

    private bool Step(double t, double x, double y, double z, ref StrokeEvent found)
    {
        if (!_settled)
        {
            _band[0].Settle(x);
            _band[1].Settle(y);
            _band[2].Settle(z);
            if (_steps == 0)
            {
                (_up[0], _up[1], _up[2]) = (x, y, z);
            }

            _settled = true;
        }

        double slow = Math.Max(1.0 / (_steps + 1), 1 / (20 * Hz));
        _up[0] += slow * (x - _up[0]);
        _up[1] += slow * (y - _up[1]);
        _up[2] += slow * (z - _up[2]);
        double bx = _band[0].Step(x);
        double by = _band[1].Step(y);
        double bz = _band[2].Step(z);
        double keep = 1 - Math.Max(1.0 / (_steps + 1), 1 / (15 * Hz));
        double take = 1 - keep;
        _cov[0] = (keep * _cov[0]) + (take * bx * bx);
        _cov[1] = (keep * _cov[1]) + (take * bx * by);
        _cov[2] = (keep * _cov[2]) + (take * bx * bz);
        _cov[3] = (keep * _cov[3]) + (take * by * by);
        _cov[4] = (keep * _cov[4]) + (take * by * bz);
        _cov[5] = (keep * _cov[5]) + (take * bz * bz);
        if (_steps % 25 == 0)
        {
            Turn();
        }

        double f = (_axis[0] * bx) + (_axis[1] * by) + (_axis[2] * bz);
        _gained = (0.995 * _gained) + (f / Hz);

        // Shape's word on polarity while speed has none: the catch is deeper than the drive is high.
        _down = Math.Max(-f, _down * (1 - (0.2 / Hz)));
        _rise = Math.Max(f, _rise * (1 - (0.2 / Hz)));
        if (double.IsNaN(_lastSpeed) && _rise > 1.35 * _down && _rise > 1 && _steps > 4 * Hz)
        {
            Flip();
            f = -f;
        }

        _thinSum += f;
        if (++_thinCount == (int)Thin)
        {
            _history[_written % _history.Length] = _thinSum / Thin;
            _written++;
            _thinSum = 0;
            _thinCount = 0;
        }

        if (_steps % 25 == 24 && _written >= _history.Length)
        {
            int at = _written % _history.Length;
            Array.Copy(_history, at, _window, 0, _history.Length - at);
            Array.Copy(_history, 0, _window, _history.Length - at, at);
            (_period, _trust) = _scorer.Single(_autocorrelator.Of(_window));
        }

        _steps++;
        if (!_picker.Push(t, f, _trust > 0.3 ? _period : LocalPeriod.Usual, _trust, out var picked))
        {
            return false;
        }

        double seconds = picked.Seconds - _delay;
        double? rate = null;
        double? steady = null;
        if (_catches > 0)
        {
            double gap = seconds - _lastCatches[0];
            if (gap > StrokeMeasures.Pause)
            {
                _catches = 0;
            }
            else
            {
                rate = 60 / gap;
                if (_catches >= 3)
                {
                    steady = 180 / (seconds - _lastCatches[2]);
                }
            }
        }

        Array.Copy(_lastCatches, 0, _lastCatches, 1, 3);
        _lastCatches[0] = seconds;
        _catches = Math.Min(_catches + 1, 4);
        found = new StrokeEvent(seconds, rate, steady, picked.Depth, picked.Trust, t);
        return true;
    }

    /// <summary>Follows the axis of the strongest horizontal shaking, keeping its sign.</summary>
    private void Turn()
    {
        double l = Math.Sqrt((_up[0] * _up[0]) + (_up[1] * _up[1]) + (_up[2] * _up[2]));
        var (x, y, z) = ForwardAxis.PrincipalWithout(_cov, _up[0] / l, _up[1] / l, _up[2] / l);
        if ((x * _axis[0]) + (y * _axis[1]) + (z * _axis[2]) < 0)
        {
            (x, y, z) = (-x, -y, -z);
        }

        (_axis[0], _axis[1], _axis[2]) = (x, y, z);
    }

    private void Flip()
    {
        for (int i = 0; i < 3; i++)
        {
            _axis[i] = -_axis[i];
        }

        for (int i = 0; i < _history.Length; i++)
        {
            _history[i] = -_history[i];
        }

        (_down, _rise) = (_rise, _down);
        _speedVote = 0;
        _gained = -_gained;
        _gainedAtSpeed = -_gainedAtSpeed;
        _picker.Break();
        _catches = 0;
    }

    /// <summary>Delay of the filter at a frequency, s: -d phase / d omega by a small difference.</summary>
    private static double GroupDelay(Section[] sections, double frequency)
    {
        const double D = 1e-3;
        double p1 = Butterworth.Phase(sections, frequency - D, Hz);
        double p2 = Butterworth.Phase(sections, frequency + D, Hz);
        double d = Math.IEEERemainder(p2 - p1, 2 * Math.PI);
        return -d / (2 * Math.PI * 2 * D);
    }
}
