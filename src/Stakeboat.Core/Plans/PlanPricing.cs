using Stakeboat.Core.Boats;
using Stakeboat.Core.Energetics;
using Stakeboat.Core.Pacing;
using Stakeboat.Core.Physics;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Plans;

/// <summary>Where the crew's energy in a price comes from.</summary>
public enum EnergySource
{
    /// <summary>Assumed: a crew that can just pay for this plan's time with 15 % of its work from W'.</summary>
    Assumed,

    /// <summary>Given by the person, in watts of the mean rower.</summary>
    Given,

    /// <summary>Fitted to the crew's best efforts, with their covariance.</summary>
    Efforts,

    /// <summary>From the crew's best pieces in the boat, with their covariance.</summary>
    BoatPieces,
}

/// <summary>What a crew can spend, how well it is known and from where.</summary>
public sealed record KnownEnergy(CrewEnergy Crew, DayUncertainty Day, EnergySource Source);

/// <summary>A plan with its price and all that it was priced with.</summary>
/// <param name="Forecast">Finishing times of a crew that finds its own effort on the day, s.</param>
/// <param name="ConditionsCost">Seconds that the plan's wind, stream and water cost this crew against calm, deep, fresh water at 20 C.</param>
/// <param name="Along">Conditions along the course; one part where it is straight.</param>
/// <param name="Waves">Height of the wind's waves over the fetch by several published families, least first; empty where no fetch is written.</param>
public sealed record PricedPlan(
    CompiledPlan Plan, PriceOfPlan Price, FinishSpread Forecast, BoatModel Boat, CrewEnergy Crew, EnergySource Source, DayUncertainty Day, double ConditionsCost,
    IReadOnlyList<ConditionsFrom> Along, IReadOnlyList<WaveEstimate> Waves)
{
    public Conditions Conditions => Along[0].Conditions;
}

/// <summary>Joins a compiled plan with the boat's drag and the crew's energy.</summary>
public static class PlanPricing
{
    /// <summary>
    /// Base speed over ground, m/s, as far as the head says it without running the plan: from the pace, the goal, or the crew's reference pace
    /// carried into the plan's conditions by the relative model; the class's pace where nothing is written.
    /// </summary>
    public static double BaseSpeed(PlanHead head)
    {
        ArgumentNullException.ThrowIfNull(head);
        if (head.BaseSecPer500 is { } pace)
        {
            return 500 / pace;
        }

        if (head is { GoalSeconds: { } goal, Metres: { } metres })
        {
            return metres / goal;
        }

        var hull = ReferenceHull.Of(head.Boat ?? BoatClass.Eight);
        return head.Own.Reference is { } own
            ? PlanWinds.MeanSpeed(new RelativeSpeedModel(hull, SpeedOverGround.FromMetresPerSecond(500 / own.SecPer500), head.Own.AirShare), PlanWinds.Along(head), head.Metres ?? 2000)
            : hull.Pace;
    }

    /// <summary>Speed in other conditions, the same all along the course, over speed in the plan's own, by the relative model at the same power.</summary>
    public static PlanConditions Other(string name, PlanVariant plan, Conditions other)
    {
        ArgumentNullException.ThrowIfNull(plan);
        var hull = ReferenceHull.Of(plan.Head.Boat ?? BoatClass.Eight);
        double metres = plan.Head.Metres ?? 2000;
        double now = BaseSpeed(plan.Head);
        var model = PlanWinds.ModelFor(hull, now, PlanWinds.Along(plan.Head), metres, plan.Head.Own.AirShare);
        return new PlanConditions(name, model.Solve(1, other).Speed.MetresPerSecond / now, []);
    }

    /// <summary>The same crew and effort in another wind, written as in a plan's head; bends of the course are kept.</summary>
    public static PlanConditions Other(string name, PlanVariant plan, PlanWind wind)
    {
        ArgumentNullException.ThrowIfNull(plan);
        var hull = ReferenceHull.Of(plan.Head.Boat ?? BoatClass.Eight);
        double metres = plan.Head.Metres ?? 2000;
        double now = BaseSpeed(plan.Head);
        var model = PlanWinds.ModelFor(hull, now, PlanWinds.Along(plan.Head), metres, plan.Head.Own.AirShare);
        var head = plan.Head with { Wind = wind };
        double then = PlanWinds.MeanSpeed(model, PlanWinds.Along(head), metres);
        return new PlanConditions(name, then / now, PlanWinds.Speeds(head, then));
    }

