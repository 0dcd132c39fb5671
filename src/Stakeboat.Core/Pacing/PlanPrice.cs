using Stakeboat.Core.Energetics;

namespace Stakeboat.Core.Pacing;

/// <summary>The shape of a plan: power over the base power, constant from each beginning to the next.</summary>
/// <param name="From">Beginnings in m, rising, the first 0.</param>
/// <param name="Relative">Power over the base power.</param>
public sealed record PowerShape(IReadOnlyList<double> From, IReadOnlyList<double> Relative)
{
    public static PowerShape Even { get; } = new([0], [1]);

    /// <summary>Quarters of a distance at their own powers.</summary>
    public static PowerShape Quarters(double distance, IReadOnlyList<double> relative) =>
        new([.. Enumerable.Range(0, relative.Count).Select(i => distance * i / relative.Count)], relative);

    public double At(double metres)
    {
        int lo = 0, hi = From.Count - 1;
        while (lo < hi)
        {
            int mid = (lo + hi + 1) / 2;
            if (From[mid] <= metres + 1e-9)
            {
                lo = mid;
            }
            else
            {
                hi = mid - 1;
            }
        }

        return Relative[lo];
    }
}

/// <summary>How well the day is known.</summary>
/// <param name="CpSd">W.</param>
/// <param name="StoreSd">J.</param>
/// <param name="Cov">Of CP and W', W J; a fit gives it negative.</param>
/// <param name="DragSd">As a share.</param>
/// <param name="WindSd">m/s along the course at crew height.</param>
/// <param name="DaySd">Race-to-race form as a share of time: 0.9 % crews, 1.1 % singles (Smith and Hopkins 2011).</param>
public sealed record DayUncertainty(double CpSd, double StoreSd, double Cov, double DragSd = 0.015, double WindSd = 0.5, double DaySd = 0.009)
{
    /// <summary>CP ± 2 %, W' ± 12 % where nothing was fitted.</summary>
    public static DayUncertainty For(CrewEnergy crew) => new(0.02 * crew.Power.Cp, 0.12 * crew.Power.WPrime, 0);
}

/// <summary>What a plan costs.</summary>
/// <param name="Seconds">Its price: its time when it spends W' exactly, less the fastest plan's. All W' is used in both.</param>
/// <param name="Fastest">The fastest plan.</param>
/// <param name="Spent">The plan at the power at which it just empties W'.</param>
/// <param name="SpentPower">That base power of each rower, W.</param>
/// <param name="Written">The plan at the power as written.</param>
/// <param name="WrittenPower">W.</param>
/// <param name="ChanceEmpty">Odds that W' runs out before the line at the power as written.</param>
/// <param name="LossHolding">Seconds lost against the fastest race of that day if it runs out and the crew goes on at CP: the mean of the days on which it does.</param>
/// <param name="LossFading">The same if it falls to 90 % of CP.</param>
/// <param name="UnderOxygenLaws">The shape against even power under each law of oxygen uptake: they may rank plans differently, and then it is said.</param>
public sealed record PriceOfPlan(
    double Seconds, PaceRun Fastest, PaceRun Spent, double SpentPower, PaceRun Written, double WrittenPower, double ChanceEmpty, double LossHolding, double LossFading,
    IReadOnlyList<OxygenPrice> UnderOxygenLaws);

/// <summary>A shape's time less that of even power from the first stroke, both spending the store exactly, s; negative: the shape is quicker.</summary>
public readonly record struct OxygenPrice(OxygenLaw Law, double AgainstEven);

/// <summary>Prices a plan's shape against the fastest one.</summary>
public static class PlanPrice
{
    public static PriceOfPlan Of(
        BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, PowerShape shape, double writtenPower, DayUncertainty day, double flyingSpeed = 0)
    {
        ArgumentNullException.ThrowIfNull(boat);
        ArgumentNullException.ThrowIfNull(day);
        var fastest = OptimalPlan.Find(boat, crew, wind, distance, flyingSpeed).Run;
        double spentPower = SpendAll(boat, crew, wind, distance, shape, flyingSpeed);
        var spent = Row(boat, crew, wind, distance, shape, spentPower, FadeLaw.ToCriticalPower, flyingSpeed, true);
        var written = Row(boat, crew, wind, distance, shape, writtenPower, FadeLaw.ToCriticalPower, flyingSpeed, true);
        double chance = ChanceEmpty(boat, crew, wind, distance, shape, writtenPower, day, flyingSpeed);
        var (holding, fading) = Losses(boat, crew, wind, distance, shape, writtenPower, day, flyingSpeed);
        return new PriceOfPlan(
            spent.Seconds - fastest.Seconds, fastest, spent, spentPower, written, writtenPower, chance, holding, fading, UnderOxygenLaws(boat, crew, wind, distance, shape, flyingSpeed));
    }

