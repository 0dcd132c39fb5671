using Stakeboat.Core.Energetics;

namespace Stakeboat.Core.Pacing;

/// <summary>
/// The fastest plan, by its closed structure: accelerate at the cap, then hold v² dF/dv = C (the pointwise condition of least time for an
/// energy store: even pace in still water, more power into the wind), then critical power when W' is empty. One search over C.
/// Within 0.01 s of the full program (<see cref="FullProgram"/>).
/// </summary>
public static class OptimalPlan
{
    /// <summary>The structure found, with its constant.</summary>
    /// <param name="Constant">C = v² dF/dv on the held part, W.</param>
    public sealed record Result(PaceRun Run, double Constant);

    /// <summary>Finds the fastest plan over a distance, m.</summary>
    public static Result Find(BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, double flyingSpeed = 0)
    {
        ArgumentNullException.ThrowIfNull(boat);
        double meanWind = 0;
        for (int i = 0; i < wind.From.Count; i++)
        {
            double end = i + 1 < wind.From.Count ? Math.Min(wind.From[i + 1], distance) : distance;
            meanWind += wind.Head[i] * Math.Max(end - wind.From[i], 0) / distance;
        }

        double even = EvenPower(boat, crew, meanWind, distance);
        double v = boat.HeldSpeed(even, meanWind);
        double c0 = v * v * boat.DragSlope(v, meanWind);
        double lo = 0.93 * c0, hi = 1.10 * c0;
        const double Golden = 0.6180339887498949;
        double a = hi - Golden * (hi - lo), b = lo + Golden * (hi - lo);
        double fa = Time(boat, crew, wind, distance, flyingSpeed, a), fb = Time(boat, crew, wind, distance, flyingSpeed, b);
        for (int i = 0; i < 40 && hi - lo > 1e-6 * c0; i++)
        {
            if (fa < fb)
            {
                hi = b;
                (b, fb) = (a, fa);
                a = hi - Golden * (hi - lo);
                fa = Time(boat, crew, wind, distance, flyingSpeed, a);
            }
            else
            {
                lo = a;
                (a, fa) = (b, fb);
                b = lo + Golden * (hi - lo);
                fb = Time(boat, crew, wind, distance, flyingSpeed, b);
            }
        }

        double best = (lo + hi) / 2;
        return new Result(Row(boat, crew, wind, distance, flyingSpeed, best, true), best);
    }

    /// <summary>Power that spends W' exactly at an even speed over the flying distance, by T = D/v and P = CP + W'/T.</summary>
    public static double EvenPower(BoatModel boat, CrewEnergy crew, double headWind, double distance)
    {
        double p = crew.Power.Cp * 1.1;
        for (int i = 0; i < 100; i++)
        {
            double t = distance / boat.HeldSpeed(p, headWind);
            double next = crew.Power.PowerFor(t);
            if (Math.Abs(next - p) < 1e-10)
            {
                break;
            }

            p = next;
        }

        return p;
    }

    /// <summary>Speed at which v² dF/dv = C in a wind, m/s.</summary>
    public static double SpeedFor(BoatModel boat, double constant, double headWind)
    {
        double v = Math.Cbrt(constant / (2 * (boat.WaterDrag + boat.AirDrag)));
        for (int i = 0; i < 60; i++)
        {
            double f = v * v * boat.DragSlope(v, headWind) - constant;
            double slope = 2 * v * boat.DragSlope(v, headWind) + v * v * 2 * (boat.WaterDrag + boat.AirDrag * Math.Sign(v + headWind));
            double step = f / slope;
            v = Math.Max(v - step, 0.2);
            if (Math.Abs(step) < 1e-12)
            {
                break;
            }
        }

        return v;
    }

    private static double Time(BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, double flying, double constant) =>
        Row(boat, crew, wind, distance, flying, constant, false).Seconds;

    private static PaceRun Row(BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, double flying, double constant, bool samples)
    {
        double[] target = [.. wind.Head.Select(w => SpeedFor(boat, constant, w))];
        double[] hold = [.. wind.Head.Select((w, i) => boat.HoldingPower(target[i], w))];
        double capFactor = boat.Efficiency * boat.Rowers;
        return RaceRun.Row(boat, crew, wind, distance, (x, v) =>
        {
            int i = wind.From.Count - 1;
            while (i > 0 && wind.From[i] > x + 1e-9)
            {
                i--;
            }

            if (v >= target[i] - 1e-6 || x > 150)
            {
                return hold[i];
            }

            // Reach the target inside one step of 1 m rather than pass it.
            double need = boat.MassKg * (target[i] * target[i] - v * v) / 2 + boat.Drag(target[i], wind.Head[i]);
            return Math.Max(hold[i], need * Math.Max(v, 0.5) / capFactor);
        }, FadeLaw.ToCriticalPower, flying, samples);
    }
}
