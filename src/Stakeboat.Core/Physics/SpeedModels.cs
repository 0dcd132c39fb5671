using Stakeboat.Core.Units;

namespace Stakeboat.Core.Physics;

/// <summary>What holds the boat back at one speed, each term in N.</summary>
/// <param name="Speed">Through the water.</param>
/// <param name="OverGround">m/s.</param>
/// <param name="Friction">Of the wetted hull.</param>
/// <param name="Wave">Made waves.</param>
/// <param name="Air">Of boat, oars and crew; negative where the wind pushes.</param>
/// <param name="DepthFroude">U/sqrt(gh); 0 for deep water.</param>
public sealed record DragBalance(SpeedThroughWater Speed, SpeedOverGround OverGround, double Friction, double Wave, double Air, double DepthFroude)
{
    /// <summary>Newton.</summary>
    public double Total => Friction + Wave + Air;

    /// <summary>Net power that keeps this speed, W: force times speed through the water.</summary>
    public Power Power => Power.FromWatts(Total * Speed.MetresPerSecond);
}

/// <summary>Why a prediction should not be leaned on.</summary>
public enum ModelWarning { StrongWind, NearCriticalDepth, FarFromReference, OutsideTable }

/// <summary>A speed from a model with what it is made of.</summary>
public sealed record SpeedPrediction(string Model, DragBalance Balance, IReadOnlyList<ModelWarning> Warnings)
{
    public SpeedOverGround Speed => Balance.OverGround;
}

/// <summary>
/// The full model: ITTC-57 friction (1957) with a form factor, Michell (1898) or Srettensky-Lunde (1937, 1951) waves, bluff-body air.
/// Good to about ±15 % in drag before it meets a crew's own pieces.
/// </summary>
public sealed class FullSpeedModel(ReferenceHull hull, Mass? totalMass = null, double? dragArea = null, AirForm form = AirForm.Coupled)
{
    public const string Name = "full: ITTC 1957, Michell 1898, Lunde 1951";

    private readonly Mass _mass = totalMass ?? hull.TotalMass;
    private readonly double _area = hull.WettedArea(totalMass ?? hull.TotalMass);
    private readonly double _dragArea = dragArea ?? hull.DragArea;

    /// <summary>Each term at a speed through the water, m/s.</summary>
    public DragBalance At(double speed, Conditions conditions)
    {
        var water = conditions.WaterFluid;
        double reynolds = speed * hull.Hull.Length / water.KinematicViscosity;
        double friction = 0.5 * water.Density * _area * speed * speed * ReferenceHull.FormFactor * Friction.Ittc57(reynolds);

        // Displaced volume goes with mass; thin-ship waves go with its square.
        double load = _mass.Kilograms / hull.TotalMass.Kilograms;
        double wave = water.Density * hull.Waves.PerDensity(speed, conditions.Depth) * load * load;
        double ground = speed + conditions.Stream;
        double air = AirDrag.Force(ground, conditions.WindSpeed, conditions.WindAngle, conditions.AirDensity, _dragArea, form);
        double froude = conditions.Depth is { } h ? speed / Math.Sqrt(ThinShip.Gravity * h) : 0;
        return new DragBalance(SpeedThroughWater.FromMetresPerSecond(speed), SpeedOverGround.FromMetresPerSecond(ground), friction, wave, air, froude);
    }

    /// <summary>Speed at a net power (what is left after the losses of blade and unsteadiness).</summary>
    public SpeedPrediction Solve(Power net, Conditions conditions)
    {
        double v = SpeedRoot.Find(hull.Pace, u => u * At(u, conditions).Total - net.Watts);
        var balance = At(v, conditions);
        return new SpeedPrediction(Name, balance, Warnings(balance, conditions, null));
    }