    /// <summary>Time of a shape against even power under each law of oxygen uptake.</summary>
    public static IReadOnlyList<OxygenPrice> UnderOxygenLaws(
        BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, PowerShape shape, double flyingSpeed = 0, double tau = OxygenUptake.TrainedTau) =>
    [
        .. new[] { OxygenLaw.Constant, OxygenLaw.Saturating, OxygenLaw.DemandDriven }.Select(law =>
        {
            var lag = new OxygenLag(law, tau);
            return new OxygenPrice(law, Spent(boat, crew, wind, distance, shape, flyingSpeed, lag) - Spent(boat, crew, wind, distance, PowerShape.Even, flyingSpeed, lag));
        }),
    ];

    private static double Spent(BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, PowerShape shape, double flyingSpeed, OxygenLag lag) =>
        Row(boat, crew, wind, distance, shape, SpendAll(boat, crew, wind, distance, shape, flyingSpeed, lag), FadeLaw.ToCriticalPower, flyingSpeed, false, 1, lag).Seconds;

    /// <summary>The base power at which a shape just empties W' at the line, W.</summary>
    public static double SpendAll(BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, PowerShape shape, double flyingSpeed = 0, OxygenLag? lag = null)
    {
        double lo = 0.3 * crew.Power.Cp, hi = 3 * crew.Power.Cp;
        for (int i = 0; i < 40; i++)
        {
            double mid = (lo + hi) / 2;
            if (Row(boat, crew, wind, distance, shape, mid, FadeLaw.ToCriticalPower, flyingSpeed, false, 1, lag).EmptyAt is not null)
            {
                hi = mid;
            }
            else
            {
                lo = mid;
            }
        }

        return lo;
    }

    /// <summary>
    /// Odds that W' runs out: Phi(-(W' - need)/sd) with need the work above CP of the whole plan, sd² = sW² + (T sCP)² + 2 T cov.
    /// </summary>
    public static double ChanceEmpty(
        BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, PowerShape shape, double power, DayUncertainty day, double flyingSpeed = 0)
    {
        // A store without a floor, so that the need is that of the whole plan.
        var rich = crew with { Power = crew.Power with { WPrime = 1e9 } };
        var run = Row(boat, rich, wind, distance, shape, power, FadeLaw.ToCriticalPower, flyingSpeed, false);
        double need = 1e9 - run.StoreLeft;
        double variance = day.StoreSd * day.StoreSd + run.Seconds * run.Seconds * day.CpSd * day.CpSd + 2 * run.Seconds * day.Cov;
        return Normal.Cdf(-(crew.Power.WPrime - need) / Math.Sqrt(Math.Max(variance, 1e-12)));
    }

    /// <summary>Mean loss on days when the plan empties the store, over a lattice of the two-dimensional normal, under both fades.</summary>
    private static (double Holding, double Fading) Losses(
        BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, PowerShape shape, double power, DayUncertainty day, double flyingSpeed)
    {
        double holding = 0, fading = 0, weight = 0;
        double r = day.CpSd > 0 && day.StoreSd > 0 ? Math.Clamp(day.Cov / (day.CpSd * day.StoreSd), -0.999, 0.999) : 0;
        double[] lattice = [-1.6, -0.8, 0, 0.8, 1.6];
        foreach (double a in lattice)
        {
            foreach (double b in lattice)
            {
                double cp = crew.Power.Cp + a * day.CpSd;
                double store = crew.Power.WPrime + day.StoreSd * (r * a + Math.Sqrt(1 - r * r) * b);
                if (store <= 0)
                {
                    continue;
                }

                var that = crew with { Power = new CriticalPower(cp, store) };
                var hold = Row(boat, that, wind, distance, shape, power, FadeLaw.ToCriticalPower, flyingSpeed, false);
                if (hold.EmptyAt is null)
                {
                    continue;
                }

                var fade = Row(boat, that, wind, distance, shape, power, FadeLaw.ToNinety, flyingSpeed, false);
                double ideal = OptimalPlan.Find(boat, that, wind, distance, flyingSpeed).Run.Seconds;
                double w = Math.Exp(-(a * a + b * b) / 2);
                holding += w * (hold.Seconds - ideal);
                fading += w * (fade.Seconds - ideal);
                weight += w;
            }
        }

        return weight > 0 ? (holding / weight, fading / weight) : (0, 0);
    }

    /// <summary>Rows a shape at a base power.</summary>
    public static PaceRun Row(
        BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, PowerShape shape, double power, FadeLaw fade, double flyingSpeed, bool samples, double coarse = 1,
        OxygenLag? lag = null) =>
        RaceRun.Row(boat, crew, wind, distance, (x, _) => power * shape.At(x), fade, flyingSpeed, samples, coarse, lag);
}
