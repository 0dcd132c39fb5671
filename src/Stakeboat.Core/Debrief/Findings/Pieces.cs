using Stakeboat.Core.Calls;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief.Findings;

/// <summary>Start, sprint, evenness and line.</summary>
internal static class Pieces
{
    public static IEnumerable<Finding> Find(DebriefFacts f)
    {
        foreach (var x in Start(f).Concat(Sprint(f)).Concat(Even(f)).Concat(LineRowed(f)))
        {
            yield return x;
        }
    }

    private static IEnumerable<Finding> Start(DebriefFacts f)
    {
        if (f.Go is not { } go || go.Sd > 2)
        {
            yield break;
        }

        var first = f.Strokes.FirstOrDefault(s => s.T > go.Mean - 2 * go.Sd - 0.5);
        if (first.T > 0 && first.T - go.Mean < 4)
        {
            yield return Finding.From(FindingKind.StartDelay, new Estimate(first.T - go.Mean, Math.Sqrt(go.Sd * go.Sd + 0.01)), 1,
                0.2 * Math.Abs(first.T - go.Mean), "", [new Evidence(go.Mean - 3, go.Mean + 5, null)]);
        }

        // What the standing start cost over its first 100 m against the speed of the race's middle.
        if (f is { Metres: { } metres, MetresMeasured: true, Speed: { } speed } && f.Distance is { } d && d >= 500
            && metres.FirstReaches(100) is { } at100 && metres.FirstReaches(0.3 * d) is { } from && metres.FirstReaches(0.7 * d) is { } to
            && speed.Average(from, to) is { } base_ && metres.At(at100) is { } m)
        {
            double cost = at100 - go.Mean - 100 / base_;
            double sd = Math.Sqrt(go.Sd * go.Sd + m.Sd * m.Sd / (base_ * base_));
            yield return Finding.From(FindingKind.StartCost, new Estimate(cost, sd), 1, 0.1 * Math.Abs(cost), "", [new Evidence(go.Mean - 3, at100, null)]);
        }
    }

    private static IEnumerable<Finding> Sprint(DebriefFacts f)
    {
        if (f.Rate is not { } rate || f is not { Metres: { } metres } || f.Distance is not { } d || f.Finish is not { } finish
            || metres.FirstReaches(0.5 * d) is not { } half || rate.Average(half, metres.FirstReaches(0.75 * d) ?? finish.Mean) is not { } body)
        {
            yield break;
        }

        // The last time that the rate crossed 1.5 above the third quarter's and stayed there to the line (its last 3 s left out).
        double? began = null;
        for (double t = finish.Mean - 3; t > half; t -= 0.5)
        {
            if (rate.At(t) is not { } r)
            {
                continue;
            }

            if (r.Mean < body + 1.5)
            {
                break;
            }

            began = t;
        }

        if (began is { } b && metres.At(b) is { } m)
        {
            double left = d - m.Mean;
            double? planned = f.Segments.FirstOrDefault(s => s.Sprint) is { } s ? d - s.FromMetres : null;
            double worth = planned is { } p ? 0.02 * Math.Abs(left - p) / (f.RaceSpeed ?? 5) : 0.05;
            yield return Finding.From(FindingKind.SprintBegan, new Estimate(left, Math.Sqrt(m.Sd * m.Sd + 15)), 1, worth, "",
                [new Evidence(b - 3, finish.Mean, null)], planned);
        }
    }

    /// <summary>
    /// Seconds that uneven speed cost at equal energy. With drag power proportional to v³ the energy for a distance is proportional to the mean of v²;
    /// at a fixed mean of v² the time exceeds the even one by 3/2 of the relative variance of speed over distance (expansion to second order; own derivation).
    /// The first 150 m, which belong to the start, are left out.
    /// </summary>
    private static IEnumerable<Finding> Even(DebriefFacts f)
    {
        if (f is not { Metres: { } metres, MetresMeasured: true, Speed: { } speed } || f.Distance is not { } d || d < 700)
        {
            yield break;
        }

        var speeds = new List<double>();
        double noise = 0;
        for (double x = 150; x <= d - 1; x += 50)
        {
            if (metres.FirstReaches(x) is { } a && metres.FirstReaches(Math.Min(d, x + 50)) is { } b && b - a > 1)
            {
                speeds.Add(Math.Min(50, d - x) / (b - a));
                if (metres.At(a) is { } m)
                {
                    noise += 2 * m.Sd * m.Sd / ((b - a) * (b - a));
                }
            }
        }

        if (speeds.Count < 8)
        {
            yield break;
        }

        double mean = speeds.Sum() / speeds.Count;
        double variance = speeds.Sum(v => (v - mean) * (v - mean)) / (speeds.Count - 1);
        double time = (d - 150) / mean;
        double cost = 1.5 * Math.Max(0, variance - noise / speeds.Count) / (mean * mean) * time;
        double sd = 1.5 * variance * Math.Sqrt(2.0 / (speeds.Count - 1)) / (mean * mean) * time;
        yield return Finding.From(FindingKind.Unevenness, new Estimate(cost, sd), speeds.Count, 0.5 * cost, "",
            f.Go is { } go ? [new Evidence(go.Mean, f.Finish?.Mean, null)] : []);
    }

    private static IEnumerable<Finding> LineRowed(DebriefFacts f)
    {
        if (f.ExtraMetres is { } extra && f.RaceSpeed is { } v)
        {
            yield return Finding.From(FindingKind.Line, extra, 1, Math.Max(0, extra.Mean) / v, "",
                f.Go is { } go ? [new Evidence(go.Mean, f.Finish?.Mean, null)] : []);
        }
    }
}
