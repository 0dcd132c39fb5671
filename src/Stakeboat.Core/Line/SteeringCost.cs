namespace Stakeboat.Core.Line;

/// <summary>What more drag costs while it lasts: quadratic drag, small shares. The drag of a rudder itself is common practice; no source was found.</summary>
public static class SteeringCost
{
    /// <summary>Share of speed lost to a share of more drag at constant power: drag v² times v is constant, so dv/v = -(1/3) dD/D.</summary>
    public static double SpeedAtConstantPower(double moreDrag) => -moreDrag / 3;

    /// <summary>The same at constant force: dv/v = -(1/2) dD/D.</summary>
    public static double SpeedAtConstantForce(double moreDrag) => -moreDrag / 2;

    /// <summary>Metres lost in <paramref name="seconds"/> s at <paramref name="speedMps"/> m/s with a share of more drag, at constant power.</summary>
    public static double Metres(double moreDrag, double seconds, double speedMps) => -SpeedAtConstantPower(moreDrag) * seconds * speedMps;
}
