using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Strokes;

/// <summary>The hull at one instant.</summary>
/// <param name="Metres">Way made along the track since the first sample, m.</param>
/// <param name="SpeedMps">Over ground along the track, m/s.</param>
public readonly record struct HullSample(Instant<SensorClock> At, double Metres, double MetresSd, double SpeedMps, double SpeedSd);

/// <summary>
/// Position and speed of the hull along the track on an even grid, with their standard deviations, and anything between by cubic
/// Hermite interpolation (position's slope is speed).
/// </summary>
public sealed class HullSignal
{
    private readonly double _start;
    private readonly double _step;
    private readonly double[] _metres;
    private readonly double[] _speed;
    private readonly float[] _metresSd;
    private readonly float[] _speedSd;

    internal HullSignal(double start, double step, double[] metres, double[] speed, float[] metresSd, float[] speedSd)
    {
        _start = start;
        _step = step;
        _metres = metres;
        _speed = speed;
        _metresSd = metresSd;
        _speedSd = speedSd;
    }

    /// <summary>First instant that is covered.</summary>
    public Instant<SensorClock> From => Instant<SensorClock>.FromSeconds(_start);

    /// <summary>Last instant that is covered.</summary>
    public Instant<SensorClock> To => Instant<SensorClock>.FromSeconds(_start + (_step * (_metres.Length - 1)));

    /// <summary>Rate of the grid on which it was computed, Hz.</summary>
    public double Hz => 1 / _step;

    public int Count => _metres.Length;

    internal double Start => _start;

    internal double Step => _step;

    internal double[] SpeedGrid => _speed;

    internal double[] MetresGrid => _metres;

    internal float[] SpeedSdGrid => _speedSd;

    internal float[] MetresSdGrid => _metresSd;

    /// <summary>The hull at an instant; outside the covered span the nearest end.</summary>
    public HullSample At(Instant<SensorClock> t)
    {
        double x = (t.Seconds - _start) / _step;
        int n = _metres.Length;
        int i = (int)Math.Floor(x);
        if (i < 0)
        {
            i = 0;
            x = 0;
        }

        if (i >= n - 1)
        {
            i = Math.Max(0, n - 2);
            x = n - 1;
        }

        if (n == 1)
        {
            return new HullSample(t, _metres[0], _metresSd[0], _speed[0], _speedSd[0]);
        }

        double f = x - i;
        double f2 = f * f;
        double f3 = f2 * f;
        double m = (((2 * f3) - (3 * f2) + 1) * _metres[i]) + ((f3 - (2 * f2) + f) * _step * _speed[i])
            + (((3 * f2) - (2 * f3)) * _metres[i + 1]) + ((f3 - f2) * _step * _speed[i + 1]);
        double v = _speed[i] + (f * (_speed[i + 1] - _speed[i]));
        return new HullSample(t, m, _metresSd[i] + (f * (_metresSd[i + 1] - _metresSd[i])), v, _speedSd[i] + (f * (_speedSd[i + 1] - _speedSd[i])));
    }

    /// <summary>The whole span at <paramref name="hz"/> samples a second.</summary>
    public IEnumerable<HullSample> Sample(double hz)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(hz);
        long n = (long)Math.Floor((_step * (_metres.Length - 1) * hz) + 1e-9);
        for (long k = 0; k <= n; k++)
        {
            yield return At(Instant<SensorClock>.FromSeconds(_start + (k / hz)));
        }
    }

    /// <summary>First instant in [from, to] at which the way made reaches <paramref name="metres"/>; null where it does not.</summary>
    public Instant<SensorClock>? WhenAt(double metres, Instant<SensorClock> from, Instant<SensorClock> to)
    {
        int i = Math.Max(0, (int)Math.Floor((from.Seconds - _start) / _step));
        int end = Math.Min(_metres.Length - 2, (int)Math.Ceiling((to.Seconds - _start) / _step));
        for (; i <= end; i++)
        {
            if (_metres[i] <= metres && _metres[i + 1] >= metres)
            {
                double a = 0;
                double b = 1;
                for (int k = 0; k < 40; k++)
                {
                    double mid = 0.5 * (a + b);
                    if (At(Instant<SensorClock>.FromSeconds(_start + ((i + mid) * _step))).Metres < metres)
                    {
                        a = mid;
                    }
                    else
                    {
                        b = mid;
                    }
                }

                return Instant<SensorClock>.FromSeconds(_start + ((i + b) * _step));
            }
        }

        return null;
    }

    /// <summary>Mean speed with its sd over a stretch: way made over time. The sd supposes the two ends' errors independent, so it is an upper bound over short stretches.</summary>
    public Estimate MeanSpeed(Instant<SensorClock> from, Instant<SensorClock> to)
    {
        var a = At(from);
        var b = At(to);
        double t = to.Seconds - from.Seconds;
        return new Estimate((b.Metres - a.Metres) / t, Math.Sqrt((a.MetresSd * a.MetresSd) + (b.MetresSd * b.MetresSd)) / t);
    }
}