    /// <summary>Power over the base power along the plan: (steady speed / base speed)^2.85, from rates, paces and efforts as compiled.</summary>
    public static PowerShape ShapeOf(CompiledPlan plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        double v0 = plan.Assumptions.BasePace.ToSpeed().MetresPerSecond;
        var from = new List<double>();
        var relative = new List<double>();
        foreach (var s in plan.Samples)
        {
            double p = Math.Pow(s.Steady.MetresPerSecond / v0, PlanCrewFacts.SpeedExponent);
            if (relative.Count == 0 || Math.Abs(relative[^1] - p) > 1e-4)
            {
                from.Add(from.Count == 0 ? 0 : s.Distance.Metres);
                relative.Add(p);
            }
        }

        return new PowerShape(from, relative);
    }

    /// <summary>
    /// What the head says of the crew's energy: written, fitted to best efforts, or fitted to best pieces in the boat and carried to power
    /// through its drag, the covariance with it; null where it says nothing that can be used.
    /// </summary>
    public static KnownEnergy? EnergyOf(PlanHead head, BoatModel boat)
    {
        ArgumentNullException.ThrowIfNull(head);
        ArgumentNullException.ThrowIfNull(boat);
        double day = boat.Rowers == 1 ? 0.011 : 0.009;
        if (head.Own.Energy is { } e)
        {
            return new KnownEnergy(
                new CrewEnergy(new CriticalPower(e.CpWatts, e.StoreJoules), 2.2 * e.CpWatts),
                new DayUncertainty(e.CpSd ?? 0.02 * e.CpWatts, e.StoreSd ?? 0.12 * e.StoreJoules, 0, DragSd(head), DaySd: day), EnergySource.Given);
        }

        if (head.Own.Efforts.Count > 0 && EffortFit.Fit(head.Own.Efforts).Fit is { } fit)
        {
            return new KnownEnergy(
                new CrewEnergy(fit.Model, 2.2 * fit.Model.Cp), new DayUncertainty(Math.Sqrt(fit.VarCp), Math.Sqrt(fit.VarW), fit.Cov, DragSd(head), DaySd: day), EnergySource.Efforts);
        }

        if (head.Own.Pieces.Count > 0 && EffortFit.FitSpeed(head.Own.Pieces).Fit is { } boatFit)
        {
            double metres = head.Metres ?? 2000;
            var crew = CrewEnergies.FromBoatSpeed(boat, boatFit.Model, metres);
            CriticalPower At(double dv, double dd) =>
                CrewEnergies.FromBoatSpeed(boat, new CriticalSpeed(boatFit.Model.Cv + dv, boatFit.Model.DPrime + dd), metres).Power;
            const double Dv = 1e-4, Dd = 1e-2;
            var (upV, upD) = (At(Dv, 0), At(0, Dd));
            double cv = (upV.Cp - crew.Power.Cp) / Dv, wv = (upV.WPrime - crew.Power.WPrime) / Dv;
            double cd = (upD.Cp - crew.Power.Cp) / Dd, wd = (upD.WPrime - crew.Power.WPrime) / Dd;
            double varCp = Quadratic(cv, cd, cv, cd, boatFit), varW = Quadratic(wv, wd, wv, wd, boatFit), cov = Quadratic(cv, cd, wv, wd, boatFit);
            return new KnownEnergy(crew, new DayUncertainty(Math.Sqrt(varCp), Math.Sqrt(varW), cov, DragSd(head), DaySd: day), EnergySource.BoatPieces);
        }

        return null;
    }

    /// <summary>Prices a plan.</summary>
    /// <param name="energy">CP and W' of the mean rower in watts of the boat; null: as the head has it, else assumed, so that the plan can just be paid.</param>
    /// <param name="seed">Of the forecast's draws.</param>
    public static PricedPlan Price(
        PlanVariant written, CompiledPlan plan, CrewEnergy? energy = null, DayUncertainty? day = null, EnergySource source = EnergySource.Given, int draws = 4000, int seed = 1)
    {
        ArgumentNullException.ThrowIfNull(written);
        ArgumentNullException.ThrowIfNull(plan);
        var bench = BenchFor(written, plan);
        var known = energy is not null
            ? new KnownEnergy(energy, day ?? DayUncertainty.For(energy), source)
            : EnergyOf(written.Head, bench.Boat) ?? Assumed(bench, plan, day);
        var shape = Scaled(ShapeOf(plan), bench.Stretch);
        var price = PlanPrice.Of(bench.Boat, known.Crew, bench.Wind, bench.Metres, shape, bench.BasePower, known.Day, bench.Flying);
        var forecast = FinishForecast.Finding(bench.Boat, known.Crew, bench.Wind, bench.Metres, known.Day, draws, seed);
        double calm = bench.Model.Solve(1, Conditions.Reference).Speed.MetresPerSecond;
        double cost = plan.Distance.Metres / bench.BaseSpeed - plan.Distance.Metres / calm;
        return new PricedPlan(plan, price, forecast, bench.Boat, known.Crew, known.Source, known.Day, cost, bench.Along, PlanWinds.Waves(written.Head));
    }

