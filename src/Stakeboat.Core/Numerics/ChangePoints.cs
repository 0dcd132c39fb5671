namespace Stakeboat.Core.Numerics;

/// <summary>Where a series changes its mean.</summary>
/// <param name="Ends">Number of values up to and including each segment but the last: 28 means that the 29th value begins a new segment.</param>
/// <param name="Cost">Sum of squares within the segments plus the penalties of the changes.</param>
/// <param name="Evaluations">Segment costs that were looked at.</param>
public sealed record Segmentation(IReadOnlyList<int> Ends, double Cost, int Evaluations);

/// <summary>
/// Exact segmentation of a series into stretches of constant mean by least squares and a penalty for each change: PELT (Killick, Fearnhead and
/// Eckley 2012), F(t) = min over s of F(s) + C(s, t) + β, where an s with F(s) + C(s, t) &gt; F(t) is never needed again.
/// </summary>
public static class ChangePoints
{
    /// <param name="values">In order.</param>
    /// <param name="penalty">β ≥ 0, in the square of the values' unit.</param>
    /// <param name="prune">False: optimal partitioning without pruning, the same answer at more cost.</param>
    public static Segmentation Find(IReadOnlyList<double> values, double penalty, bool prune = true)
    {
        int n = values.Count;
        if (n == 0)
        {
            return new Segmentation([], 0, 0);
        }

        var sum = new double[n + 1];
        var square = new double[n + 1];
        double middle = values.Average();
        for (int i = 0; i < n; i++)
        {
            double v = values[i] - middle;
            sum[i + 1] = sum[i] + v;
            square[i + 1] = square[i] + v * v;
        }

        double Cost(int from, int to)
        {
            double s = sum[to] - sum[from];
            return Math.Max(square[to] - square[from] - s * s / (to - from), 0);
        }

        var best = new double[n + 1];
        var last = new int[n + 1];
        best[0] = -penalty;
        var candidates = new List<int> { 0 };
        int evaluations = 0;
        for (int t = 1; t <= n; t++)
        {
            best[t] = double.PositiveInfinity;
            var costs = new double[candidates.Count];
            for (int i = 0; i < candidates.Count; i++)
            {
                costs[i] = best[candidates[i]] + Cost(candidates[i], t);
                evaluations++;
                if (costs[i] + penalty < best[t])
                {
                    best[t] = costs[i] + penalty;
                    last[t] = candidates[i];
                }
            }

            if (prune)
            {
                var kept = new List<int>(candidates.Count + 1);
                for (int i = 0; i < candidates.Count; i++)
                {
                    if (costs[i] <= best[t])
                    {
                        kept.Add(candidates[i]);
                    }
                }

                candidates = kept;
            }

            candidates.Add(t);
        }

        var ends = new List<int>();
        for (int t = last[n]; t > 0; t = last[t])
        {
            ends.Add(t);
        }

        ends.Reverse();
        return new Segmentation(ends, best[n] + 0, evaluations);
    }
}
