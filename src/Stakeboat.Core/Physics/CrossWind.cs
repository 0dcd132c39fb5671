using Stakeboat.Core.Units;

namespace Stakeboat.Core.Physics;

/// <summary>
/// How a shell answers a beam wind: how soon it drifts, the moment that turns it, the angle it holds on a straight course. General naval formulae,
/// ±40 %: no measured side force or yaw drag of a racing shell was found.
/// </summary>
public static class CrossWind
{
    /// <summary>
    /// Sideways added mass, kg: that of a half circle, rho pi T²/2 per metre (rigid surface limit of slender body theory, Newman 1977, from memory).
    /// </summary>
    public static double AddedMass(ShellHull hull, double waterDensity)
    {
        ArgumentNullException.ThrowIfNull(hull);
        double sum = 0;
        for (int i = 0; i < Quadrature.Nodes.Length; i++)
        {
            double x = Quadrature.Nodes[i];
            double t = hull.Draft * Math.Pow(1 - x * x, hull.DraftExponent);
            sum += Quadrature.Weights[i] * t * t;
        }

        return waterDensity * Math.PI / 2 * sum * hull.Length / 2;
    }

    /// <summary>Time in which a stopped boat takes up its drift, s: v_T (m + m22)/Y.</summary>
    /// <param name="drift">Terminal drift, m/s.</param>
    /// <param name="sideForce">At rest, N.</param>
    public static double TimeToDrift(double drift, double massKg, double addedMassKg, double sideForce) => drift * (massKg + addedMassKg) / sideForce;

    /// <summary>Munk's moment, N m: (m22 - m11) U v, destabilising; m11 is left at zero, a few per cent of the mass in so slender a hull.</summary>
    /// <param name="speed">Along, m/s.</param>
    /// <param name="leeway">Sideways, m/s.</param>
    public static double MunkMoment(double addedMassKg, double speed, double leeway) => addedMassKg * speed * leeway;

    /// <summary>Side force of a beam wind on a boat under way, N: ½ rho_a CdA_y W Va, Va² = U² + W².</summary>
    public static double SideForceUnderWay(int rowers, double speed, double wind, double airDensity) =>
        0.5 * airDensity * SideForces.SideDragArea(rowers) * wind * Math.Sqrt(speed * speed + wind * wind);

    /// <summary>
    /// Effective depth of fin and forefoot, m: 0.13, 0.14, 0.15, 0.17 for one, two, four, eight rowers. Back-solved from angles of about 2 to 3
    /// degrees in 5 m/s; engineering estimate.
    /// </summary>
    public static double FinDepth(int rowers) => rowers switch { 1 => 0.13, 2 => 0.14, 4 => 0.15, _ => 0.17 };

    /// <summary>
    /// Angle between hull and course that holds a straight line in a beam wind: lift ½ rho U² pi T_f² b of a low fin (Jones; Newman 1977, from
    /// memory) plus cross flow ½ rho Cd A (U b)², against the wind's side force.
    /// </summary>
    public static Angle CrabAngle(int rowers, ShellHull hull, double speed, double wind, double airDensity, double waterDensity, double crossFlowDrag = 0.8)
    {
        ArgumentNullException.ThrowIfNull(hull);
        double y = SideForceUnderWay(rowers, speed, wind, airDensity);
        double fin = FinDepth(rowers);
        double a = 0.5 * waterDensity * crossFlowDrag * hull.LateralArea * speed * speed;
        double b = 0.5 * waterDensity * speed * speed * Math.PI * fin * fin;
        return Angle.FromRadians((-b + Math.Sqrt(b * b + 4 * a * y)) / (2 * a));
    }

    /// <summary>Share of speed lost to an extra drag at constant power: dV/V = dR/(n R).</summary>
    /// <param name="exponent">n of P ~ V^n.</param>
    public static double SpeedShare(double extraDrag, double totalDrag, double exponent) => extraDrag / (exponent * totalDrag);
}
