using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Tests.Numerics;

/// <summary>
/// A random small race of two or three crews in seats: each crew's place is an integrated random walk, margins are differences to our own,
/// calls are windows, one-sided calls, two readings, two possible crews, with gross errors. With it an exact reference: importance sampling of the
/// joint distribution of all that is called and asked for, weighted by exact prior and likelihood. Where the draws are proposed comes from the
/// solver and, for a tenth, from the prior, so that a mode which the solver never saw is met as well.
/// </summary>
internal sealed class SmallRace
{
    private const double Psd = 1e-5;
    private readonly List<int> _asked = [];
    private readonly List<(int Step, Functional F)> _all = [];

    /// <param name="gross">Calls may be gross errors, about another crew or about the other side: posteriors with several modes.</param>
    public SmallRace(int seed, bool gross)
    {
        var random = new Random(seed);
        var z = new NormalDraws(random.Next());
        int rivals = random.Next(1, 3), crews = rivals + 1, n = 2 * crews;
        int calls = random.Next(5, 11);
        double[] times = [.. Enumerable.Range(0, calls).Select(_ => 10 + 190 * random.NextDouble()).Order()];
        double[] place = new double[crews], speed = new double[crews];
        for (int c = 0; c < crews; c++)
        {
            speed[c] = 0.015 * z.Next();
        }

        var steps = new List<ChainStep>();
        var sites = new List<WindowSite>();
        double now = 0;
        foreach (double t in times)
        {
            double h = t - now;
            for (int c = 0; c < crews; c++)
            {
                double a = Math.Sqrt(Psd * h) * z.Next();
                place[c] += h * speed[c] + h * (0.5 * a + Math.Sqrt(Psd * h / 12) * z.Next());
                speed[c] += a;
            }

            int rival = random.Next(1, crews);
            double told = place[0] - place[rival] + 0.5 * z.Next();
            double logGross = gross ? Math.Log(0.05 * 0.04) : double.NegativeInfinity;
            bool wrong = gross && random.NextDouble() < 0.05;
            if (wrong)
            {
                told += 6;
            }

            double low = Math.Round(told) - 0.5, high = low + 1;
            var windows = random.Next(5) switch
            {
                0 => new[] { new Window(told > 0 ? 0 : double.NegativeInfinity, told > 0 ? double.PositiveInfinity : 0, Math.Log(0.95)) },
                1 when gross => [new Window(low, high, Math.Log(0.57)), new Window(-high, -low, Math.Log(0.38))], // up or down
                1 => [new Window(low, high, Math.Log(0.7)), new Window(low - 11, high - 11, Math.Log(0.25))], // coxswain's seat or bow ball
                _ => [new Window(low, high, Math.Log(0.95))],
            };
            bool who = gross && rivals == 2 && random.Next(4) == 0;
            var arms = new List<WindowArm>();
            foreach (int c in who ? (int[])[rival, 3 - rival] : [rival])
            {
                double share = !who ? 0 : Math.Log(c == rival ? 0.7 : 0.3);
                arms.Add(new WindowArm(steps.Count, [.. windows.Select(w => w with { LogWeight = w.LogWeight + share })], 0.5));
                steps.Add(Step(steps.Count == 0 ? t : t - now, crews, Functional.Of((0, 1), (2 * c, -1))));
                now = t;
            }

            sites.Add(new WindowSite([.. arms], logGross));
            _asked.Add(sites.Sum(x => x.Arms.Length) - arms.Count);
        }

        steps.Add(Step(220 - now, crews, null));
        _all.AddRange(sites.SelectMany(x => x.Arms).Select(a => (a.Step, steps[a.Step].Site!)));
        _asked.Add(_all.Count);
        _all.Add((steps.Count - 1, Functional.Of((0, 1), (2, -1))));
        var prior = new double[n * n];
        for (int c = 0; c < crews; c++)
        {
            prior[2 * c * n + 2 * c] = 0.05;
            prior[(2 * c + 1) * n + 2 * c + 1] = 0.015 * 0.015;
        }

        Chain = new GaussianChain(new double[n], prior, steps);
        Sites = sites;
    }

    public GaussianChain Chain { get; }

    public IReadOnlyList<WindowSite> Sites { get; }

    private static ChainStep Step(double h, int crews, Functional? site)
    {
        var ops = new List<StateOp>();
        var noise = new List<NoiseEntry>();
        for (int c = 0; c < crews && h > 0; c++)
        {
            ops.Add(StateOp.Add(2 * c, 2 * c + 1, h));
            noise.Add(new NoiseEntry(2 * c, 2 * c, Psd * h * h * h / 3));
            noise.Add(new NoiseEntry(2 * c, 2 * c + 1, Psd * h * h / 2));
            noise.Add(new NoiseEntry(2 * c + 1, 2 * c + 1, Psd * h));
        }

        return new ChainStep([.. ops], [.. noise], site);
    }

