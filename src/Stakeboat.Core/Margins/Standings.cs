using Stakeboat.Core.Numerics;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Margins;

/// <summary>Probabilities of the order at one moment.</summary>
/// <param name="At">Race clock.</param>
/// <param name="Crews">Ours first (null), then the rivals.</param>
/// <param name="Place">[crew][place]: probability that the crew lies in that place (0: first).</param>
/// <param name="AheadOf">[i][j]: probability that crew i is ahead of crew j.</param>
public sealed record Standing(Instant<RaceClock> At, IReadOnlyList<string?> Crews, double[][] Place, double[][] AheadOf);

/// <summary>When we went ahead, as a distribution over the race.</summary>
/// <param name="Seconds">Ends of the bins on the race clock.</param>
/// <param name="Probability">Of each bin.</param>
/// <param name="Never">Probability that it did not happen.</param>
/// <param name="Low90">5 % quantile, given that it happened; null where it almost surely did not.</param>
public sealed record LeadMoment(double[] Seconds, double[] Probability, double Never, double? Low90, double? Median, double? High90);

/// <summary>Which going ahead is asked for.</summary>
public enum Lead
{
    /// <summary>The first time that we were in front.</summary>
    First,

    /// <summary>The last going ahead, after which we stayed in front to our finish.</summary>
    ForGood,
}

/// <summary>The order of the crews over time, drawn from the joint distribution of all margins (seeded; 1 000 draws, so ±1.5 %).</summary>
public static class Standings
{
    private const int Draws = 1000;

    /// <summary>The order at a moment; the nearest second of the grid is taken.</summary>
    public static Standing At(MarginSolution solution, Instant<RaceClock> at)
    {
        int index = Nearest(solution.Seconds, at.Seconds);
        int n = solution.Rivals.Count;
        var modes = Rooted(solution.AcrossByMode(index), n);
        var place = Table(n + 1);
        var ahead = Table(n + 1);
        var draws = new NormalDraws(20_260);
        var z = new double[n];
        var x = new double[n + 1]; // how far each is behind us
        for (int d = 0; d < Draws; d++)
        {
            Draw(modes, d, draws, z, x.AsSpan(1));

            for (int i = 0; i <= n; i++)
            {
                int before = 0;
                for (int j = 0; j <= n; j++)
                {
                    if (j == i)
                    {
                        continue;
                    }

                    bool first = x[j] < x[i] || (x[j] == x[i] && j < i);
                    before += first ? 1 : 0;
                    ahead[i][j] += first ? 0 : 1.0 / Draws;
                }

                place[i][before] += 1.0 / Draws;
            }
        }

        return new Standing(Instant<RaceClock>.FromSeconds(solution.Seconds[index]),
            [null, .. solution.Rivals.Select(r => r.Rival.Name)], place, ahead);
    }

    /// <summary>When we went ahead of one crew, or of all.</summary>
    /// <param name="crew">Null: of every rival, that is into the lead of the race.</param>
    /// <param name="stepSeconds">Width of the bins, s.</param>
    public static LeadMoment WhenAhead(MarginSolution solution, string? crew, Lead which, double stepSeconds = 5)
    {
        string[] crews = crew is null ? [.. solution.Rivals.Select(r => r.Rival.Name)] : [crew];
        double end = solution.Seconds[^1];
        int bins = Math.Max(1, (int)Math.Ceiling(end / Math.Max(stepSeconds, end * crews.Length / 360)));
        double[] seconds = [.. Enumerable.Range(1, bins).Select(i => end * i / bins)];
        var probability = new double[bins];
        if (crews.Length == 0)
        {
            return new LeadMoment(seconds, probability, 1, null, null, null);
        }

        int n = crews.Length * bins;
        var modes = Rooted(solution.JointByMode([.. crews.SelectMany(c => seconds.Select(s =>
            (IReadOnlyList<MarginTerm>)[new MarginTerm(c, Instant<RaceClock>.FromSeconds(s), 1)]))]), n);
        var draws = new NormalDraws(20_261);
        double[] z = new double[n], x = new double[n];
        var inFront = new bool[bins];
        double never = 0;
        for (int d = 0; d < Draws; d++)
        {
            Draw(modes, d, draws, z, x);
            Array.Fill(inFront, true);
            for (int i = 0; i < n; i++)
            {
                inFront[i % bins] &= x[i] > 0;
            }

            int bin = which == Lead.First ? Array.IndexOf(inFront, true) : Since(inFront);
            if (bin < 0)
            {
                never += 1.0 / Draws;
            }
            else
            {
                probability[bin] += 1.0 / Draws;
            }
        }

        double happened = 1 - never;
        double? Quantile(double p)
        {
            double sum = 0;
            for (int i = 0; i < bins; i++)
            {
                sum += probability[i];
                if (sum >= p * happened)
                {
                    return seconds[i];
                }
            }

            return seconds[^1];
        }

        return happened < 0.005
            ? new LeadMoment(seconds, probability, never, null, null, null)
            : new LeadMoment(seconds, probability, never, Quantile(0.05), Quantile(0.5), Quantile(0.95));
    }

    /// <summary>Since which bin it has been true without a break to the end; -1: not at the end.</summary>
    private static int Since(bool[] inFront)
    {
        int k = inFront.Length;
        while (k > 0 && inFront[k - 1])
        {
            k--;
        }

        return k == inFront.Length ? -1 : k;
    }

    /// <summary>Each way to understand the calls with the root of its covariance and the draw up to which it is meant.</summary>
    private static List<(double Until, double[] Mean, double[] Root)> Rooted(IReadOnlyList<(double Weight, double[] Mean, double[] Covariance)> modes, int n)
    {
        double until = 0;
        var result = new List<(double, double[], double[])>();
        foreach (var (weight, mean, covariance) in modes)
        {
            var root = new double[n * n];
            Cholesky.Factor(covariance, root, n);
            until += weight * Draws;
            result.Add((until, mean, root));
        }

        return result;
    }

    private static void Draw(List<(double Until, double[] Mean, double[] Root)> modes, int number, NormalDraws draws, double[] z, Span<double> x)
    {
        int mode = 0;
        while (mode < modes.Count - 1 && number >= modes[mode].Until)
        {
            mode++;
        }

        var (_, mean, root) = modes[mode];
        int n = mean.Length;
        for (int i = 0; i < n; i++)
        {
            z[i] = draws.Next();
            double v = mean[i];
            for (int k = 0; k <= i; k++)
            {
                v += root[i * n + k] * z[k];
            }

            x[i] = v;
        }
    }

    private static double[][] Table(int n) => [.. Enumerable.Range(0, n).Select(_ => new double[n])];

    private static int Nearest(double[] grid, double t)
    {
        int best = 0;
        for (int i = 1; i < grid.Length; i++)
        {
            if (Math.Abs(grid[i] - t) < Math.Abs(grid[best] - t))
            {
                best = i;
            }
        }

        return best;
    }
}
