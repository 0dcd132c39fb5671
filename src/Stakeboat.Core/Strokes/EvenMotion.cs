using System.Runtime.Intrinsics;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Core.Strokes;

/// <summary>A motion log on an even grid: box averages over one step, so that integrals are kept whatever the log's own rate and jitter. Seconds since the log's first sample.</summary>
internal sealed class EvenMotion
{
    public required double Step { get; init; }

    /// <summary>Median rate of the log itself, Hz.</summary>
    public required double NativeHz { get; init; }

    public required double[] X { get; init; }

    public required double[] Y { get; init; }

    public required double[] Z { get; init; }

    public double[]? Gx { get; init; }

    public double[]? Gy { get; init; }

    public double[]? Gz { get; init; }

    /// <summary>True inside a gap of the log longer than 0.5 s.</summary>
    public required bool[] Missing { get; init; }

    public required List<(double From, double To)> Gaps { get; init; }

    /// <summary>Where the log's clock jumped and was mended: seconds since the first sample, and by how much.</summary>
    public required IReadOnlyList<(double At, double By)> Jumps { get; init; }

    /// <summary>The log's first usable time on its own clock, s.</summary>
    public required double Zero { get; init; }

    /// <summary>Told by the samples themselves: their mean is about one gravity long.</summary>
    public required bool HasGravity { get; init; }

    public int Count => X.Length;

    public double Hz => 1 / Step;

    /// <summary>Longest gap that is bridged by a straight line, s.</summary>
    private const double Bridged = 0.5;

    /// <summary>Null where the log is too short (under 5 s) or has no usable times.</summary>
    public static EvenMotion? From(MotionLog log)
    {
        var times = MotionTimes.Of(log);
        int count = times.Count;
        if (count < 50)
        {
            return null;
        }

        var seconds = times.Seconds;
        double t0 = seconds[0];
        double span = seconds[^1] - t0;
        if (span < 5)
        {
            return null;
        }

        double native = MedianStep(seconds);
        double step = native * Math.Max(1, Math.Round(1 / (50 * native)));
        int n = (int)Math.Floor((span / step) + 1e-6) + 1;
        var missing = new bool[n];
        var gaps = new List<(double, double)>();
        double longest = Math.Max(Bridged, 3 * native);
        for (int i = 1; i < count; i++)
        {
            if (seconds[i] - seconds[i - 1] > longest)
            {
                double a = seconds[i - 1] - t0;
                double b = seconds[i] - t0;
                gaps.Add((a, b));
                for (int k = Math.Max(0, (int)Math.Ceiling(a / step)); k < n && k * step < b; k++)
                {
                    missing[k] = true;
                }
            }
        }

        var axes = new double[6][];
        bool turns = log.RotationX is not null && log.RotationY is not null && log.RotationZ is not null;
        for (int a = 0; a < (turns ? 6 : 3); a++)
        {
            axes[a] = new double[n];
        }

        Average(times, log.AccelerationX, log.AccelerationY, log.AccelerationZ, t0, step, axes[0], axes[1], axes[2]);
        if (turns)
        {
            Average(times, log.RotationX!, log.RotationY!, log.RotationZ!, t0, step, axes[3], axes[4], axes[5]);
        }

        foreach (var (a, b) in gaps)
        {
            foreach (var axis in axes)
            {
                if (axis is not null)
                {
                    Fill(axis, (int)Math.Ceiling(a / step), Math.Min(n, (int)Math.Ceiling(b / step)), (int)Math.Round(5 / step));
                }
            }
        }

        return new EvenMotion
        {
            Step = step,
            NativeHz = 1 / native,
            X = axes[0],
            Y = axes[1],
            Z = axes[2],
            Gx = turns ? axes[3] : null,
            Gy = turns ? axes[4] : null,
            Gz = turns ? axes[5] : null,
            Missing = missing,
            Gaps = gaps,
            Jumps = [.. times.Jumps.Select(j => (j.At - t0, j.By))],
            Zero = t0,
            HasGravity = Gravity(axes),
        };
    }

