using Stakeboat.Core.Energetics;
using Stakeboat.Core.Physics;

namespace Stakeboat.Core.Pacing;

/// <summary>
/// A boat as pacing sees it: m dv/dt = eta n P / v - kw v² - ka (v + w)|v + w|, w the head wind at crew height. All in SI.
/// </summary>
/// <param name="MassKg">Boat, oars, crew.</param>
/// <param name="WaterDrag">kw, N s²/m²: friction and waves at race pace.</param>
/// <param name="AirDrag">ka, N s²/m².</param>
/// <param name="Rowers">n.</param>
/// <param name="Efficiency">eta: net power over the crew's power. 1 where powers are stated net.</param>
/// <param name="MaxThrust">Most propulsive force, N.</param>
public sealed record BoatModel(double MassKg, double WaterDrag, double AirDrag, int Rowers, double Efficiency, double MaxThrust)
{
    /// <summary>Drag at a speed through the water and a head wind, N.</summary>
    public double Drag(double v, double headWind)
    {
        double a = v + headWind;
        return WaterDrag * v * v + AirDrag * a * Math.Abs(a);
    }

    /// <summary>dF/dv, N s/m.</summary>
    public double DragSlope(double v, double headWind) => 2 * WaterDrag * v + 2 * AirDrag * Math.Abs(v + headWind);

    /// <summary>Power of each rower that holds a speed, W.</summary>
    public double HoldingPower(double v, double headWind) => Drag(v, headWind) * v / (Efficiency * Rowers);

    /// <summary>Speed that a power of each rower holds, m/s, by Newton steps.</summary>
    public double HeldSpeed(double watts, double headWind)
    {
        double net = watts * Efficiency * Rowers;
        double v = Math.Cbrt(net / (WaterDrag + AirDrag));
        for (int i = 0; i < 60; i++)
        {
            double f = Drag(v, headWind) * v - net;
            double slope = DragSlope(v, headWind) * v + Drag(v, headWind);
            double step = f / Math.Max(slope, 1e-6);
            double next = v - step;
            v = next > 0.05 ? next : v / 2;
            if (Math.Abs(step) < 1e-12)
            {
                break;
            }
        }

        return v;
    }

    /// <summary>
    /// From the relative speed model: drag of the crew's own boat under the day's water, split into what goes with the water and what with the air.
    /// </summary>
    /// <param name="conditions">Their wind is left out here: it is given along the course.</param>
    public static BoatModel From(ReferenceHull hull, RelativeSpeedModel model, Conditions conditions, int rowers, double efficiency = PowerRelations.NetEfficiency)
    {
        double v0 = model.ReferenceSpeed.MetresPerSecond;
        var b = model.At(v0, conditions with { WindSpeed = 0, Stream = 0 });

        // About 1.6 times the pull that a full stroke at race pace needs: 1840 N in an eight.
        double thrust = 1840.0 / 8 * rowers;
        return new BoatModel(hull.TotalMass.Kilograms, (b.Friction + b.Wave) / (v0 * v0), b.Air / (v0 * v0), rowers, efficiency, thrust);
    }
}

/// <summary>What a rower of the crew has to spend.</summary>
/// <param name="Power">CP and W' of the mean rower.</param>
/// <param name="Pmax">Most power of each, W.</param>
public sealed record CrewEnergy(CriticalPower Power, double Pmax);

/// <summary>Head wind along the course at crew height: pieces from their beginning on, m/s, head positive.</summary>
/// <param name="From">Beginnings in m, rising, the first 0.</param>
public sealed record WindAlong(IReadOnlyList<double> From, IReadOnlyList<double> Head)
{
    public static WindAlong Calm { get; } = new([0], [0]);

    public static WindAlong Steady(double head) => new([0], [head]);

    public double At(double metres)
    {
        int i = From.Count - 1;
        while (i > 0 && From[i] > metres + 1e-9)
        {
            i--;
        }

        return Head[i];
    }
}

/// <summary>What the crew does when W' is empty.</summary>
public enum FadeLaw
{
    /// <summary>Goes on at critical power.</summary>
    ToCriticalPower,

    /// <summary>Falls to 90 % of critical power.</summary>
    ToNinety,
}

/// <summary>
/// A supply that follows the demand with a lag instead of standing at CP from the first stroke. The store is then W' + CP tau, so that a long
/// even race can pay for the same power under every law (W_eff = W_B - CP tau (1 - exp(-T/tau))).
/// </summary>
/// <param name="Tau">s; 18.7 in Olympic champions, 22.4 in lesser trained rowers (Ingham 2007).</param>
public sealed record OxygenLag(OxygenLaw Law, double Tau = OxygenUptake.TrainedTau);

/// <summary>The race at one place.</summary>
/// <param name="Watts">Of each rower.</param>
/// <param name="Store">W' left of each rower, J.</param>
public readonly record struct PaceSample(double Metres, double Seconds, double Speed, double Watts, double Store);