    /// <summary>Means and sds by expectation propagation of what is asked: every called margin, and one at the end.</summary>
    /// <param name="branch">Branch over doubtful calls.</param>
    /// <param name="modes">What the answer was mixed from, for proposing draws.</param>
    public (double Mean, double Sd)[] Propagated(bool branch, out PropagationEnd end, out List<(double Weight, double[] Mean, double[] Covariance)> modes)
    {
        end = ExpectationPropagation.Run(Chain, Sites, 200, 1e-7);
        var found = branch
            ? PropagationModes.Find(Chain, Sites, end, new BranchLimits(100, 4000, 0.0005, 2e-5, 0, 0, 200, 1e-6))
            : [new PropagationMode(1, end.LogEvidence, end.Converged,
                [.. Sites.SelectMany(x => x.Arms).Select(a => (Chain.Steps[a.Step].Shift, Chain.Steps[a.Step].Precision))], [])];
        modes = [];
        int n = _all.Count;
        foreach (var mode in found)
        {
            int a = 0;
            foreach (var arm in Sites.SelectMany(x => x.Arms))
            {
                (Chain.Steps[arm.Step].Shift, Chain.Steps[arm.Step].Precision) = mode.Sites[a++];
            }

            Chain.Smooth(keepCovariance: true);
            modes.Add((mode.Weight, [.. _all.Select(x => Chain.Mean(x.Step, x.F))], Chain.Covariances(_all)));
        }

        double total = modes.Sum(m => m.Weight);
        var copy = modes;
        return [.. _asked.Select(q =>
        {
            double mean = copy.Sum(m => m.Weight * m.Mean[q]) / total;
            return (mean, Math.Sqrt(copy.Sum(m => m.Weight * (m.Covariance[q * n + q] + Math.Pow(m.Mean[q] - mean, 2))) / total));
        })];
    }

    /// <summary>The same exactly but for sampling error, and the effective number of draws.</summary>
    public (double Mean, double Sd)[] Exact(int draws, int seed, List<(double Weight, double[] Mean, double[] Covariance)> modes, out double effective)
    {
        int n = _all.Count;
        foreach (var step in Chain.Steps)
        {
            (step.Shift, step.Precision) = (0, 0);
        }

        Chain.Smooth(keepCovariance: true);
        double[] prior = Chain.Covariances(_all);

        // Calls at almost one moment: a grain of noise keeps the matrices regular.
        double[] Root(double[] covariance, double factor)
        {
            double[] c = [.. covariance.Select(v => factor * v)];
            for (int i = 0; i < n; i++)
            {
                c[i * n + i] += 1e-6;
            }

            var l = new double[n * n];
            Cholesky.Factor(c, l, n);
            return l;
        }

        const double fromPrior = 0.1;
        double all = modes.Sum(m => m.Weight);
        var proposals = modes.Where(m => m.Weight > 1e-5 * all)
            .Select(m => (Weight: Math.Max(m.Weight / all, 0.01), m.Mean, Root: Root(m.Covariance, 1.7))).ToList();
        double sumOf = proposals.Sum(m => m.Weight) / (1 - fromPrior);
        proposals = [.. proposals.Select(m => (m.Weight / sumOf, m.Mean, m.Root)), (fromPrior, new double[n], Root(prior, 1))];
        double[] lp = proposals[^1].Root;
        var z = new NormalDraws(seed);
        var random = new Random(seed);
        double[] e = new double[n], x = new double[n], u = new double[n];
        var logs = new double[draws];
        var xs = new double[draws * _asked.Count];

        double Log(double[] mean, double[] l)
        {
            double log = 0;
            for (int i = 0; i < n; i++)
            {
                double v = x[i] - mean[i];
                for (int k = 0; k < i; k++)
                {
                    v -= l[i * n + k] * u[k];
                }

                u[i] = v / l[i * n + i];
                log -= 0.5 * u[i] * u[i] + Math.Log(l[i * n + i]);
            }

            return log;
        }

        double[] none = new double[n];
        for (int d = 0; d < draws; d++)
        {
            double pick = random.NextDouble();
            int from = 0;
            while (from < proposals.Count - 1 && (pick -= proposals[from].Weight) > 0)
            {
                from++;
            }

            var (_, centre, root) = proposals[from];
            for (int i = 0; i < n; i++)
            {
                e[i] = z.Next();
                double v = centre[i];
                for (int k = 0; k <= i; k++)
                {
                    v += root[i * n + k] * e[k];
                }

                x[i] = v;
            }

            double proposed = double.NegativeInfinity;
            foreach (var (weight, mean, l) in proposals)
            {
                proposed = Gaussian.LogSum(proposed, Math.Log(weight) + Log(mean, l));
            }

            double log = Log(none, lp) - proposed;
            int arm = 0;
            foreach (var site in Sites)
            {
                double likelihood = Math.Exp(site.LogGross);
                foreach (var a in site.Arms)
                {
                    foreach (var w in a.Windows)
                    {
                        likelihood += Math.Exp(w.LogWeight) * (Gaussian.Below((w.High - x[arm]) / a.Softness) - Gaussian.Below((w.Low - x[arm]) / a.Softness));
                    }

                    arm++;
                }

                log += Math.Log(likelihood);
            }

            logs[d] = log;
            for (int q = 0; q < _asked.Count; q++)
            {
                xs[d * _asked.Count + q] = x[_asked[q]];
            }
        }

        double top = logs.Max(), sum = 0, square = 0;
        for (int d = 0; d < draws; d++)
        {
            logs[d] = Math.Exp(logs[d] - top);
            sum += logs[d];
            square += logs[d] * logs[d];
        }

        effective = sum * sum / square;
        var result = new (double, double)[_asked.Count];
        for (int q = 0; q < _asked.Count; q++)
        {
            double mean = 0, second = 0;
            for (int d = 0; d < draws; d++)
            {
                mean += logs[d] * xs[d * _asked.Count + q] / sum;
            }

            for (int d = 0; d < draws; d++)
            {
                double v = xs[d * _asked.Count + q] - mean;
                second += logs[d] * v * v / sum;
            }

            result[q] = (mean, Math.Sqrt(second));
        }

        return result;
    }
}