    /// <summary>
    /// In a gap the means of 5 s before and after it, from the one to the other: a straight line between two single samples of a stroke
    /// would be an acceleration that never was.
    /// </summary>
    private static void Fill(double[] x, int from, int to, int reach)
    {
        double Mean(int a, int b)
        {
            double sum = 0;
            for (int i = a; i < b; i++)
            {
                sum += x[i];
            }

            return b > a ? sum / (b - a) : double.NaN;
        }

        double before = Mean(Math.Max(0, from - reach), from);
        double after = Mean(to, Math.Min(x.Length, to + reach));
        before = double.IsNaN(before) ? after : before;
        after = double.IsNaN(after) ? before : after;
        for (int i = from; i < to; i++)
        {
            x[i] = before + ((after - before) * (i - from + 1) / (to - from + 1));
        }
    }

    /// <summary>A stretch as a log of its own, its first sample at 0.</summary>
    public EvenMotion Slice(int from, int to) => new()
    {
        Step = Step,
        NativeHz = NativeHz,
        X = X[from..to],
        Y = Y[from..to],
        Z = Z[from..to],
        Gx = Gx?[from..to],
        Gy = Gy?[from..to],
        Gz = Gz?[from..to],
        Missing = Missing[from..to],
        Gaps = [],
        Jumps = [],
        Zero = Zero,
        HasGravity = HasGravity,
    };

    /// <summary>Median step over at most 64 blocks of 128 samples, evenly spread.</summary>
    private static double MedianStep(double[] t)
    {
        const int Block = 128;
        int blocks = Math.Clamp((t.Length - 1) / Block, 1, 64);
        int per = Math.Min(Block, t.Length - 1);
        var steps = new double[blocks * per];
        for (int b = 0; b < blocks; b++)
        {
            int from = blocks == 1 ? 0 : (int)((long)(t.Length - 1 - per) * b / (blocks - 1));
            for (int i = 0; i < per; i++)
            {
                steps[(b * per) + i] = t[from + i + 1] - t[from + i];
            }
        }

        Array.Sort(steps);
        return steps[steps.Length / 2];
    }

    /// <summary>True where the mean vector of most stretches of 10 s is 6 to 14 m/s² long; a logger that took gravity out leaves about none.</summary>
    private bool Gravitates(int per)
    {
        int with = 0;
        int windows = 0;
        for (int from = 0; from + per <= Count; from += per)
        {
            double x = 0;
            double y = 0;
            double z = 0;
            for (int i = from; i < from + per; i++)
            {
                x += X[i];
                y += Y[i];
                z += Z[i];
            }

            double l = Math.Sqrt((x * x) + (y * y) + (z * z)) / per;
            with += l is > 6 and < 14 ? 1 : 0;
            windows++;
        }

        return 2 * with > windows;
    }

    private static bool Gravity(double[][] axes)
    {
        var bare = new EvenMotion
        {
            Step = 1, NativeHz = 1, X = axes[0], Y = axes[1], Z = axes[2], Missing = [], Gaps = [], Jumps = [], Zero = 0, HasGravity = false,
        };
        return bare.Gravitates(Math.Max(1, Math.Min(500, axes[0].Length)));
    }

    /// <summary>Mean of the straight lines through the samples over each grid step, the grid's points in the middle; three signals at once.</summary>
    private static void Average(MotionTimes times, double[] x, double[] y, double[] z, double t0, double step, double[] ox, double[] oy, double[] oz)
    {
        var t = times.Seconds;
        var index = times.Index;
        int last = t.Length - 1;
        double per = 1 / step;

        Vector256<double> Sample(int i)
        {
            int s = index is null ? i : index[i];
            return Vector256.Create(x[s], y[s], z[s], 0);
        }

        // Running integral of the broken line up to each edge between grid steps; beyond the ends the signal is held.
        var here = Sample(0);
        var next = Sample(1);
        double at = t[0];
        double until = t[1];
        int segment = 0;
        var total = Vector256<double>.Zero;
        var previous = -0.5 * step * here;
        for (int k = 0; k < ox.Length; k++)
        {
            double edge = t0 + ((k + 0.5) * step);
            while (until <= edge && segment < last)
            {
                total += 0.5 * (until - at) * (here + next);
                segment++;
                here = next;
                at = until;
                if (segment == last)
                {
                    break;
                }

                next = Sample(segment + 1);
                until = t[segment + 1];
            }

            double h = edge - at;
            var sum = segment >= last ? total + (h * here) : total + (h * (here + (0.5 * h / (until - at) * (next - here))));
            var mean = (sum - previous) * per;
            previous = sum;
            ox[k] = mean.GetElement(0);
            oy[k] = mean.GetElement(1);
            oz[k] = mean.GetElement(2);
        }
    }
}
