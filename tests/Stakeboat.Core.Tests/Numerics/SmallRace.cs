using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Tests.Numerics;

/// <summary>
/// A random small race of two or three crews in seats: each crew's place is an integrated random walk, margins are differences to our own,
/// calls are windows, one-sided calls, two readings, two possible crews, with gross errors. With it an exact reference that shares no step with
/// the solver: importance sampling of the joint prior of all that is called and asked for.
/// </summary>
internal sealed class SmallRace
{
    private const double Psd = 1e-5;
    private readonly List<(int Step, Functional F)> _asked = [];

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
            _asked.Add((steps.Count - 1, Functional.Of((0, 1), (2 * rival, -1))));
        }

        steps.Add(Step(220 - now, crews, null));
        _asked.Add((steps.Count - 1, Functional.Of((0, 1), (2, -1))));
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
    public (double Mean, double Sd)[] Propagated(out PropagationEnd end)
    {
        end = ExpectationPropagation.Run(Chain, Sites, 200, 1e-7);
        Chain.Smooth(keepCovariance: true);
        return [.. _asked.Select(a => (Chain.Mean(a.Step, a.F), Math.Sqrt(Chain.Variance(a.Step, a.F))))];
    }

    /// <summary>The same exactly but for sampling error, and the effective number of draws.</summary>
    public (double Mean, double Sd)[] Exact(int draws, int seed, out double effective)
    {
        // Everything called (arm by arm), then everything asked: one joint normal before the calls ...
        var all = Sites.SelectMany(s => s.Arms).Select(a => (a.Step, F: Chain.Steps[a.Step].Site!)).Concat(_asked).ToList();
        int n = all.Count;
        var kept = Chain.Steps.Select(s => (s.Shift, s.Precision)).ToArray();

        // ... proposed from the propagated answer, twice as wide in variance.
        Chain.Smooth(keepCovariance: true);
        double[] centre = [.. all.Select(a => Chain.Mean(a.Step, a.F))];
        double[] wide = [.. Chain.Covariances(all).Select(v => 2 * v)];
        foreach (var s in Chain.Steps)
        {
            (s.Shift, s.Precision) = (0, 0);
        }

        Chain.Smooth(keepCovariance: true);
        double[] prior = Chain.Covariances(all);
        for (int i = 0; i < Chain.Steps.Count; i++)
        {
            (Chain.Steps[i].Shift, Chain.Steps[i].Precision) = kept[i];
        }

        // What is asked may repeat what is called: a grain of independent noise keeps both matrices regular.
        for (int i = 0; i < n; i++)
        {
            prior[i * n + i] += 1e-6;
            wide[i * n + i] += 1e-6;
        }

        var lp = new double[n * n];
        var lw = new double[n * n];
        Cholesky.Factor(prior, lp, n);
        Cholesky.Factor(wide, lw, n);
        var z = new NormalDraws(seed);
        double[] e = new double[n], x = new double[n], u = new double[n];
        var logs = new double[draws];
        var xs = new double[draws * _asked.Count];
        int called = n - _asked.Count;
        for (int d = 0; d < draws; d++)
        {
            double log = 0;
            for (int i = 0; i < n; i++)
            {
                e[i] = z.Next();
                log += 0.5 * e[i] * e[i];
                double v = centre[i];
                for (int k = 0; k <= i; k++)
                {
                    v += lw[i * n + k] * e[k];
                }

                x[i] = v;
            }

            for (int i = 0; i < n; i++)
            {
                double v = x[i];
                for (int k = 0; k < i; k++)
                {
                    v -= lp[i * n + k] * u[k];
                }

                u[i] = v / lp[i * n + i];
                log -= 0.5 * u[i] * u[i];
            }

            int arm = 0;
            foreach (var site in Sites)
            {
                double likelihood = Math.Exp(site.LogGross);
                foreach (var a in site.Arms)
                {
                    likelihood += a.Windows.Sum(w => Math.Exp(w.LogWeight)
                        * (Gaussian.Below((w.High - x[arm]) / a.Softness) - Gaussian.Below((w.Low - x[arm]) / a.Softness)));
                    arm++;
                }

                log += Math.Log(likelihood);
            }

            logs[d] = log;
            Array.Copy(x, called, xs, d * _asked.Count, _asked.Count);
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
