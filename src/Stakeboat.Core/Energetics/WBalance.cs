namespace Stakeboat.Core.Energetics;

/// <summary>A law of how W' comes back below critical power. Rivals side by side: none is the best.</summary>
public enum RecoveryLaw
{
    /// <summary>None: what is spent stays spent. The careful choice inside a race.</summary>
    None,

    /// <summary>dW/dt = (1 - W/W')(CP - P), Skiba 2015.</summary>
    Skiba2015,

    /// <summary>Exponential with tau = 546 exp(-0.01 (CP - P)) + 316 s, Skiba 2012, with the current power.</summary>
    Skiba2012,

    /// <summary>Exponential with tau = 2287.2 (CP - P)^-0.688 s, elite riders, Bartram 2018 (from memory).</summary>
    Bartram2018,
}

/// <summary>How much of W' is left along a row of powers.</summary>
public static class WBalance
{
    /// <summary>
    /// One step at constant power, exact for each law: above CP linear down, below it exponential towards W'. May go below zero: the caller
    /// decides what an empty store means.
    /// </summary>
    /// <param name="balance">J before.</param>
    public static double Step(double balance, double watts, double seconds, CriticalPower crew, RecoveryLaw law)
    {
        if (watts >= crew.Cp || law == RecoveryLaw.None)
        {
            return watts >= crew.Cp ? balance - (watts - crew.Cp) * seconds : balance;
        }

        double below = crew.Cp - watts;
        double tau = law switch
        {
            RecoveryLaw.Skiba2015 => crew.WPrime / below,
            RecoveryLaw.Skiba2012 => Tau2012(below),
            _ => TauBartram(below),
        };
        return crew.WPrime - (crew.WPrime - balance) * Math.Exp(-seconds / tau);
    }

    /// <summary>Time constant of Skiba 2012, s.</summary>
    /// <param name="below">CP less the recovery power, W.</param>
    public static double Tau2012(double below) => 546 * Math.Exp(-0.01 * below) + 316;

    /// <summary>Time constant of Bartram 2018, s.</summary>
    public static double TauBartram(double below) => 2287.2 * Math.Pow(below, -0.688);

    /// <summary>Time in which half of what is missing comes back under Skiba 2015, s: W' ln 2/(CP - P).</summary>
    public static double HalfRecovery(CriticalPower crew, double watts) => crew.WPrime * Math.Log(2) / (crew.Cp - watts);

    /// <summary>
    /// Integral form (Skiba 2012) with one time constant: W(t) = W' - sum of e(u) exp(-(t-u)/tau), in steps of one second, the current
    /// second's work not yet decayed.
    /// </summary>
    /// <param name="watts">Power in each second.</param>
    public static IReadOnlyList<double> Integral(IReadOnlyList<double> watts, CriticalPower crew, double tau)
    {
        var result = new double[watts.Count];
        double spent = 0;
        double keep = Math.Exp(-1 / tau);
        for (int i = 0; i < watts.Count; i++)
        {
            spent = spent * keep + Math.Max(watts[i] - crew.Cp, 0);
            result[i] = crew.WPrime - spent;
        }

        return result;
    }
}

/// <summary>What the aerobic supply runs after.</summary>
public enum OxygenLaw
{
    /// <summary>Supply is CP from the first stroke: the plain critical power model.</summary>
    Constant,

    /// <summary>Towards min(P, Amax): a saturating target.</summary>
    Saturating,

    /// <summary>Towards P itself, the supply cut at Amax: a hard start wakes it sooner.</summary>
    DemandDriven,
}

/// <summary>
/// Oxygen uptake as a first-order lag, dA/dt = (target - A)/tau. Heavy exercise: tau 18.7 s in Olympic champions, 22.4 s in lesser trained
/// rowers (Ingham 2007), about 26 s untrained (Roberts 2005). The slow component is not in it.
/// </summary>
public static class OxygenUptake
{
    public const double ChampionTau = 18.7;
    public const double TrainedTau = 22.4;

    /// <summary>Supply after a step at constant power, W; exact, with the cut at Amax inside the step.</summary>
    public static double Step(double supply, double watts, double seconds, double aMax, double tau, OxygenLaw law) => law switch
    {
        OxygenLaw.Constant => aMax,
        OxygenLaw.Saturating => Math.Min(watts, aMax) + (supply - Math.Min(watts, aMax)) * Math.Exp(-seconds / tau),
        _ => Math.Min(watts + (supply - watts) * Math.Exp(-seconds / tau), aMax),
    };

    /// <summary>
    /// What is left of a store W_B after the lag of the supply, J, where P is above Amax throughout: W_B - Amax tau (1 - exp(-T/tau)).
    /// Under the saturating law the lag costs the same however the race is paced.
    /// </summary>
    public static double EffectiveStore(double store, double aMax, double tau, double seconds) => store - aMax * tau * (1 - Math.Exp(-seconds / tau));
}
