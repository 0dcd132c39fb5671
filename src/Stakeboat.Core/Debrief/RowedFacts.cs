using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief;

/// <summary>What the sensors told, laid on the debrief's clock.</summary>
internal static class RowedFacts
{
    /// <summary>Step of the distance curve, s.</summary>
    private const double Step = 0.5;

    public static IReadOnlyList<StrokeFact> Strokes(SensorFindings sensors, ClockMap<SensorClock, RecordingClock> map) =>
    [
        .. sensors.Strokes.Select(s => new StrokeFact(map.Map(s.Catch).Seconds, s.Rate.Mean, s.Rate.Sd, s.Speed?.Mean, s.Speed?.Sd ?? 0,
            s.Quality switch { StrokeQuality.Good => 1, StrokeQuality.Fair => 0.5, _ => 0.1 })),
    ];

    public static Curve? Rate(SensorFindings sensors, ClockMap<SensorClock, RecordingClock> map)
    {
        var t = new List<double>();
        var mean = new List<double>();
        var sd = new List<double>();
        foreach (var r in sensors.Rates)
        {
            double x = map.Map(r.At).Seconds;
            if (t.Count == 0 || x > t[^1])
            {
                t.Add(x);
                mean.Add(r.Rate.Mean);
                sd.Add(r.Rate.Sd);
            }
        }

        return t.Count > 1 ? new Curve([.. t], [.. mean], [.. sd]) : null;
    }

    /// <summary>The rate as counts and sound gave it, where no sensor did.</summary>
    public static Curve? Rate(RatesTogether rates) => rates.Merged.Count > 1
        ? new Curve([.. rates.Merged.Select(m => m.Seconds)], [.. rates.Merged.Select(m => m.Rate.Mean)], [.. rates.Merged.Select(m => m.Rate.Sd)]) : null;

    /// <summary>Own distance from the start, m. The sd is that of the way made since "go": the start's own error in place is left to the start.</summary>
    public static Curve? Metres(SensorFindings sensors, ClockMap<SensorClock, RecordingClock> map, double go)
    {
        if (sensors.Hull is not { } hull)
        {
            return null;
        }

        var back = map.Inverse();
        var start = hull.At(back.Map(Instant<RecordingClock>.FromSeconds(go)));
        double from = map.Map(hull.From).Seconds, to = map.Map(hull.To).Seconds;
        int n = (int)((to - from) / Step) + 1;
        if (n < 2)
        {
            return null;
        }

        double[] t = new double[n], mean = new double[n], sd = new double[n];
        for (int i = 0; i < n; i++)
        {
            t[i] = from + i * Step;
            var h = hull.At(back.Map(Instant<RecordingClock>.FromSeconds(t[i])));
            mean[i] = h.Metres - start.Metres;
            sd[i] = Math.Sqrt(h.MetresSd * h.MetresSd + start.MetresSd * start.MetresSd);
        }

        return new Curve(t, mean, sd);
    }

    /// <summary>Speed averaged over each stroke where strokes have one, else over 5 s, m/s.</summary>
    public static Curve? Speed(SensorFindings sensors, ClockMap<SensorClock, RecordingClock> map)
    {
        var t = new List<double>();
        var mean = new List<double>();
        var sd = new List<double>();
        void Add(double x, Estimate e)
        {
            if (t.Count == 0 || x > t[^1])
            {
                t.Add(x);
                mean.Add(e.Mean);
                sd.Add(e.Sd);
            }
        }

        foreach (var s in sensors.Strokes)
        {
            if (s.Speed is { } v && s.Quality != StrokeQuality.Poor)
            {
                Add(map.Map(s.Catch).Seconds + 0.5 * s.PeriodSeconds, v);
            }
        }

        if (t.Count < 10 && sensors.Hull is { } hull)
        {
            t.Clear();
            mean.Clear();
            sd.Clear();
            for (double x = hull.From.Seconds + 2.5; x < hull.To.Seconds - 2.5; x += 1)
            {
                Add(map.Map(Instant<SensorClock>.FromSeconds(x)).Seconds,
                    hull.MeanSpeed(Instant<SensorClock>.FromSeconds(x - 2.5), Instant<SensorClock>.FromSeconds(x + 2.5)));
            }
        }

        return t.Count > 1 ? new Curve([.. t], [.. mean], [.. sd]) : null;
    }
}