    internal static IReadOnlyList<ModelWarning> Warnings(DragBalance b, Conditions c, double? referenceSpeed)
    {
        var list = new List<ModelWarning>();
        if (c.WindSpeed > 8)
        {
            list.Add(ModelWarning.StrongWind);
        }

        if (b.DepthFroude is > 0.85 and < 1.1)
        {
            list.Add(ModelWarning.NearCriticalDepth);
        }

        if (referenceSpeed is { } v0 && Math.Abs(b.Speed.MetresPerSecond / v0 - 1) > 0.25)
        {
            list.Add(ModelWarning.FarFromReference);
        }

        return list;
    }
}

/// <summary>
/// The relative model, the default: everything is measured against the crew's own speed V0 at 20 C fresh water, 20 C air, calm, deep.
/// P/P0 (V0/V) = f (rho/rho0)(Cf/Cf0)(V/V0)² + w Rw(V,h)/Rw(V0) + r (rho_a/rho_a0) Va Va,x / V0², f + w + r = 1. Only V0 and r are learned.
/// </summary>
public sealed class RelativeSpeedModel
{
    public const string Name = "relative to the crew's own speed: ITTC 1957, Michell 1898";

    private readonly ReferenceHull _hull;
    private readonly double _f;
    private readonly double _w;
    private readonly AirForm _form;
    private readonly double _massFactor;
    private readonly double _cf0;
    private readonly double _rw0;

    /// <param name="referenceSpeed">The crew's V0.</param>
    /// <param name="airShare">r; null for the class's prior.</param>
    /// <param name="massRatio">Total mass now over that at V0.</param>
    public RelativeSpeedModel(ReferenceHull hull, SpeedOverGround referenceSpeed, double? airShare = null, AirForm form = AirForm.Coupled, double massRatio = 1)
    {
        ArgumentNullException.ThrowIfNull(hull);
        double v0 = referenceSpeed.MetresPerSecond;
        if (!(v0 > 1.5 && v0 < 9))
        {
            throw new ArgumentOutOfRangeException(nameof(referenceSpeed), v0, "A crew's reference speed lies between 1.5 and 9 m/s.");
        }

        var shares = Shares(hull, v0);
        double r = airShare ?? shares.Air;
        if (!(r >= 0 && r < 0.6))
        {
            throw new ArgumentOutOfRangeException(nameof(airShare), r, "The air's share of the resistance lies between 0 and 0.6.");
        }

        _hull = hull;
        _form = form;
        ReferenceSpeed = referenceSpeed;
        AirShare = r;
        _w = shares.Wave * (1 - r) / (1 - shares.Air);
        _f = 1 - r - _w;
        _massFactor = massRatio;
        var water = Conditions.Reference.WaterFluid;
        _cf0 = Friction.Ittc57(v0 * hull.Hull.Length / water.KinematicViscosity);
        _rw0 = hull.Waves.PerDensity(v0);
        ReferenceForce = new FullSpeedModel(hull).At(v0, Conditions.Reference).Total;
    }

    public SpeedOverGround ReferenceSpeed { get; }

    /// <summary>r.</summary>
    public double AirShare { get; }

    /// <summary>The full model's force at V0, N: gives the terms their newtons. Ratios do not depend on it.</summary>
    public double ReferenceForce { get; }

    /// <summary>f, w, r of the class at a speed, from the full model.</summary>
    public static (double Friction, double Wave, double Air) Shares(ReferenceHull hull, double speed)
    {
        var b = new FullSpeedModel(hull).At(speed, Conditions.Reference);
        return (b.Friction / b.Total, b.Wave / b.Total, b.Air / b.Total);
    }

