namespace Stakeboat.Core.Numerics;

/// <summary>How a run ended.</summary>
/// <param name="Change">Largest move of a site's matched mean in the last sweep, in its own standard deviations.</param>
public readonly record struct PropagationEnd(bool Converged, int Sweeps, double Change, double LogEvidence);

/// <summary>
/// Expectation propagation (Minka 2001) of window sites over a Gaussian chain: each sweep smooths the chain once, matches the first two
/// moments of every site against its cavity and moves the site a damped step there.
/// </summary>
/// <remarks>
/// Log evidence: the chain's mass with its sites plus, for every window site, log(true mass / site's mass) under the cavity. It is stationary
/// where the sweeps come to rest, so the last sweep's own, taken before its step, does.
/// Sites of windows alone are log-concave and keep a positive precision. Mixtures and gross errors can ask for a negative one: it is allowed
/// down to a third of the cavity's precision, and taken back to zero for all where the chain becomes improper.
/// </remarks>
public static class ExpectationPropagation
{
    public static PropagationEnd Run(GaussianChain chain, IReadOnlyList<WindowSite> sites, int maxSweeps, double tolerance)
    {
        double change = double.PositiveInfinity, before = double.PositiveInfinity, damping = 1, log = double.NegativeInfinity;
        int sweep = 0;
        bool floor = false;
        while (sweep < maxSweeps)
        {
            chain.Smooth(keepCovariance: false);
            if (!chain.Proper)
            {
                floor = true;
                LetGoOfNegatives(chain);
                chain.Smooth(keepCovariance: false);
            }

            sweep++;
            change = 0;
            log = chain.LogMass;
            for (int i = 0; i < sites.Count; i++)
            {
                change = Math.Max(change, Match(chain, sites[i], damping, floor, ref log));
            }

            if (change < tolerance)
            {
                break;
            }

            // Damp once it stops falling: parallel moves of mixtures can chase each other round.
            if (sweep > 2 && change > 0.7 * before)
            {
                damping = Math.Max(0.3, damping * 0.85);
            }

            before = change;
        }

        return new PropagationEnd(change < tolerance, sweep, change, log);
    }

    /// <summary>Sites of negative precision are given up where they leave the chain improper.</summary>
    public static void LetGoOfNegatives(GaussianChain chain)
    {
        foreach (var step in chain.Steps)
        {
            if (step.Precision < 0)
            {
                step.Precision = 0;
                step.Shift = 0;
            }
        }
    }

    /// <summary>Masses and posteriors of a site's windows under the cavities as they stand.</summary>
    private static void Weigh(GaussianChain chain, WindowSite site)
    {
        int count = site.WindowCount;
        double total = site.Only is WindowSite.AllOptions || site.Only == count ? site.LogGross : double.NegativeInfinity;
        int w = 0;
        foreach (var arm in site.Arms)
        {
            var step = chain.Steps[arm.Step];
            double variance = Math.Min(step.CavityVariance, 1e10);
            foreach (var window in arm.Windows)
            {
                if (site.Only is WindowSite.AllOptions || site.Only == w)
                {
                    site.Moments[w] = TruncatedGaussian.Moments(step.CavityMean, variance, window.Low, window.High, arm.Softness);
                    site.Posterior[w] = window.LogWeight + site.Moments[w].LogMass;
                    total = Gaussian.LogSum(total, site.Posterior[w]);
                }
                else
                {
                    site.Posterior[w] = double.NegativeInfinity;
                }

                w++;
            }
        }

        for (w = 0; w < count; w++)
        {
            site.Posterior[w] = Math.Exp(site.Posterior[w] - total);
        }

        site.GrossPosterior = site.Only is WindowSite.AllOptions || site.Only == count ? Math.Exp(site.LogGross - total) : 0;
        site.LogMass = total;
    }

    private static double Match(GaussianChain chain, WindowSite site, double damping, bool floor, ref double log)
    {
        Weigh(chain, site);
        log += site.LogMass;
        double change = 0;
        int first = 0;
        site.Between = 0;
        foreach (var arm in site.Arms)
        {
            var step = chain.Steps[arm.Step];
            double cm = step.CavityMean, cv = step.CavityVariance;
            double flat = 1, mean = 0, second = 0, within = 0;
            for (int w = first; w < first + arm.Windows.Length; w++)
            {
                double p = site.Posterior[w];
                if (p > 0)
                {
                    double d = site.Moments[w].Mean - cm;
                    flat -= p;
                    mean += p * d;
                    within += p * site.Moments[w].Variance;
                    second += p * d * d;
                }
            }

            first += arm.Windows.Length;
            if (double.IsPositiveInfinity(cv))
            {
                // Other sites' negative precisions leave no proper cavity: let go of this one by half and try again.
                step.Precision *= 0.5;
                step.Shift *= 0.5;
                change = Math.Max(change, 1);
                log = double.NegativeInfinity;
                continue;
            }

            log -= GaussianChain.LogSiteMass(step.Shift, step.Precision, cm, cv);
            within += Math.Max(flat, 0) * cv;
            double between = Math.Max(second - mean * mean, 0);
            double variance = Math.Max(within + between, cv * 1e-9);
            site.Between = Math.Max(site.Between, between / variance);
            double precision = 1 / variance - 1 / cv;
            precision = Math.Max(precision, floor ? 0 : -1 / (3 * cv));

            // The mean is matched exactly whatever became of the precision.
            double shift = precision * (cm + mean) + mean / cv;
            double newPrecision = step.Precision + damping * (precision - step.Precision);
            double newShift = step.Shift + damping * (shift - step.Shift);
            double nowVariance = 1 / Math.Max(1 / cv + step.Precision, 1e-12);
            double nowMean = nowVariance * (cm / cv + step.Shift);
            double next = 1 / Math.Max(1 / cv + newPrecision, 1e-12);
            double nextMean = next * (cm / cv + newShift);
            change = Math.Max(change, Math.Abs(nextMean - nowMean) / Math.Sqrt(next));
            change = Math.Max(change, Math.Abs(Math.Sqrt(next / nowVariance) - 1));
            step.Precision = newPrecision;
            step.Shift = newShift;
        }

        return change;
    }
}
