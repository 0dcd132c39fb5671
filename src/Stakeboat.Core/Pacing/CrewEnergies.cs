using Stakeboat.Core.Energetics;

namespace Stakeboat.Core.Pacing;

/// <summary>Ways to know a crew's energy when no power meter does.</summary>
public static class CrewEnergies
{
    /// <summary>Anaerobic share of a 2000 m race that is taken where nothing is known: 12 to 17 % in recent studies (Pripstein 1999, Diry 2022, Astridge 2024).</summary>
    public const double AssumedShare = 0.15;

    /// <summary>
    /// From best pieces in the boat: CP is the power that holds CV; W' that which explains the speed over the race's distance. Both through
    /// the boat's own drag.
    /// </summary>
    public static CrewEnergy FromBoatSpeed(BoatModel boat, CriticalSpeed speed, double distance)
    {
        ArgumentNullException.ThrowIfNull(boat);
        double cp = boat.HoldingPower(speed.Cv, 0);
        double t = speed.TimeFor(distance);
        double p = boat.HoldingPower(distance / t, 0);
        return new CrewEnergy(new CriticalPower(cp, (p - cp) * t), 2.2 * p);
    }

    /// <summary>
    /// The crew that can just pay for a distance in a time in calm reference water, with <see cref="AssumedShare"/> of its work from W'.
    /// An assumption, to be shown as such: it prices shapes, it says nothing about the crew.
    /// </summary>
    public static CrewEnergy Assumed(BoatModel boat, double distance, double seconds, double headWind = 0, double share = AssumedShare)
    {
        ArgumentNullException.ThrowIfNull(boat);
        return AssumedAt(boat.HoldingPower(distance / (seconds - StartSeconds(boat, distance / seconds)), headWind), seconds, share);
    }

    /// <summary>The crew that can just hold a power, W a rower, for a time, s.</summary>
    public static CrewEnergy AssumedAt(double watts, double seconds, double share = AssumedShare) =>
        new(new CriticalPower(watts * (1 - share), watts * share * seconds), 2.2 * watts);

    /// <summary>What a standing start costs against a flying one at the same power, s.</summary>
    public static double StartSeconds(BoatModel boat, double speed)
    {
        ArgumentNullException.ThrowIfNull(boat);
        return PacingResults.StartSeconds(boat.MassKg, boat.WaterDrag + boat.AirDrag, speed);
    }
}

/// <summary>A stretch rowed or ridden at one power in a steady state.</summary>
public readonly record struct SteadyStretch(double Metres, double Watts, double HeadWind);

/// <summary>Steady stretches one after the other, without inertia: what variable power in a variable wind is worth.</summary>
public static class SteadyStretches
{
    /// <summary>Seconds for the stretches, each at the speed where efficiency times power meets force times speed.</summary>
    /// <param name="force">Resistance at a speed and head wind, N.</param>
    public static double Seconds(IReadOnlyList<SteadyStretch> stretches, Func<double, double, double> force, double efficiency)
    {
        double sum = 0;
        foreach (var s in stretches)
        {
            double lo = 0.01, hi = 60;
            for (int i = 0; i < 100; i++)
            {
                double mid = (lo + hi) / 2;
                if (force(mid, s.HeadWind) * mid < efficiency * s.Watts)
                {
                    lo = mid;
                }
                else
                {
                    hi = mid;
                }
            }

            sum += s.Metres / lo;
        }

        return sum;
    }
}
