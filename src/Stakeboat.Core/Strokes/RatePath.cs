using System.Numerics;
using System.Runtime.InteropServices;

namespace Stakeboat.Core.Strokes;

/// <summary>The likeliest path of a rate through windows, each with a score for each rate of a geometric grid (Viterbi 1967).</summary>
internal static class RatePath
{
    /// <param name="rates">Grid, rising.</param>
    /// <param name="spread">Standard deviation of the change of ln(rate) from window to window.</param>
    /// <param name="temper">A score of this size is worth one nat.</param>
    /// <returns>Index of the rate for each window.</returns>
    public static int[] Best(double[][] scores, double[] rates, double spread, double temper)
    {
        int n = scores.Length;
        int m = rates.Length;
        if (n == 0)
        {
            return [];
        }

        double step = Math.Log(rates[1] / rates[0]);
        int reach = Math.Max(2, (int)Math.Ceiling(4 * spread / step));
        var cost = new double[(2 * reach) + 1];
        for (int d = -reach; d <= reach; d++)
        {
            // A wide tail, so that a real step of the rate may pass.
            double z = d * step / spread;
            cost[d + reach] = 1.5 * Math.Log(1 + (z * z / 3));
        }

        var costs = Array.ConvertAll(cost, c => new Vector<double>(c));
        var numbers = new Vector<double>[cost.Length];
        for (int d = 0; d < numbers.Length; d++)
        {
            numbers[d] = new Vector<double>(d);
        }

        // Rows have room for the reach and for whole vectors at both ends, so that nothing is asked inside the loop.
        int lanes = Vector<double>.Count;
        int whole = (m + lanes - 1) / lanes * lanes;
        var best = new double[whole + (2 * reach)];
        var next = new double[best.Length];
        var arg = new double[whole];
        Array.Fill(best, double.NegativeInfinity);
        Array.Fill(next, double.NegativeInfinity);
        var from = new short[n * m];
        for (int j = 0; j < m; j++)
        {
            best[reach + j] = scores[0][j] / temper;
        }

        double jump = cost[0] + 2;
        for (int w = 1; w < n; w++)
        {
            int anywhere = Top(best, reach, m);
            var least = new Vector<double>(best[reach + anywhere] - jump);
            ref double row = ref MemoryMarshal.GetArrayDataReference(best);
            for (int j = 0; j < whole; j += lanes)
            {
                var top = least;
                var which = new Vector<double>(double.NaN);
                for (int d = 0; d < costs.Length; d++)
                {
                    var v = Vector.LoadUnsafe(ref row, (nuint)(j + d)) - costs[d];
                    var better = Vector.GreaterThan(v, top);
                    top = Vector.ConditionalSelect(better, v, top);
                    which = Vector.ConditionalSelect(better, numbers[d], which);
                }

                top.CopyTo(next, reach + j);
                which.CopyTo(arg, j);
            }

            var score = scores[w];
            for (int j = 0; j < m; j++)
            {
                next[reach + j] += score[j] / temper;
                from[(w * m) + j] = (short)(double.IsNaN(arg[j]) ? anywhere : j + (int)arg[j] - reach);
            }

            for (int j = m; j < whole; j++)
            {
                next[reach + j] = double.NegativeInfinity;
            }

            (best, next) = (next, best);
        }

        var path = new int[n];
        path[n - 1] = Top(best, reach, m);
        for (int w = n - 1; w > 0; w--)
        {
            path[w - 1] = from[(w * m) + path[w]];
        }

        return path;
    }

    private static int Top(double[] best, int reach, int m)
    {
        int top = 0;
        for (int j = 1; j < m; j++)
        {
            top = best[reach + j] > best[reach + top] ? j : top;
        }

        return top;
    }
}
