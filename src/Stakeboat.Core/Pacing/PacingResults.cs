namespace Stakeboat.Core.Pacing;

/// <summary>Closed results of pacing.</summary>
public static class PacingResults
{
    /// <summary>
    /// Time lost by a standing start at constant power against a flying one, in units of x0/V with x0 = m/3k: 1.5 ln 3 - pi/(2 sqrt 3) = 0.741019.
    /// </summary>
    public static double StartLoss { get; } = 1.5 * Math.Log(3) - Math.PI / (2 * Math.Sqrt(3));

    /// <summary>Seconds that a standing start costs: 0.741019 m/(3 k V).</summary>
    public static double StartSeconds(double massKg, double drag, double speed) => StartLoss * massKg / (3 * drag) / speed;

    /// <summary>Relative cost of uneven pace: dT/T = 3 s² P/(2P + CP), s the time-weighted relative sd of speed; about s².</summary>
    public static double UnevenCost(double relativeSd, double power, double criticalPower) => 3 * relativeSd * relativeSd * power / (2 * power + criticalPower);

    /// <summary>Change of ln T for relative changes of CP, W' and drag: -[CP c + (W'/T) w]/(2P + CP) + P kappa/(2P + CP).</summary>
    public static double LogTimeChange(double criticalPower, double storeOverTime, double changeCp, double changeStore, double changeDrag)
    {
        double p = criticalPower + storeOverTime;
        return (-(criticalPower * changeCp + storeOverTime * changeStore) + p * changeDrag) / (2 * p + criticalPower);
    }

    /// <summary>Metres that a burst gains after its glide: ((1 + d)^(1/3) - 1) V t.</summary>
    public static double BurstGain(double powerShare, double speed, double seconds) => (Math.Cbrt(1 + powerShare) - 1) * speed * seconds;

    /// <summary>Metres behind for a gap in time, at the speed of the crew behind.</summary>
    public static double MetresOf(double seconds, double speedBehind) => seconds * speedBehind;

    /// <summary>Chance that the faster of two crews wins when each race of each has its own form.</summary>
    /// <param name="gap">True gap in time, s.</param>
    /// <param name="relativeSd">Race-to-race sd as a share; 0.009 for crews (Smith and Hopkins 2011).</param>
    public static double ChanceToWin(double gap, double time, double relativeSd) => Normal.Cdf(gap / (Math.Sqrt(2) * relativeSd * time));
}

/// <summary>Speed by quarters over the race's mean speed.</summary>
public static class PaceProfile
{
    /// <summary>On the water, 948 of 1612 profiles, Olympics 2000 and World Championships 2001-02 (Garland 2005), per cent of mean speed.</summary>
    public static IReadOnlyList<double> Garland2005 { get; } = [103.3, 99.0, 98.3, 99.7];

    /// <summary>Harmonic mean of the speeds over the mean speed: 1 where a profile closes over equal distances.</summary>
    public static double Closure(IReadOnlyList<double> percent) => 1 / percent.Average(p => 100 / p);

    /// <summary>Split times of a profile for a finishing time, s, after closing it.</summary>
    public static IReadOnlyList<double> Splits(IReadOnlyList<double> percent, double seconds)
    {
        double sum = percent.Sum(p => 1 / p);
        return [.. percent.Select(p => seconds / p / sum)];
    }

    /// <summary>Coefficient of variation of speeds or of split times, %, with n - 1.</summary>
    public static double Cv(IReadOnlyList<double> speeds)
    {
        double mean = speeds.Average();
        return 100 * Math.Sqrt(speeds.Sum(s => (s - mean) * (s - mean)) / (speeds.Count - 1)) / mean;
    }
}

/// <summary>Keller's runner (1974): dv/dt + v/tau = f, f at most F; energy rate sigma, store E0. Here to prove the structure on a published table.</summary>
/// <param name="Force">F, m/s².</param>
/// <param name="Tau">s.</param>
/// <param name="Sigma">m²/s³.</param>
/// <param name="Store">E0, m²/s².</param>
public sealed record KellerRunner(double Force, double Tau, double Sigma, double Store)
{
    /// <summary>Constants of 1974, from memory: 12.2 m/s², 0.892 s, 9.93 cal/kg/s, 575 cal/kg, 4.184 J/cal.</summary>
    public static KellerRunner Published { get; } = new(12.2, 0.892, 9.93 * 4.184, 575 * 4.184);

