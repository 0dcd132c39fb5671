using Stakeboat.Core.Energetics;

namespace Stakeboat.Core.Pacing;

/// <summary>How a finishing time is spread.</summary>
/// <param name="Median">s.</param>
/// <param name="Low90">s.</param>
/// <param name="High90">s.</param>
/// <param name="Times">All draws, sorted, s.</param>
public sealed record FinishSpread(double Median, double Low90, double High90, double Mean, double Sd, IReadOnlyList<double> Times)
{
    /// <summary>Odds of a time below a target.</summary>
    public double ChanceBelow(double seconds) => Times.Count(t => t < seconds) / (double)Times.Count;

    internal static FinishSpread Of(double[] times)
    {
        Array.Sort(times);
        double mean = times.Average();
        return new FinishSpread(
            Quantile(times, 0.5), Quantile(times, 0.05), Quantile(times, 0.95), mean,
            Math.Sqrt(times.Sum(t => (t - mean) * (t - mean)) / Math.Max(times.Length - 1, 1)), times);
    }

    private static double Quantile(double[] sorted, double p)
    {
        double at = p * (sorted.Length - 1);
        int i = (int)at;
        double f = at - i;
        return i + 1 < sorted.Length ? sorted[i] * (1 - f) + sorted[i + 1] * f : sorted[^1];
    }
}

/// <summary>
/// Finishing times that carry the crew (CP and W' drawn together), the boat's drag, the wind and the day's form. Seeded: the same draws give
/// the same answer.
/// </summary>
public static class FinishForecast
{
    /// <summary>A crew that finds on the day the even effort that it can pay for (what crews do): T from P = CP + W'/T.</summary>
    public static FinishSpread Finding(BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, DayUncertainty day, int draws, int seed)
    {
        ArgumentNullException.ThrowIfNull(boat);
        double head = MeanHead(wind, distance);
        double reference = OptimalPlan.Find(boat, crew, wind, distance).Run.Seconds;
        double plain = EvenTime(boat, crew, head, distance);
        double offset = reference - plain;
        var random = new Random(seed);
        var times = new double[draws];
        for (int i = 0; i < draws; i++)
        {
            var (b, c, w, form) = Draw(random, boat, crew, day);
            times[i] = (EvenTime(b, c, head + w, distance) + offset) * form;
        }

        return FinishSpread.Of(times);
    }

    /// <summary>A crew that holds the plan's power whatever the day gives, and fades when W' is empty; what is left over stays unused.</summary>
    public static FinishSpread Holding(
        BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, PowerShape shape, double power, FadeLaw fade, DayUncertainty day, int draws, int seed)
    {
        ArgumentNullException.ThrowIfNull(boat);
        var random = new Random(seed);
        var drawn = new (BoatModel Boat, CrewEnergy Crew, WindAlong Wind, double Form)[draws];
        for (int i = 0; i < draws; i++)
        {
            var (b, c, w, form) = Draw(random, boat, crew, day);
            drawn[i] = (b, c, new WindAlong(wind.From, [.. wind.Head.Select(h => h + w)]), form);
        }

        var times = new double[draws];
        Parallel.For(0, draws, i =>
        {
            var d = drawn[i];
            times[i] = PlanPrice.Row(d.Boat, d.Crew, d.Wind, distance, shape, power, fade, 0, false, 4).Seconds * d.Form;
        });
        return FinishSpread.Of(times);
    }

    private static double EvenTime(BoatModel boat, CrewEnergy crew, double head, double distance)
    {
        double p = OptimalPlan.EvenPower(boat, crew, head, distance);
        return distance / boat.HeldSpeed(p, head);
    }

    private static (BoatModel Boat, CrewEnergy Crew, double Wind, double Form) Draw(Random random, BoatModel boat, CrewEnergy crew, DayUncertainty day)
    {
        double a = Gauss(random), b = Gauss(random);
        double r = day.CpSd > 0 && day.StoreSd > 0 ? Math.Clamp(day.Cov / (day.CpSd * day.StoreSd), -0.9999, 0.9999) : 0;
        double cp = crew.Power.Cp + day.CpSd * a;
        double store = Math.Max(crew.Power.WPrime + day.StoreSd * (r * a + Math.Sqrt(1 - r * r) * b), 0.05 * crew.Power.WPrime);
        double drag = Math.Exp(day.DragSd * Gauss(random));
        double wind = day.WindSd * Gauss(random);
        double form = Math.Exp(day.DaySd * Gauss(random));
        return (boat with { WaterDrag = boat.WaterDrag * drag, AirDrag = boat.AirDrag * drag }, crew with { Power = new CriticalPower(cp, store) }, wind, form);
    }

    private static double Gauss(Random random) =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    private static double MeanHead(WindAlong wind, double distance)
    {
        double sum = 0;
        for (int i = 0; i < wind.From.Count; i++)
        {
            double end = i + 1 < wind.From.Count ? Math.Min(wind.From[i + 1], distance) : distance;
            sum += wind.Head[i] * Math.Max(end - wind.From[i], 0) / distance;
        }

        return sum;
    }
}
