using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Margins;

/// <summary>
/// From evidence to every rival's margin at every second with its uncertainty: expectation propagation over a smoother that all crews share.
/// </summary>
/// <remarks>
/// Model: <see cref="MarginStates"/>. Likelihoods: windows with soft edges, mixtures of them, gross errors (Minka 2001 for the propagation).
/// Where calls leave several modes open, branches over the doubtful ones weigh them by evidence (<see cref="PropagationModes"/>).
/// Strengths of the process and of the spread of what was said: see <see cref="FindStrength"/>. Race without evidence: the answer is the prior,
/// and as wide as it.
/// </remarks>
public static class MarginEngine
{
    /// <exception cref="ArgumentException">Two rivals have one name.</exception>
    public static MarginSolution Solve(MarginProblem problem)
    {
        var settings = problem.Settings ?? MarginSettings.Default;
        var model = new MarginModel(problem);
        var sites = model.Sites.Select(s => s.Site).ToList();
        var strength = new MarginStrength(settings.PassingSd, 1);
        var chain = model.Build(strength, [], out _);
        var end = ExpectationPropagation.Run(chain, sites, settings.MaxSweeps, settings.FindStrength ? 1e-2 : settings.Tolerance);
        if (settings.FindStrength)
        {
            strength = FindStrength(model, chain, sites, settings, end);
            model.SetStrength(chain, strength);
            end = ExpectationPropagation.Run(chain, sites, settings.MaxSweeps, settings.Tolerance);
        }

        var modes = PropagationModes.Find(chain, sites, end, settings.Branches);
        double[] grid = Grid(model.End);
        double all = modes.Sum(m => m.Weight);
        int[] gridSteps = [];
        var parts = new List<(double, GaussianChain)>();
        var traced = MarginSolution.Traced(problem.Rivals.Count);
        foreach (var mode in modes)
        {
            var full = model.Build(strength, grid, out gridSteps, traced);
            int i = 0;
            foreach (var arm in sites.SelectMany(s => s.Arms))
            {
                (full.Steps[arm.Step].Shift, full.Steps[arm.Step].Precision) = mode.Sites[i++];
            }

            full.Trace();
            if (!full.Proper)
            {
                ExpectationPropagation.LetGoOfNegatives(full);
                full.Trace();
            }

            parts.Add((mode.Weight / all, full));
        }

        return new MarginSolution(problem, model, new ChainMixture(parts), modes, grid, gridSteps, strength, end);
    }

    /// <summary>
    /// Strengths by evidence times a log-normal prior about the centre. The log evidence is taken as a parabola in the logarithm of each strength,
    /// through the centre and a step to either side; what counts is not its top but the mean of the variance that a strength stands for, so that a
    /// race whose calls tell little of it is given the wider answer.
    /// </summary>
    private static MarginStrength FindStrength(
        MarginModel model, GaussianChain chain, List<WindowSite> sites, MarginSettings settings, PropagationEnd centre)
    {
        if (sites.Count == 0)
        {
            return Strength(settings, Math.Pow(settings.PassingPriorFactorLog, 2), 0);
        }

        const double step = 0.35;
        double Score(double passing, double sight)
        {
            model.SetStrength(chain, Strength(settings, passing, sight));
            return ExpectationPropagation.Run(chain, sites, 4, 1e-2).LogEvidence;
        }

        double passing = Mean(Score(-step, 0), centre.LogEvidence, Score(step, 0), step, settings.PassingPriorFactorLog);
        double sight = Mean(Score(0, -step), centre.LogEvidence, Score(0, step), step, settings.SightPriorFactorLog);
        return Strength(settings, passing, sight);
    }

    private static MarginStrength Strength(MarginSettings settings, double logPassing, double logSight) =>
        new(settings.PassingSd * Math.Exp(logPassing), Math.Exp(logSight));

    /// <summary>Half the logarithm of the posterior mean of e^(2u), u the logarithm of a strength: top + variance of a normal.</summary>
    private static double Mean(double below, double centre, double above, double step, double priorSd)
    {
        if (!double.IsFinite(below + centre + above))
        {
            return priorSd * priorSd;
        }

        double slope = (above - below) / (2 * step);
        double bend = Math.Min((above - 2 * centre + below) / (step * step), 0);
        double curvature = 1 / (priorSd * priorSd) - bend;
        return Math.Clamp(slope / curvature, -2 * priorSd, 2 * priorSd) + 1 / curvature;
    }

    /// <summary>Every whole second, and the finish.</summary>
    private static double[] Grid(double end)
    {
        int whole = (int)Math.Floor(end);
        return end - whole > 1e-6 ? [.. Enumerable.Range(0, whole + 1).Select(i => (double)i), end] : [.. Enumerable.Range(0, whole + 1).Select(i => (double)i)];
    }
}
