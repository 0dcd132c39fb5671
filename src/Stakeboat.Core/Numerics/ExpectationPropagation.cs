namespace Stakeboat.Core.Numerics;

/// <summary>How a run ended.</summary>
/// <param name="Change">Largest move of a site's matched mean in the last sweep, in its own standard deviations.</param>
public readonly record struct PropagationEnd(bool Converged, int Sweeps, double Change, double LogEvidence);

/// <summary>
/// Expectation propagation (Minka 2001) of window sites over a Gaussian chain: each sweep smooths the chain once, matches the first two
/// moments of every site against its cavity and moves the site a damped step there.
/// </summary>
/// <remarks>
/// Log evidence: the chain's mass with its sites plus, for every window site, log(true mass / site's mass) under the cavity.
/// Sites of windows alone are log-concave and keep a positive precision. Mixtures and gross errors can ask for a negative one: it is allowed
/// down to a third of the cavity's precision, and taken back to zero for all where the chain becomes improper.
/// </remarks>
public static class ExpectationPropagation
{
    public static PropagationEnd Run(GaussianChain chain, IReadOnlyList<WindowSite> sites, int maxSweeps, double tolerance)
    {
        double change = double.PositiveInfinity, before = double.PositiveInfinity, damping = 1;
        int sweep = 0;
        bool floor = false;
        while (sweep < maxSweeps)
        {
            chain.Smooth(keepCovariance: false);
            if (!chain.Proper)
            {
                floor = true;
                foreach (var step in chain.Steps)
                {
                    step.Precision = Math.Max(step.Precision, 0);
                }

                chain.Smooth(keepCovariance: false);
            }

            sweep++;
            change = 0;
            foreach (var site in sites)
            {
                change = Math.Max(change, Match(chain, site, damping, floor));
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

        chain.Smooth(keepCovariance: false);
        if (!chain.Proper)
        {
            foreach (var step in chain.Steps)
            {
                step.Precision = Math.Max(step.Precision, 0);
            }

            chain.Smooth(keepCovariance: false);
        }

        return new PropagationEnd(change < tolerance, sweep, change, LogEvidence(chain, sites));
    }

    private static double LogEvidence(GaussianChain chain, IReadOnlyList<WindowSite> sites)
    {
        double log = chain.LogMass;
        foreach (var site in sites)
        {
            Weigh(chain, site);
            log += site.LogMass;
            foreach (var arm in site.Arms)
            {
                var step = chain.Steps[arm.Step];
                if (double.IsPositiveInfinity(step.CavityVariance))
                {
                    return double.NegativeInfinity;
                }

                log -= GaussianChain.LogSiteMass(step.Shift, step.Precision, step.CavityMean, step.CavityVariance);
            }
        }

        return log;
    }

    /// <summary>Masses and posteriors of a site's windows under the cavities as they stand; returns the moments window by window.</summary>
    private static CutMoments[] Weigh(GaussianChain chain, WindowSite site)
    {
        var moments = new CutMoments[site.Posterior.Length];
        double total = site.LogGross;
        int w = 0;
        foreach (var arm in site.Arms)
        {
            var step = chain.Steps[arm.Step];
            double variance = Math.Min(step.CavityVariance, 1e10);
            foreach (var window in arm.Windows)
            {
                moments[w] = TruncatedGaussian.Moments(step.CavityMean, variance, window.Low, window.High, arm.Softness);
                total = Gaussian.LogSum(total, window.LogWeight + moments[w].LogMass);
                w++;
            }
        }

        w = 0;
        foreach (var arm in site.Arms)
        {
            foreach (var window in arm.Windows)
            {
                site.Posterior[w] = Math.Exp(window.LogWeight + moments[w].LogMass - total);
                w++;
            }
        }

        site.GrossPosterior = Math.Exp(site.LogGross - total);
        site.LogMass = total;
        return moments;
    }

    private static double Match(GaussianChain chain, WindowSite site, double damping, bool floor)
    {
        var moments = Weigh(chain, site);
        double change = 0;
        int first = 0;
        foreach (var arm in site.Arms)
        {
            var step = chain.Steps[arm.Step];
            double cm = step.CavityMean, cv = step.CavityVariance;
            double flat = 1, mean = 0, second = 0;
            for (int w = first; w < first + arm.Windows.Length; w++)
            {
                double p = site.Posterior[w], d = moments[w].Mean - cm;
                flat -= p;
                mean += p * d;
                second += p * (moments[w].Variance + d * d);
            }

            first += arm.Windows.Length;
            if (double.IsPositiveInfinity(cv))
            {
                // Other sites' negative precisions leave no proper cavity: let go of this one by half and try again.
                step.Precision *= 0.5;
                step.Shift *= 0.5;
                change = Math.Max(change, 1);
                continue;
            }

            second += Math.Max(flat, 0) * cv;
            double variance = Math.Max(second - mean * mean, cv * 1e-9);
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
