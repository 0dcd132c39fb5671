namespace Stakeboat.Core.Numerics;

/// <summary>One of several normal answers that together stand for a distribution with several modes.</summary>
/// <param name="Weight">The weights of all modes add up to 1, but for those too light to keep.</param>
/// <param name="Sites">Shift and precision of every arm's site, arm by arm.</param>
/// <param name="Posterior">Of every site: its windows, then the gross error.</param>
public sealed record PropagationMode(double Weight, double LogEvidence, bool Converged, (double Shift, double Precision)[] Sites, double[][] Posterior);

/// <summary>How far to branch.</summary>
/// <param name="MostModes">Modes at most.</param>
/// <param name="MostRuns">Runs of the propagation at most.</param>
/// <param name="LeastGain">A site is branched over where weight of its mode × variance between its options (a share of the whole) exceeds this.</param>
/// <param name="LeastOption">Options of less probability are left out.</param>
/// <param name="LeastBetween">The options of a site are tried where the propagation itself sees at least this share of variance between them.</param>
/// <param name="LeastReading">A window of a site with several is tried at this probability as well: at rest in one mode the propagation thinks
/// too little of the other.</param>
/// <param name="MaxSweeps">Of each run.</param>
/// <param name="Tolerance">Of each run.</param>
public sealed record BranchLimits(
    int MostModes, int MostRuns, double LeastGain, double LeastOption, double LeastBetween, double LeastReading, int MaxSweeps, double Tolerance);

/// <summary>
/// One normal cannot be two modes. So the propagation is run again for each option of the site whose options differ most (a call is gross or not;
/// which of its readings), each run weighted by its evidence, and so on inside the weightier answers: best first, until no site is left whose
/// options matter or the limits are met.
/// </summary>
/// <remarks>
/// A propagation at rest in one mode thinks too little of the others: what an option is worth is told by the evidence of a run that is held to it,
/// in which all other sites may follow. Given the options every likelihood is log-concave, where expectation propagation is at its best.
/// </remarks>
public sealed class PropagationModes
{
    private readonly GaussianChain _chain;
    private readonly IReadOnlyList<WindowSite> _sites;
    private readonly BranchLimits _limits;
    private readonly int _arms;
    private int _runs;

    private PropagationModes(GaussianChain chain, IReadOnlyList<WindowSite> sites, BranchLimits limits)
    {
        (_chain, _sites, _limits) = (chain, sites, limits);
        _arms = sites.Sum(s => s.Arms.Length);
    }

    private sealed class Leaf
    {
        public required int[] Only { get; init; }

        public required (double, double)[] State { get; init; }

        public required double LogEvidence { get; init; }

        public required bool Converged { get; init; }

        public required double[][] Posterior { get; init; }

        public required double[] Between { get; init; }

        public required double[] Mean { get; init; }

        public required double[] Variance { get; init; }

        /// <summary>The site to branch over next, what that would show, and the leaves of all options but the likeliest; null: not looked for yet.</summary>
        public (double Gain, int Site, int Top, List<Leaf> Others)? Split { get; set; }
    }

    /// <summary>From where the propagation has come to rest on <paramref name="chain"/>; afterwards chain and sites are as they were before.</summary>
    /// <param name="end">Of that run.</param>
    public static IReadOnlyList<PropagationMode> Find(GaussianChain chain, IReadOnlyList<WindowSite> sites, PropagationEnd end, BranchLimits limits) =>
        new PropagationModes(chain, sites, limits).Branch(end);

    private List<PropagationMode> Branch(PropagationEnd end)
    {
        var first = Take(end, [.. _sites.Select(s => s.Only)]);
        var leaves = new List<Leaf> { first };
        while (leaves.Count < _limits.MostModes)
        {
            double[] weight = Weights(leaves);
            int best = -1;
            double gain = _limits.LeastGain;
            for (int l = 0; l < leaves.Count; l++)
            {
                if (weight[l] > _limits.LeastGain && _runs < _limits.MostRuns)
                {
                    leaves[l].Split ??= Explore(leaves[l]);
                }

                if (leaves[l].Split is { } split && weight[l] * split.Gain > gain)
                {
                    (best, gain) = (l, weight[l] * split.Gain);
                }
            }

            if (best < 0)
            {
                break;
            }

            var parent = leaves[best];
            var (_, site, top, others) = parent.Split!.Value;
            if (Try(parent, site, top) is not { } main)
            {
                parent.Split = (0, -1, -1, []);
                continue;
            }

            leaves.RemoveAt(best);
            leaves.Add(main);
            leaves.AddRange(others);
        }

        Put(first.State, first.Only);
        double[] share = Weights(leaves);
        return [.. leaves.Select((l, i) => new PropagationMode(share[i], l.LogEvidence, l.Converged, l.State, l.Posterior))
            .Where(m => m.Weight > 0.2 * _limits.LeastOption).OrderByDescending(m => m.Weight)];
    }

