using Stakeboat.Core.Units;

namespace Stakeboat.Core.Physics;

/// <summary>
/// Cross wind, steering and waves: general naval formulae. No measured yaw drag, side force or rudder drag of a racing shell was found;
/// everything here is ±40 % unless it is geometry.
/// </summary>
public static class SideForces
{
    /// <summary>Side area CdA_y of hull, crew and oars, m²: 1.5, 2.3, 3.9, 7.2 for one, two, four, eight rowers, ±30 %, engineering estimate.</summary>
    public static double SideDragArea(int rowers) => rowers switch { 1 => 1.5, 2 => 2.3, 4 => 3.9, _ => 7.2 };

    /// <summary>Side force of a beam wind at rest, N: ½ rho_a CdA_y W².</summary>
    public static double AtRest(int rowers, double wind, double airDensity) => 0.5 * airDensity * SideDragArea(rowers) * wind * wind;

    /// <summary>Drift of a stopped boat over the wind's speed, sqrt(rho_a CdA_y/(rho Cd_c A_lat)); cross-flow drag 0.6 to 1.1.</summary>
    /// <param name="lateralArea">Of the hull under water, m².</param>
    public static double DriftRatio(int rowers, double lateralArea, double airDensity, double waterDensity, double crossFlowDrag = 0.8) =>
        Math.Sqrt(airDensity * SideDragArea(rowers) / (waterDensity * crossFlowDrag * lateralArea));

    /// <summary>Side force of a rudder, N: CL = 2 pi AR/(AR+2) 0.9 delta, A = 0.009 m², AR = 2 with its mirror image; engineering estimate.</summary>
    public static double RudderSide(double speed, Angle deflection, double density, double area = 0.009, double aspect = 2) =>
        0.5 * density * area * speed * speed * RudderLift(deflection, aspect);

    /// <summary>Drag of a held rudder, N: CD = 0.012 + CL²/(0.9 pi AR).</summary>
    public static double RudderDrag(double speed, Angle deflection, double density, double area = 0.009, double aspect = 2)
    {
        double cl = RudderLift(deflection, aspect);
        return 0.5 * density * area * speed * speed * (0.012 + cl * cl / (0.9 * Math.PI * aspect));
    }

    /// <summary>Extra length of a sine-shaped weave over the straight line, as a share: (pi A/L)², exact to second order.</summary>
    /// <param name="amplitude">To each side, m.</param>
    /// <param name="wavelength">m.</param>
    public static double WeaveShare(double amplitude, double wavelength) => Math.Pow(Math.PI * amplitude / wavelength, 2);

    /// <summary>Extra length of a line held at a steady angle: 1/cos - 1.</summary>
    public static double SteadyAngleShare(Angle angle) => 1 / Math.Cos(angle.Radians) - 1;

    /// <summary>Half-angle of the wave pattern behind a boat in deep water: arcsin(1/3), 19.471 degrees (Kelvin 1887).</summary>
    public static Angle KelvinAngle { get; } = Angle.FromRadians(Math.Asin(1.0 / 3));

    /// <summary>Length of the waves across the wake, m: 2 pi U²/g.</summary>
    public static double TransverseWavelength(double speed) => 2 * Math.PI * speed * speed / ThinShip.Gravity;

    /// <summary>Speed of a wave, m/s: sqrt(g lambda/2pi tanh(2 pi h/lambda)).</summary>
    /// <param name="depth">m; null for deep.</param>
    public static double WaveSpeed(double wavelength, double? depth = null)
    {
        double c2 = ThinShip.Gravity * wavelength / (2 * Math.PI);
        return Math.Sqrt(depth is { } h ? c2 * Math.Tanh(2 * Math.PI * h / wavelength) : c2);
    }

    /// <summary>Critical speed of a depth, m/s: sqrt(g h).</summary>
    public static double CriticalSpeed(double depth) => Math.Sqrt(ThinShip.Gravity * depth);

    /// <summary>Half-angle of the wedge above critical speed: arcsin(1/Fh).</summary>
    public static Angle SupercriticalWedge(double depthFroude) => Angle.FromRadians(Math.Asin(1 / depthFroude));

    /// <summary>
    /// Angle between where the bow points and where the boat goes in a beam wind, from asin of leeway over speed.
    /// </summary>
    public static Angle AimOff(double leeway, double speed) => Angle.FromRadians(Math.Asin(leeway / speed));

    private static double RudderLift(Angle deflection, double aspect) => 2 * Math.PI * aspect / (aspect + 2) * 0.9 * deflection.Radians;
}

/// <summary>Power of a fixed machine and of an unsteady hull.</summary>
public static class PowerRelations
{
    /// <summary>The rowing machine's convention P = 2.80/p³, p in s per m (from memory): 2:00 is 202.5 W. Never equal to power in a boat.</summary>
    public static Power Ergometer(Pace pace)
    {
        double p = pace.SecondsPer500 / 500;
        return Power.FromWatts(2.80 / (p * p * p));
    }

    /// <summary>Factor on power where speed swings as V(1 + a sin): &lt;V^n&gt;/V^n, here exactly 1 + 1.5 a² for n = 3 and 1 + n(n-1)a²/4 otherwise.</summary>
    public static double FluctuationFactor(double amplitude, double exponent) => 1 + exponent * (exponent - 1) * amplitude * amplitude / 4;

    /// <summary>Share of handle power that moves the boat: 0.80 blade times 0.95 unsteadiness, 0.65 to 0.80; engineering estimate.</summary>
    public const double NetEfficiency = 0.76;
}
