using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Margins;

/// <summary>
/// From evidence to every rival's margin at every second with its uncertainty: expectation propagation over a smoother that all crews share.
/// </summary>
/// <remarks>
/// Model: <see cref="MarginStates"/>. Likelihoods: windows with soft edges, mixtures of them, gross errors (Minka 2001 for the propagation).
/// Strengths of the process and of the spread of what was said maximise the evidence times a wide prior (log-normal about its centre, by a factor 1.25:
/// a race's calls alone tell little of how quickly crews change speed). Race without evidence: the answer is the prior, and as wide as it.
/// </remarks>
public static class MarginEngine
{
    private static readonly double[] PassingGrid = [0.64, 0.8, 1, 1.25, 1.56];
    private static readonly double[] SightGrid = [0.65, 0.8, 1, 1.25, 1.55];

    /// <exception cref="ArgumentException">Two rivals have one name.</exception>
    public static MarginSolution Solve(MarginProblem problem)
    {
        var settings = problem.Settings ?? MarginSettings.Default;
        var model = new MarginModel(problem);
        var sites = model.Sites.Select(s => s.Site).ToList();
        var centre = new MarginStrength(settings.PassingSd, 1);
        var chain = model.Build(centre, [], out _);
        var end = ExpectationPropagation.Run(chain, sites, settings.MaxSweeps, 1e-3);
        var strength = centre;
        if (settings.FindStrength && sites.Count > 0)
        {
            (strength, end) = Search(model, chain, sites, settings, end);
        }

        model.SetStrength(chain, strength);
        end = ExpectationPropagation.Run(chain, sites, settings.MaxSweeps, settings.Tolerance);
        var found = sites.SelectMany(s => s.Arms.Select(a => (chain.Steps[a.Step].Shift, chain.Steps[a.Step].Precision))).ToList();

        double[] grid = Grid(model.End);
        var full = model.Build(strength, grid, out int[] gridSteps);
        int i = 0;
        foreach (var arm in sites.SelectMany(s => s.Arms))
        {
            (full.Steps[arm.Step].Shift, full.Steps[arm.Step].Precision) = found[i++];
        }

        full.Smooth(keepCovariance: true);
        if (!full.Proper)
        {
            foreach (var step in full.Steps)
            {
                step.Precision = Math.Max(step.Precision, 0);
            }

            full.Smooth(keepCovariance: true);
        }

        return new MarginSolution(problem, model, full, grid, gridSteps, strength, end);
    }

    /// <summary>One coordinate at a time over a grid, each run starting from the last answer's sites.</summary>
    private static (MarginStrength, PropagationEnd) Search(
        MarginModel model, GaussianChain chain, List<WindowSite> sites, MarginSettings settings, PropagationEnd start)
    {
        double Score(MarginStrength s, out PropagationEnd end)
        {
            model.SetStrength(chain, s);
            end = ExpectationPropagation.Run(chain, sites, 8, 1e-2);
            double a = Math.Log(s.PassingSd / settings.PassingSd) / Math.Log(1.25), b = Math.Log(s.SightFactor) / Math.Log(1.25);
            return end.LogEvidence - 0.5 * (a * a + b * b);
        }

        var best = new MarginStrength(settings.PassingSd, 1);
        double bestScore = Score(best, out var bestEnd);
        foreach (bool passing in (bool[])[true, false, true])
        {
            var origin = best;
            foreach (double f in passing ? PassingGrid : SightGrid)
            {
                var trial = passing ? origin with { PassingSd = settings.PassingSd * f } : origin with { SightFactor = f };
                if (trial == best)
                {
                    continue;
                }

                double score = Score(trial, out var trialEnd);
                if (score > bestScore)
                {
                    (best, bestScore, bestEnd) = (trial, score, trialEnd);
                }
            }

            if (best == origin && !passing)
            {
                break;
            }
        }

        return (best, bestEnd);
    }

    /// <summary>Every whole second, and the finish.</summary>
    private static double[] Grid(double end)
    {
        int whole = (int)Math.Floor(end);
        return end - whole > 1e-6 ? [.. Enumerable.Range(0, whole + 1).Select(i => (double)i), end] : [.. Enumerable.Range(0, whole + 1).Select(i => (double)i)];
    }
}
