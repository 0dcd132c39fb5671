namespace Stakeboat.Core.Energetics;

/// <summary>
/// Two-parameter model (P - CP) t = W' (Monod and Scherrer 1965; forms as in Hill 2003). Holds for efforts of about 2 to 15 minutes.
/// </summary>
/// <param name="Cp">Critical power, W.</param>
/// <param name="WPrime">Work that can be done above it, J.</param>
public readonly record struct CriticalPower(double Cp, double WPrime)
{
    /// <summary>Seconds that a power can be held; infinite at or below CP.</summary>
    public double TimeAt(double watts) => watts <= Cp ? double.PositiveInfinity : WPrime / (watts - Cp);

    /// <summary>Watts that can be held for a time.</summary>
    public double PowerFor(double seconds) => Cp + WPrime / seconds;
}

/// <summary>The same in the boat: D = CV t + D'. Watts of a fixed machine do not carry over to a boat; this form needs none.</summary>
/// <param name="Cv">Critical speed, m/s.</param>
/// <param name="DPrime">Metres that can be won above it.</param>
public readonly record struct CriticalSpeed(double Cv, double DPrime)
{
    /// <summary>Seconds for a distance, m.</summary>
    public double TimeFor(double metres) => (metres - DPrime) / Cv;

    /// <summary>Mean speed that can be held for a time, m/s.</summary>
    public double SpeedFor(double seconds) => Cv + DPrime / seconds;
}

/// <summary>Three-parameter model (Morton 1996, from memory): the power at time zero is bounded by Pmax; t = W'/(P-CP) - W'/(Pmax-CP).</summary>
/// <param name="Pmax">W.</param>
public readonly record struct ThreeParameterPower(double Cp, double WPrime, double Pmax)
{
    /// <summary>Seconds; 0 at Pmax and above.</summary>
    public double TimeAt(double watts) =>
        watts <= Cp ? double.PositiveInfinity : Math.Max(WPrime / (watts - Cp) - WPrime / (Pmax - Cp), 0);

    /// <summary>Watts over a time.</summary>
    public double PowerFor(double seconds) => Cp + WPrime / (seconds + WPrime / (Pmax - Cp));

    /// <summary>Most power with a balance left: CP + (W/W')(Pmax - CP) (Morton 2006, from memory), W.</summary>
    public double CapAt(double balance) => Cp + Math.Clamp(balance / WPrime, 0, 1) * (Pmax - Cp);
}
