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

    public required bool HasGravity { get; init; }

    public int Count => X.Length;

    public double Hz => 1 / Step;

    /// <summary>Longest gap that is bridged by a straight line, s.</summary>
    private const double Bridged = 0.5;

    /// <summary>Null where the log is too short (under 5 s) or has no usable times.</summary>
    public static EvenMotion? From(MotionLog log)
    {
        var keep = Usable(log);
        if (keep.Length < 50)
        {
            return null;
        }

        double t0 = log.Seconds[keep[0]];
        double span = log.Seconds[keep[^1]] - t0;
        if (span < 5)
        {
            return null;
        }

        var steps = new double[keep.Length - 1];
        for (int i = 0; i < steps.Length; i++)
        {
            steps[i] = log.Seconds[keep[i + 1]] - log.Seconds[keep[i]];
        }

        Array.Sort(steps);
        double native = steps[steps.Length / 2];
        double step = native * Math.Max(1, Math.Round(1 / (50 * native)));
        int n = (int)Math.Floor((span / step) + 1e-6) + 1;
        var missing = new bool[n];
        var gaps = new List<(double, double)>();
        for (int i = 1; i < keep.Length; i++)
        {
            double a = log.Seconds[keep[i - 1]] - t0;
            double b = log.Seconds[keep[i]] - t0;
            if (b - a > Math.Max(Bridged, 3 * native))
            {
                gaps.Add((a, b));
                for (int k = Math.Max(0, (int)Math.Ceiling(a / step)); k < n && k * step < b; k++)
                {
                    missing[k] = true;
                }
            }
        }

        double[] Grid(double[] x) => Averages(log.Seconds, x, keep, t0, step, n);
        return new EvenMotion
        {
            Step = step,
            NativeHz = 1 / native,
            X = Grid(log.AccelerationX),
            Y = Grid(log.AccelerationY),
            Z = Grid(log.AccelerationZ),
            Gx = log.RotationX is { } gx ? Grid(gx) : null,
            Gy = log.RotationY is { } gy ? Grid(gy) : null,
            Gz = log.RotationZ is { } gz ? Grid(gz) : null,
            Missing = missing,
            Gaps = gaps,
            HasGravity = log.HasGravity,
        };
    }

    /// <summary>Samples that are finite and go forward in time.</summary>
    private static int[] Usable(MotionLog log)
    {
        var keep = new List<int>(log.Count);
        double last = double.NegativeInfinity;
        for (int i = 0; i < log.Count; i++)
        {
            double t = log.Seconds[i];
            if (double.IsFinite(t) && t > last && double.IsFinite(log.AccelerationX[i] + log.AccelerationY[i] + log.AccelerationZ[i])
                && Math.Abs(log.AccelerationX[i]) < 200 && Math.Abs(log.AccelerationY[i]) < 200 && Math.Abs(log.AccelerationZ[i]) < 200)
            {
                keep.Add(i);
                last = t;
            }
        }

        return [.. keep];
    }

    /// <summary>Mean of the straight lines through the samples over each grid step, the grid's points in the middle.</summary>
    private static double[] Averages(double[] t, double[] x, int[] keep, double t0, double step, int n)
    {
        var y = new double[n];
        double total = 0;
        int segment = 0;

        // Running integral of the broken line up to each edge between grid steps.
        double previous = Edge(t, x, keep, t0 - (0.5 * step), ref segment, ref total);
        for (int k = 0; k < n; k++)
        {
            double next = Edge(t, x, keep, t0 + ((k + 0.5) * step), ref segment, ref total);
            y[k] = (next - previous) / step;
            previous = next;
        }

        return y;
    }

    /// <summary>Integral from the first sample to <paramref name="at"/>; edges never go back. Beyond the ends the signal is held.</summary>
    private static double Edge(double[] t, double[] x, int[] keep, double at, ref int segment, ref double total)
    {
        double first = t[keep[0]];
        if (at <= first)
        {
            return (at - first) * x[keep[0]];
        }

        while (segment + 1 < keep.Length && t[keep[segment + 1]] <= at)
        {
            double dt = t[keep[segment + 1]] - t[keep[segment]];
            total += 0.5 * dt * (x[keep[segment]] + x[keep[segment + 1]]);
            segment++;
        }

        double h = at - t[keep[segment]];
        if (segment + 1 >= keep.Length)
        {
            return total + (h * x[keep[segment]]);
        }

        double slope = (x[keep[segment + 1]] - x[keep[segment]]) / (t[keep[segment + 1]] - t[keep[segment]]);
        return total + (h * (x[keep[segment]] + (0.5 * slope * h)));
    }
}
