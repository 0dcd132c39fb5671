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

    /// <summary>From the crew's best pieces in the boat.</summary>
    BoatPieces,
}

/// <summary>A plan with its price and all that it was priced with.</summary>
/// <param name="Forecast">Finishing times of a crew that finds its own effort on the day, s.</param>
/// <param name="ConditionsCost">Seconds that the plan's wind, stream and water cost this crew against calm, deep, fresh water at 20 C.</param>
public sealed record PricedPlan(
    CompiledPlan Plan, PriceOfPlan Price, FinishSpread Forecast, BoatModel Boat, CrewEnergy Crew, EnergySource Source, double ConditionsCost, Conditions Conditions);

/// <summary>Joins a compiled plan with the boat's drag and the crew's energy.</summary>
public static class PlanPricing
{
    /// <summary>Conditions as a plan's head has them; reference where it is silent.</summary>
    public static Conditions ConditionsOf(PlanHead head)
    {
        ArgumentNullException.ThrowIfNull(head);
        double speed = 0;
        Angle angle = default;
        if (head.Wind is { } wind)
        {
            speed = wind.AtCrewHeight ? wind.SpeedMps : Wind.AtCrew(wind.SpeedMps);
            angle = wind.AngleDegrees is { } a ? Angle.FromDegrees(a)
                : wind.FromDegrees is { } from && head.HeadingDegrees is { } heading
                    ? Wind.ToCourse(Bearing.FromDegrees(from), Bearing.FromDegrees(heading))
                    : default;
        }

        return new Conditions(
            Temperature.FromCelsius(head.WaterCelsius ?? 20), Temperature.FromCelsius(head.AirCelsius ?? 20), speed, angle, Stream: head.StreamMps ?? 0, Depth: head.DepthMetres);
    }

    /// <summary>
    /// Speed in other conditions over speed in the plan's own, by the relative model at the same power.
    /// </summary>
    public static PlanConditions Other(string name, PlanVariant plan, Conditions other)
    {
        var hull = ReferenceHull.Of(plan.Head.Boat ?? BoatClass.Eight);
        double pace = plan.Head.BaseSecPer500 ?? (plan.Head.GoalSeconds is { } g && plan.Head.Metres is { } m ? 500 * g / m : 500 / hull.Pace);
        var own = ConditionsOf(plan.Head);
        var model = ReferenceModel(hull, 500 / pace, own);
        double now = model.Solve(1, own).Speed.MetresPerSecond, then = model.Solve(1, other).Speed.MetresPerSecond;
        return new PlanConditions(name, then / now);
    }

    /// <summary>The relative model whose speed over ground at effort 1 in the plan's conditions is the plan's base speed.</summary>
    public static RelativeSpeedModel ReferenceModel(ReferenceHull hull, double speedOverGround, Conditions conditions, double? airShare = null)
    {
        double v0 = speedOverGround;
        for (int i = 0; i < 40; i++)
        {
            var model = new RelativeSpeedModel(hull, SpeedOverGround.FromMetresPerSecond(Math.Clamp(v0, 1.6, 8.9)), airShare);
            double v = model.Solve(1, conditions).Speed.MetresPerSecond;
            if (Math.Abs(v - speedOverGround) < 1e-9)
            {
                break;
            }

            v0 *= speedOverGround / v;
        }

        return new RelativeSpeedModel(hull, SpeedOverGround.FromMetresPerSecond(Math.Clamp(v0, 1.6, 8.9)), airShare);
    }

    /// <summary>Power over the base power along the plan: (steady speed / base speed)^2.85, from rates, paces and efforts as compiled.</summary>
    /// <param name="ladder">The crew's own rate ladder; null: from the plan's lift.</param>
    public static PowerShape ShapeOf(CompiledPlan plan, RatePower? ladder = null)
    {
        ArgumentNullException.ThrowIfNull(plan);
        double v0 = plan.Assumptions.BasePace.ToSpeed().MetresPerSecond;
        double r0 = plan.Assumptions.BaseRate.PerMinute;
        var from = new List<double>();
        var relative = new List<double>();
        foreach (var s in plan.Samples)
        {
            double p = ladder is null
                ? Math.Pow(s.Steady.MetresPerSecond / v0, 2.85)
                : Math.Exp(ladder.Slope.Mean * (s.Rate.PerMinute - r0)) * (1 + s.EffortPercent / 100);
            if (relative.Count == 0 || Math.Abs(relative[^1] - p) > 1e-4)
            {
                from.Add(from.Count == 0 ? 0 : s.Distance.Metres);
                relative.Add(p);
            }
        }

        return new PowerShape(from, relative);
    }

    /// <summary>Prices a plan.</summary>
    /// <param name="energy">CP and W' of the mean rower in watts of the boat; null: assumed, so that the plan can just be paid.</param>
    /// <param name="seed">Of the forecast's draws.</param>
    public static PricedPlan Price(
        PlanVariant written, CompiledPlan plan, CrewEnergy? energy = null, DayUncertainty? day = null, RatePower? ladder = null, EnergySource source = EnergySource.Given,
        double? airShare = null, int draws = 4000, int seed = 1)
    {
        ArgumentNullException.ThrowIfNull(written);
        ArgumentNullException.ThrowIfNull(plan);
        var boatClass = written.Head.Boat ?? BoatClass.Eight;
        var hull = ReferenceHull.Of(boatClass);
        var conditions = ConditionsOf(written.Head);
        double v0 = plan.Assumptions.BasePace.ToSpeed().MetresPerSecond;
        var model = ReferenceModel(hull, v0, conditions, airShare);
        var boat = BoatModel.From(hull, model, conditions, boatClass.Rowers);

        // Distance through the water: a stream carries the crew.
        double stretch = (v0 - conditions.Stream) / v0;
        double distance = plan.Distance.Metres * stretch;
        double head = Wind.HeadPart(conditions.WindSpeed, conditions.WindAngle) + conditions.Stream;
        var wind = WindAlong.Steady(head);
        var shape = Scaled(ShapeOf(plan, ladder), stretch);
        var crew = energy ?? CrewEnergies.Assumed(boat, distance, plan.Finish.Time.Seconds, head);
        double flying = written.Head.RollingStart ? v0 - conditions.Stream : 0;
        double power = boat.HoldingPower(v0 - conditions.Stream, head);
        var uncertainty = day ?? DayUncertainty.For(crew);
        var price = PlanPrice.Of(boat, crew, wind, distance, shape, power, uncertainty, flying);
        var forecast = FinishForecast.Finding(boat, crew, wind, distance, uncertainty, draws, seed);
        double calm = model.Solve(1, Conditions.Reference).Speed.MetresPerSecond;
        double cost = plan.Distance.Metres / v0 - plan.Distance.Metres / calm;
        return new PricedPlan(plan, price, forecast, boat, crew, energy is null ? EnergySource.Assumed : source, cost, conditions);
    }

    private static PowerShape Scaled(PowerShape shape, double factor) => factor == 1 ? shape : new PowerShape([.. shape.From.Select(x => x * factor)], shape.Relative);
}
