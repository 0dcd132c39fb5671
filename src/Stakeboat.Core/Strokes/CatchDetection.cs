using Stakeboat.Core.Signals;

namespace Stakeboat.Core.Strokes;

/// <summary>Catches in order with their sds, periods and trust; and where samples were missing.</summary>
internal sealed record DetectedCatches(double[] Seconds, double[] Sd, double[] Depth, double[] Trust, double[] Period, IReadOnlyList<(double From, double To)> Gaps)
{
    public static readonly DetectedCatches None = new([], [], [], [], [], []);

    public int Count => Seconds.Length;
}

/// <summary>From forward acceleration to catches, over a whole log.</summary>
internal static class CatchDetection
{
    /// <summary>Fixes slower than this hold no catches, Hz.</summary>
    public const double LeastHz = 3.9;

    public static DetectedCatches InMotion(EvenMotion motion, double[] forward)
    {
        double high = Math.Min(SensorAnalysis.BandHigh, 0.4 * motion.Hz);
        var x = SectionFilter.ZeroPhase(Butterworth.BandPass(2, SensorAnalysis.BandLow, high, motion.Hz), forward);
        return Pick(x, motion.Step, motion.Missing, motion.Gaps, high);
    }

    /// <summary>
    /// From fixes of 4 Hz or more: acceleration by the smoother. Slower fixes hold no catches; whether they hold a rate is asked of
    /// their spectrum by <see cref="SlowRates"/>.
    /// </summary>
    public static DetectedCatches InTrack(TrackPath track, FusionResult fused, List<SensorIssue> issues)
    {
        if (track.Hz < LeastHz)
        {
            return DetectedCatches.None;
        }

        var hull = fused.Hull;
        const double Hz = 25;
        int n = (int)(hull.Step * (hull.Count - 1) * Hz) + 1;
        var v = new double[n];
        for (int i = 0; i < n; i++)
        {
            v[i] = hull.At(SensorAnalysis.At(hull.Start + (i / Hz))).SpeedMps;
        }

        var a = new double[n];
        for (int i = 1; i < n - 1; i++)
        {
            a[i] = (v[i + 1] - v[i - 1]) * 0.5 * Hz;
        }

        double high = Math.Min(2, 0.4 * track.Hz);
        var x = SectionFilter.ZeroPhase(Butterworth.BandPass(2, SensorAnalysis.BandLow, high, Hz), a);
        var gaps = new List<(double, double)>();
        foreach (var issue in issues)
        {
            if (issue is { Kind: SensorIssueKind.GapInFixes, From: { } f, To: { } t })
            {
                gaps.Add((f.Seconds - hull.Start, t.Seconds - hull.Start));
            }
        }

        var missing = new bool[n];
        foreach (var (f, t) in gaps)
        {
            for (int i = Math.Max(0, (int)(f * Hz)); i < Math.Min(n, t * Hz); i++)
            {
                missing[i] = true;
            }
        }

        var found = Pick(x, 1 / Hz, missing, gaps, high);
        for (int i = 0; i < found.Count; i++)
        {
            found.Seconds[i] += hull.Start;
        }

        return found;
    }

    private static DetectedCatches Pick(double[] x, double step, bool[] missing, IReadOnlyList<(double From, double To)> gaps, double bandwidth)
    {
        var periods = LocalPeriod.Find(x, 1 / step);
        var picker = new CatchPicker();
        var picked = new List<PickedCatch>();
        double period = LocalPeriod.Usual;
        double trust = 0;
        for (int i = 0; i < x.Length; i++)
        {
            double t = i * step;
            if (missing[i])
            {
                picker.Break();
                continue;
            }

            if (i % 8 == 0)
            {
                (period, trust) = periods.At(t);
            }

            if (picker.Push(t, x[i], period, trust, out var found))
            {
                picked.Add(found);
            }
        }

        var (seconds, sd) = CatchRefiner.Refine(x, step, picked, bandwidth);
        var depth = new double[picked.Count];
        var held = new double[picked.Count];
        var local = new double[picked.Count];
        for (int i = 0; i < depth.Length; i++)
        {
            depth[i] = picked[i].Depth;
            held[i] = picked[i].Trust;
            local[i] = picked[i].Period;
        }

        return new DetectedCatches(seconds, sd, depth, held, local, gaps);
    }
}
