using Stakeboat.Core.Measurement;

namespace Stakeboat.Core.Strokes;

/// <summary>Which samples of a motion log can be used, and when they were taken, with the clock's own faults mended.</summary>
/// <param name="Index">Samples in order; null where all are usable.</param>
/// <param name="Seconds">Rising; where the clock jumped back or leapt absurdly, the time before the jump runs on.</param>
/// <param name="Jumps">Where that was, on the mended time, and by how much the clock jumped, s.</param>
internal sealed record MotionTimes(int[]? Index, double[] Seconds, IReadOnlyList<(double At, double By)> Jumps)
{
    /// <summary>No sensor in a boat reads more than this, m/s² (my judgement, no source).</summary>
    private const double Absurd = 200;

    /// <summary>From one sample to the next and back no hull's acceleration changes by more, m/s² (my judgement, no source).</summary>
    private const double Leap = 12;

    /// <summary>A pause of the log may be long; a leap beyond this is the clock's, s (my judgement, no source).</summary>
    private const double LongestPause = 6 * 3600;

    public int Count => Seconds.Length;

    public int At(int i) => Index is null ? i : Index[i];

    public static MotionTimes Of(MotionLog log)
    {
        int n = log.Count;
        double last = double.NegativeInfinity;
        int k = 0;
        for (; k < n; k++)
        {
            double t = log.Seconds[k];
            if (!(t > last) || !Sound(log, k) || Spike(log, k) || (k > 0 && t - last > LongestPause) || !double.IsFinite(t))
            {
                break;
            }

            last = t;
        }

        return k == n ? new MotionTimes(null, log.Seconds, []) : Mend(log);
    }

    private static bool Sound(MotionLog log, int i) =>
        Math.Abs(log.AccelerationX[i]) < Absurd && Math.Abs(log.AccelerationY[i]) < Absurd && Math.Abs(log.AccelerationZ[i]) < Absurd;

    /// <summary>True where a sample stands off its neighbours on one axis as no boat moves: a bit that fell over, a finger on the phone.</summary>
    private static bool Spike(MotionLog log, int i) =>
        i > 0 && i + 1 < log.Count && (Spike(log.AccelerationX, i) || Spike(log.AccelerationY, i) || Spike(log.AccelerationZ, i));

    private static bool Spike(double[] x, int i)
    {
        if (Math.Abs(x[i] - x[i - 1]) < Leap && Math.Abs(x[i] - x[i + 1]) < Leap)
        {
            return false;
        }

        Span<double> near = stackalloc double[5];
        int n = 0;
        for (int k = Math.Max(0, i - 2); k <= Math.Min(x.Length - 1, i + 2); k++)
        {
            near[n++] = double.IsFinite(x[k]) ? x[k] : x[i];
        }

        near[..n].Sort();
        return Math.Abs(x[i] - near[n / 2]) > Leap;
    }

    private static MotionTimes Mend(MotionLog log)
    {
        var index = new List<int>(log.Count);
        var seconds = new List<double>(log.Count);
        var jumps = new List<(double, double)>();
        double shift = 0;
        double usual = 0;
        for (int i = 0; i < log.Count; i++)
        {
            double t = log.Seconds[i] + shift;
            if (!double.IsFinite(t) || !Sound(log, i) || Spike(log, i))
            {
                continue;
            }

            if (seconds.Count > 0)
            {
                double last = seconds[^1];
                double before = seconds.Count > 1 ? seconds[^2] : double.NegativeInfinity;
                double step = usual > 0 ? usual : 0.02;
                if (t <= last && t > before && last - before > 5 * step && t - before <= 5 * step)
                {
                    // The one before had leapt alone.
                    seconds.RemoveAt(seconds.Count - 1);
                    index.RemoveAt(index.Count - 1);
                }
                else if (t <= last || t - last > LongestPause)
                {
                    if (t <= last ? last - t < 2 && Returns(log, i, last - shift) : GoesOn(log, i, last - shift))
                    {
                        // Late among the others, or a leap of its own: left out.
                        continue;
                    }

                    jumps.Add((last + step, t - last - step));
                    shift += last + step - t;
                    t = last + step;
                }
                else if (t - last < 1)
                {
                    usual = usual == 0 ? t - last : usual + (0.05 * (t - last - usual));
                }
            }

            seconds.Add(t);
            index.Add(i);
        }

        return new MotionTimes([.. index], [.. seconds], jumps);
    }

    /// <summary>True where within the next few samples the log's own time is beyond <paramref name="past"/> again.</summary>
    private static bool Returns(MotionLog log, int from, double past)
    {
        for (int i = from + 1; i < Math.Min(log.Count, from + 20); i++)
        {
            if (log.Seconds[i] > past)
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>True where one of the next few samples goes on from <paramref name="last"/>, and not from where this one leapt to.</summary>
    private static bool GoesOn(MotionLog log, int from, double last)
    {
        for (int i = from + 1; i < Math.Min(log.Count, from + 20); i++)
        {
            if (log.Seconds[i] - last is > 0 and < 60)
            {
                return true;
            }
        }

        return false;
    }
}