/// <summary>A race rowed through the model.</summary>
/// <param name="EmptyAt">Where W' ran out, m; null where it did not.</param>
public sealed record PaceRun(double Seconds, double StoreLeft, double? EmptyAt, IReadOnlyList<PaceSample> Samples)
{
    /// <summary>Time at a distance, s, by straight lines between samples.</summary>
    public double TimeAt(double metres)
    {
        for (int i = 1; i < Samples.Count; i++)
        {
            if (Samples[i].Metres >= metres)
            {
                var a = Samples[i - 1];
                var b = Samples[i];
                double f = b.Metres > a.Metres ? (metres - a.Metres) / (b.Metres - a.Metres) : 0;
                return a.Seconds + f * (b.Seconds - a.Seconds);
            }
        }

        return Seconds;
    }

    /// <summary>Mean power of each rower between two places, by time.</summary>
    public double MeanWatts(double from, double to)
    {
        double work = 0, time = 0;
        for (int i = 1; i < Samples.Count; i++)
        {
            if (Samples[i].Metres <= from || Samples[i - 1].Metres >= to)
            {
                continue;
            }

            double dt = Samples[i].Seconds - Samples[i - 1].Seconds;
            work += Samples[i].Watts * dt;
            time += dt;
        }

        return time > 0 ? work / time : 0;
    }
}

/// <summary>Rows a boat through a race by fourth-order Runge-Kutta steps in distance of v² (smooth through the start).</summary>
public static class RaceRun
{
    /// <summary>Rows from rest, or flying where a speed is given.</summary>
    /// <param name="distance">m.</param>
    /// <param name="wanted">Power of each rower wanted at a place and speed, W.</param>
    /// <param name="fade">What happens when W' is empty.</param>
    /// <param name="samples">Keep the race along the way.</param>
    public static PaceRun Row(
        BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, Func<double, double, double> wanted,
        FadeLaw fade = FadeLaw.ToCriticalPower, double flyingSpeed = 0, bool samples = true, double coarse = 1, OxygenLag? lag = null)
    {
        var list = new List<PaceSample>();
        double x = 0, t = 0;
        double v = flyingSpeed;
        double store = crew.Power.WPrime + (lag is { Law: not OxygenLaw.Constant } l ? crew.Power.Cp * l.Tau : 0);
        double supply = lag is { Law: not OxygenLaw.Constant } ? 0 : crew.Power.Cp;
        double? empty = null;
        double capFactor = boat.Efficiency * boat.Rowers;
        while (x < distance - 1e-9)
        {
            double h = coarse * (x < 4 ? 0.25 : x < 30 ? 1 : x < 120 ? 2.5 : 5);
            double next = Math.Min(x + h, distance);
            next = NextBreak(wind, x, next);
            h = next - x;
            double watts = Math.Clamp(wanted(x, v), 0, crew.Pmax);
            if (store <= 0)
            {
                empty ??= x;
                double floor = fade == FadeLaw.ToCriticalPower ? crew.Power.Cp : 0.9 * crew.Power.Cp;
                watts = Math.Min(watts, floor);
            }

            double w = wind.At(x);
            var (after, dt, spent) = Step(boat, v, h, w, watts, capFactor);
            double before = store;

            // What the first second does not use of CP counts as kept, as in the full program (worth 0.1 s); nothing else recovers.
            double now = supply;
            if (lag is not null)
            {
                double then = OxygenUptake.Step(supply, spent, dt, crew.Power.Cp, lag.Tau, lag.Law);
                now = (supply + then) / 2;
                supply = then;
            }

            store = spent < now && x > 30 ? before : before - (spent - now) * dt;
            if (store < 0 && before > 0)
            {
                // It empties inside this step: go to that place, and on from there with nothing.
                h *= before / (before - store);
                next = x + h;
                (after, dt, spent) = Step(boat, v, h, w, watts, capFactor);
                store = 0;
                empty ??= next < distance - 1e-6 ? next : null;
            }

            if (samples)
            {
                list.Add(new PaceSample(x, t, v, spent, before));
            }

            x = next;
            t += dt;
            v = after;
        }

        if (samples)
        {
            list.Add(new PaceSample(distance, t, v, list.Count > 0 ? list[^1].Watts : 0, store));
        }

        return new PaceRun(t, store, empty, list);
    }

    private static (double After, double Time, double Watts) Step(BoatModel boat, double v, double h, double wind, double watts, double capFactor)
    {
        double net = watts * capFactor;
        double u = v * v;
        double k1 = Slope(boat, u, wind, net);
        double k2 = Slope(boat, u + h / 2 * k1, wind, net);
        double k3 = Slope(boat, u + h / 2 * k2, wind, net);
        double k4 = Slope(boat, u + h * k3, wind, net);
        double after = Math.Sqrt(Math.Max(u + h / 6 * (k1 + 2 * k2 + 2 * k3 + k4), 1e-6));
        double mid = (v + after) / 2;

        // Limited thrust near rest: the power spent is thrust times speed.
        return (after, h / mid, Math.Min(watts, boat.MaxThrust * mid / capFactor));
    }

    private static double Slope(BoatModel boat, double u, double wind, double net)
    {
        double v = Math.Sqrt(Math.Max(u, 1e-8));
        double thrust = Math.Min(net / v, boat.MaxThrust);
        return 2 * (thrust - boat.Drag(v, wind)) / boat.MassKg;
    }

    private static double NextBreak(WindAlong wind, double x, double next)
    {
        foreach (double b in wind.From)
        {
            if (b > x + 1e-9 && b < next - 1e-9)
            {
                return b;
            }
        }

        return next;
    }
}