    /// <summary>Distance that can be run at full force, m, and its time, s: where the store is just empty.</summary>
    public (double Metres, double Seconds) Critical()
    {
        double lo = 0.1, hi = 200;
        for (int i = 0; i < 200; i++)
        {
            double t = (lo + hi) / 2;
            double spent = Force * Sprint(t) - Sigma * t;
            if (spent < Store)
            {
                lo = t;
            }
            else
            {
                hi = t;
            }
        }

        return (Sprint(lo), lo);
    }

    /// <summary>Least time for a distance, with the cruising speed and the length in time of the last phase (0 for a sprint).</summary>
    public (double Seconds, double Cruise, double LastPhase) Time(double metres)
    {
        if (metres <= Critical().Metres)
        {
            double lo = 0, hi = 200;
            for (int i = 0; i < 200; i++)
            {
                double t = (lo + hi) / 2;
                if (Sprint(t) < metres)
                {
                    lo = t;
                }
                else
                {
                    hi = t;
                }
            }

            return (lo, 0, 0);
        }

        double a = Math.Sqrt(Sigma * Tau) * 1.0001, b = Force * Tau * 0.9999;
        const double Golden = 0.6180339887498949;
        for (int i = 0; i < 200; i++)
        {
            double c = b - Golden * (b - a), d = a + Golden * (b - a);
            if (Long(metres, c).Total < Long(metres, d).Total)
            {
                b = d;
            }
            else
            {
                a = c;
            }
        }

        var (total, last) = Long(metres, (a + b) / 2);
        return (total, (a + b) / 2, last);
    }

    private double Sprint(double t) => Force * Tau * Tau * (t / Tau + Math.Exp(-t / Tau) - 1);

    private (double Total, double Last) Long(double metres, double v1)
    {
        double t1 = -Tau * Math.Log(1 - v1 / (Force * Tau));
        double d1 = Sprint(t1);
        double t2 = (Store + v1 * v1 * t1 / Tau - Force * d1) / (v1 * v1 / Tau - Sigma);
        double before = d1 + v1 * (t2 - t1);
        if (t2 < t1)
        {
            return (1e6, 0);
        }

        if (before >= metres)
        {
            return (t1 + (metres - d1) / v1, 0);
        }

        // Last phase: v² = sigma tau + (v1² - sigma tau) exp(-2 (t - t2)/tau).
        double floor = Sigma * Tau, excess = v1 * v1 - floor;
        double rest = metres - before, x = 0, t = 0;
        const double H = 0.001;
        while (true)
        {
            double v0 = Math.Sqrt(floor + excess * Math.Exp(-2 * t / Tau));
            double vm = Math.Sqrt(floor + excess * Math.Exp(-2 * (t + H / 2) / Tau));
            double vh = Math.Sqrt(floor + excess * Math.Exp(-2 * (t + H) / Tau));
            double step = H * (v0 + 4 * vm + vh) / 6;
            if (x + step >= rest)
            {
                return (t2 + t + H * (rest - x) / step, t + H * (rest - x) / step);
            }

            x += step;
            t += H;
        }
    }
}

/// <summary>The normal distribution.</summary>
public static class Normal
{
    /// <summary>Cumulative distribution, by the complementary error function's continued fraction and series, to 1e-12.</summary>
    public static double Cdf(double z)
    {
        double x = Math.Abs(z);
        double tail;
        if (x < 3)
        {
            // Series of Phi(x) - 1/2.
            double term = x, sum = x;
            for (int k = 1; k < 200 && Math.Abs(term) > 1e-17; k++)
            {
                term *= x * x / (2 * k + 1);
                sum += term;
            }

            tail = 0.5 - sum * Math.Exp(-x * x / 2) / Math.Sqrt(2 * Math.PI);
        }
        else
        {
            double f = 0;
            for (int k = 200; k >= 1; k--)
            {
                f = k / (x + f);
            }

            tail = Math.Exp(-x * x / 2) / Math.Sqrt(2 * Math.PI) / (x + f);
        }

        return z > 0 ? 1 - tail : tail;
    }
}