    /// <summary>Tries the sites that leave a choice, the most doubtful first; keeps the one whose options differ most.</summary>
    private (double, int, int, List<Leaf>) Explore(Leaf leaf)
    {
        (double Gain, int, int, List<Leaf>) found = (0, -1, -1, []);
        foreach (int s in Enumerable.Range(0, _sites.Count).Where(s => leaf.Only[s] == WindowSite.AllOptions).OrderBy(s => leaf.Posterior[s].Max()))
        {
            if (_runs >= _limits.MostRuns)
            {
                break;
            }

            int count = _sites[s].WindowCount;
            double[] p = leaf.Posterior[s];
            int top = Array.IndexOf(p, p.Max());
            bool seen = leaf.Between[s] >= _limits.LeastBetween;
            var others = new List<Leaf>();
            for (int o = 0; o <= count; o++)
            {
                bool wanted = o != top && (o < count || double.IsFinite(_sites[s].LogGross))
                    && ((seen && p[o] >= 0.2 * _limits.LeastOption) || (o < count && count > 1 && p[o] >= _limits.LeastReading) || _limits.LeastBetween == 0);
                if (wanted && Try(leaf, s, o) is { } other && other.LogEvidence > leaf.LogEvidence + Math.Log(_limits.LeastOption))
                {
                    others.Add(other);
                }
            }

            // Options that come to nothing once they are tried may still have blurred the propagation.
            if (others.Count > 0 || leaf.Between[s] >= Math.Max(_limits.LeastGain, _limits.LeastBetween))
            {
                List<Leaf> all = [leaf, .. others];
                double gain = Math.Max(Between(all, Weights(all)), leaf.Between[s]);
                if (gain > found.Gain)
                {
                    found = (gain, s, top, others);
                }
            }
        }

        return found;
    }

    /// <summary>A run held to one option of one site, begun where the leaf is; null where it comes to nothing.</summary>
    private Leaf? Try(Leaf leaf, int site, int option)
    {
        int[] only = [.. leaf.Only];
        only[site] = option;
        Put(leaf.State, only);
        Loosen(_sites[site], option);
        var run = ExpectationPropagation.Run(_chain, _sites, _limits.MaxSweeps, _limits.Tolerance);
        _runs++;
        return double.IsFinite(run.LogEvidence) ? Take(run, only) : null;
    }

    /// <summary>The largest share, over all sites, of the mixed variance that lies between the leaves.</summary>
    private double Between(List<Leaf> leaves, double[] weight)
    {
        double largest = 0;
        for (int a = 0; a < _arms; a++)
        {
            double mean = 0, second = 0, within = 0;
            for (int l = 0; l < leaves.Count; l++)
            {
                mean += weight[l] * leaves[l].Mean[a];
                second += weight[l] * leaves[l].Mean[a] * leaves[l].Mean[a];
                within += weight[l] * leaves[l].Variance[a];
            }

            double between = Math.Max(second - mean * mean, 0);
            largest = Math.Max(largest, between / Math.Max(between + within, 1e-12));
        }

        return largest;
    }

    /// <summary>A site that is held to one option no longer is what it was: its other arms say nothing.</summary>
    private void Loosen(WindowSite site, int option)
    {
        int w = 0;
        foreach (var arm in site.Arms)
        {
            if (option < w || option >= w + arm.Windows.Length)
            {
                (_chain.Steps[arm.Step].Shift, _chain.Steps[arm.Step].Precision) = (0, 0);
            }

            w += arm.Windows.Length;
        }
    }

    private void Put((double, double)[] state, int[] only)
    {
        int a = 0;
        for (int s = 0; s < _sites.Count; s++)
        {
            _sites[s].Only = only[s];
            foreach (var arm in _sites[s].Arms)
            {
                (_chain.Steps[arm.Step].Shift, _chain.Steps[arm.Step].Precision) = state[a++];
            }
        }
    }

    private Leaf Take(PropagationEnd end, int[] only)
    {
        var state = new (double Shift, double Precision)[_arms];
        double[] mean = new double[_arms], variance = new double[_arms];
        int a = 0;
        foreach (var site in _sites)
        {
            foreach (var arm in site.Arms)
            {
                var step = _chain.Steps[arm.Step];
                state[a] = (step.Shift, step.Precision);
                double cv = Math.Min(step.CavityVariance, 1e10);
                variance[a] = 1 / Math.Max(1 / cv + step.Precision, 1e-12);
                mean[a] = variance[a] * (step.CavityMean / cv + step.Shift);
                a++;
            }
        }

        return new Leaf
        {
            Only = only,
            State = state,
            LogEvidence = end.LogEvidence,
            Converged = end.Converged,
            Posterior = [.. _sites.Select(s => (double[])[.. s.Posterior, s.GrossPosterior])],
            Between = [.. _sites.Select(s => s.Between)],
            Mean = mean,
            Variance = variance,
        };
    }

    private static double[] Weights(List<Leaf> leaves)
    {
        double top = leaves.Max(l => l.LogEvidence);
        if (!double.IsFinite(top))
        {
            return [.. leaves.Select(_ => 1.0 / leaves.Count)];
        }

        double[] w = [.. leaves.Select(l => Math.Exp(l.LogEvidence - top))];
        double sum = w.Sum();
        return [.. w.Select(x => x / sum)];
    }
}