    /// <summary>The boat, wind and distance through the water that a plan is priced on.</summary>
    /// <param name="BasePower">Of each rower at the base rate, W.</param>
    /// <param name="Stretch">Metres through the water for a metre over ground: a stream carries the crew.</param>
    internal sealed record Bench(
        RelativeSpeedModel Model, BoatModel Boat, WindAlong Wind, double Metres, double Stretch, double Flying, double BaseSpeed, double BasePower, double MeanHead, IReadOnlyList<ConditionsFrom> Along);

    internal static Bench BenchFor(PlanVariant written, CompiledPlan plan)
    {
        var boatClass = written.Head.Boat ?? BoatClass.Eight;
        var hull = ReferenceHull.Of(boatClass);
        var along = PlanWinds.Along(written.Head);
        var conditions = along[0].Conditions;
        double v0 = plan.Assumptions.BasePace.ToSpeed().MetresPerSecond;
        var model = PlanWinds.ModelFor(hull, v0, along, plan.Distance.Metres, written.Head.Own.AirShare);
        var boat = BoatModel.From(hull, model, conditions, boatClass.Rowers);
        double stretch = (v0 - conditions.Stream) / v0;
        double[] heads = [.. along.Select(a => Wind.HeadPart(a.Conditions.WindSpeed, a.Conditions.WindAngle) + a.Conditions.Stream)];
        var wind = new WindAlong([.. along.Select(a => a.From * stretch)], heads);
        double head = PlanWinds.MeanHead(along, plan.Distance.Metres) + conditions.Stream;

        // The effort that the base pace costs: even power over the parts, so that their times add up to the course's.
        double power = boat.HoldingPower(v0 - conditions.Stream, head);
        if (along.Count > 1)
        {
            power = EvenPower(boat, along, heads, plan.Distance.Metres, stretch, v0 - conditions.Stream);
        }

        return new Bench(model, boat, wind, plan.Distance.Metres * stretch, stretch, written.Head.RollingStart ? v0 - conditions.Stream : 0, v0, power, head, along);
    }

    private static double EvenPower(BoatModel boat, IReadOnlyList<ConditionsFrom> along, double[] heads, double metres, double stretch, double meanSpeed)
    {
        double lo = 10, hi = 3000;
        for (int i = 0; i < 60; i++)
        {
            double mid = (lo + hi) / 2, time = 0;
            for (int k = 0; k < along.Count; k++)
            {
                double length = Math.Max(Math.Min(k + 1 < along.Count ? along[k + 1].From : metres, metres) - along[k].From, 0);
                time += length * stretch / boat.HeldSpeed(mid, heads[k]);
            }

            if (metres * stretch / time > meanSpeed)
            {
                hi = mid;
            }
            else
            {
                lo = mid;
            }
        }

        return (lo + hi) / 2;
    }

    internal static KnownEnergy Assumed(Bench bench, CompiledPlan plan, DayUncertainty? day)
    {
        double t = plan.Finish.Time.Seconds;
        var crew = bench.Along.Count == 1
            ? CrewEnergies.Assumed(bench.Boat, bench.Metres, t, bench.MeanHead)
            : CrewEnergies.AssumedAt(
                EvenPower(bench.Boat, bench.Along, [.. bench.Wind.Head], plan.Distance.Metres, bench.Stretch, bench.Metres / (t - CrewEnergies.StartSeconds(bench.Boat, bench.Metres / t))), t);
        return new KnownEnergy(crew, day ?? DayUncertainty.For(crew), EnergySource.Assumed);
    }

    internal static PowerShape Scaled(PowerShape shape, double factor) => factor == 1 ? shape : new PowerShape([.. shape.From.Select(x => x * factor)], shape.Relative);

    /// <summary>1.5 % of drag; where the crew's reference pace is written with its error, three times that of the pace.</summary>
    private static double DragSd(PlanHead head) => head.Own.Reference is { Sd: { } sd } r ? Math.Max(3 * sd / r.SecPer500, 0.003) : 0.015;

    private static double Quadratic(double a1, double a2, double b1, double b2, CriticalSpeedFit f) =>
        a1 * b1 * f.VarCv + (a1 * b2 + a2 * b1) * f.Cov + a2 * b2 * f.VarD;
}