    /// <summary>Each term at a speed through the water, m/s, scaled to the reference force.</summary>
    public DragBalance At(double speed, Conditions c)
    {
        double v0 = ReferenceSpeed.MetresPerSecond;
        var water = c.WaterFluid;
        var water0 = Conditions.Reference.WaterFluid;
        double cf = Friction.Ittc57(speed * _hull.Hull.Length / water.KinematicViscosity);
        double density = water.Density / water0.Density;
        double friction = _f * density * (cf / _cf0) * (speed / v0) * (speed / v0) * Math.Pow(_massFactor, ReferenceHull.AreaMassExponent);
        double wave = _w * density * _hull.Waves.PerDensity(speed, c.Depth) / _rw0 * _massFactor * _massFactor;
        double ground = speed + c.Stream;
        double x = ground + c.WindSpeed * Math.Cos(c.WindAngle.Radians);
        double y = c.WindSpeed * Math.Sin(c.WindAngle.Radians);
        double va = _form == AirForm.Coupled ? Math.Sqrt(x * x + y * y) : Math.Abs(x);
        double air = AirShare * c.AirDensity / Conditions.Reference.AirDensity * va * x / (v0 * v0);
        double froude = c.Depth is { } h ? speed / Math.Sqrt(ThinShip.Gravity * h) : 0;
        return new DragBalance(
            SpeedThroughWater.FromMetresPerSecond(speed), SpeedOverGround.FromMetresPerSecond(ground),
            friction * ReferenceForce, wave * ReferenceForce, air * ReferenceForce, froude);
    }

    /// <summary>Speed at a power relative to that at V0.</summary>
    public SpeedPrediction Solve(double powerRatio, Conditions c)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(powerRatio);
        double p0 = ReferenceForce * ReferenceSpeed.MetresPerSecond;
        double v = SpeedRoot.Find(ReferenceSpeed.MetresPerSecond, u => u * At(u, c).Total - powerRatio * p0);
        var balance = At(v, c);
        return new SpeedPrediction(Name, balance, FullSpeedModel.Warnings(balance, c, ReferenceSpeed.MetresPerSecond));
    }

    /// <summary>Exponent n of P ~ V^n at V0.</summary>
    public double LocalExponent()
    {
        double v = ReferenceSpeed.MetresPerSecond;
        const double D = 1e-3;
        double up = v * (1 + D) * At(v * (1 + D), Conditions.Reference).Total;
        double down = v * (1 - D) * At(v * (1 - D), Conditions.Reference).Total;
        return Math.Log(up / down) / Math.Log((1 + D) / (1 - D));
    }
}

/// <summary>Finds the speed at which a rising balance is met.</summary>
internal static class SpeedRoot
{
    /// <summary>
    /// Root between 0.3 and 11 m/s, to 1e-10 m/s: a bracket grown from a guess (so that few speeds need their wave resistance), then false
    /// position with Illinois' halving.
    /// </summary>
    public static double Find(double guess, Func<double, double> balance)
    {
        double lo = Math.Clamp(guess * 0.95, 0.3, 10), hi = Math.Clamp(guess * 1.05, 0.4, 11);
        double flo = balance(lo), fhi = balance(hi);
        while (flo >= 0 && lo > 0.3)
        {
            (hi, fhi) = (lo, flo);
            lo = Math.Max(lo * 0.88, 0.3);
            flo = balance(lo);
        }

        while (fhi <= 0 && hi < 11)
        {
            (lo, flo) = (hi, fhi);
            hi = Math.Min(hi * 1.13, 11);
            fhi = balance(hi);
        }

        if (!(flo < 0 && fhi > 0))
        {
            // A tail wind stronger than the boat's own power would need: the balance is met outside the range.
            throw new ArgumentOutOfRangeException(nameof(balance), flo, "No speed between 0.3 and 11 m/s balances this power and wind.");
        }

        int side = 0;
        for (int i = 0; i < 200 && hi - lo > 1e-10; i++)
        {
            double mid = i % 8 == 7 ? (lo + hi) / 2 : (lo * fhi - hi * flo) / (fhi - flo);
            mid = mid > lo && mid < hi ? mid : (lo + hi) / 2;
            double f = balance(mid);
            if (Math.Abs(f) < 1e-11)
            {
                return mid;
            }

            if (f < 0)
            {
                (lo, flo) = (mid, f);
                fhi = side == -1 ? fhi / 2 : fhi;
                side = -1;
            }
            else
            {
                (hi, fhi) = (mid, f);
                flo = side == 1 ? flo / 2 : flo;
                side = 1;
            }
        }

        return (lo + hi) / 2;
    }
}
