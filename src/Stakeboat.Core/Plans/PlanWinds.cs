using Stakeboat.Core.Boats;
using Stakeboat.Core.Physics;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Plans;

/// <summary>Conditions from a place of the course on.</summary>
/// <param name="From">m from the start.</param>
public readonly record struct ConditionsFrom(double From, Conditions Conditions);

/// <summary>Speed from a place of the course on, over the mean speed of the whole course at the same effort.</summary>
/// <param name="From">m from the start.</param>
public readonly record struct SpeedFrom(double From, double Factor);

/// <summary>Water, air and wind of a plan, along a straight or a bending course.</summary>
public static class PlanWinds
{
    /// <summary>Conditions of the course's parts; one part where it is straight or the wind was written along it.</summary>
    public static IReadOnlyList<ConditionsFrom> Along(PlanHead head)
    {
        ArgumentNullException.ThrowIfNull(head);
        var still = new Conditions(
            Temperature.FromCelsius(head.WaterCelsius ?? 20), Temperature.FromCelsius(head.AirCelsius ?? 20), Stream: head.StreamMps ?? 0, Depth: head.DepthMetres);
        if (head.Wind is not { } wind)
        {
            return [new ConditionsFrom(0, still)];
        }

        double speed = wind.AtCrewHeight ? wind.SpeedMps : Wind.AtCrew(wind.SpeedMps);
        if (wind.FromDegrees is not { } from || head.Headings.Count == 0)
        {
            return [new ConditionsFrom(0, still with { WindSpeed = speed, WindAngle = Angle.FromDegrees(wind.AngleDegrees ?? 0) })];
        }

        var list = new List<ConditionsFrom>();
        double begin = 0;
        foreach (var part in head.Headings)
        {
            list.Add(new ConditionsFrom(begin, still with { WindSpeed = speed, WindAngle = Wind.ToCourse(Bearing.FromDegrees(from), Bearing.FromDegrees(part.Degrees)) }));
            begin = part.ToMetres ?? double.PositiveInfinity;
        }

        return list;
    }

    /// <summary>The wind at 10 m, m/s: what waves grow by. A wind at crew height is carried up the logarithmic profile.</summary>
    public static double AtTenMetres(PlanWind wind)
    {
        ArgumentNullException.ThrowIfNull(wind);
        return wind.AtCrewHeight ? wind.SpeedMps / Wind.AtCrew(1) : wind.SpeedMps;
    }

    /// <summary>Heights of the waves that the plan's wind raises over its fetch, by several published families; empty where wind or fetch is not written.</summary>
    public static IReadOnlyList<WaveEstimate> Waves(PlanHead head)
    {
        ArgumentNullException.ThrowIfNull(head);
        return head is { Wind: { SpeedMps: > 0 } wind, FetchMetres: { } fetch } ? WaveGrowth.All(AtTenMetres(wind), fetch, head.DepthMetres ?? 3) : [];
    }

    /// <summary>
    /// The relative model whose mean speed over ground along the course, at effort 1, is a given speed: metres over the sum of the parts' times.
    /// </summary>
    public static RelativeSpeedModel ModelFor(ReferenceHull hull, double meanSpeedOverGround, IReadOnlyList<ConditionsFrom> along, double metres, double? airShare = null)
    {
        ArgumentNullException.ThrowIfNull(along);
        double v0 = meanSpeedOverGround;
        for (int i = 0; i < 40; i++)
        {
            double v = MeanSpeed(Model(hull, v0, airShare), along, metres);
            if (Math.Abs(v - meanSpeedOverGround) < 1e-9)
            {
                break;
            }

            v0 *= meanSpeedOverGround / v;
        }

        return Model(hull, v0, airShare);
    }

    /// <summary>Metres over the sum of the parts' times at effort 1, m/s over ground.</summary>
    public static double MeanSpeed(RelativeSpeedModel model, IReadOnlyList<ConditionsFrom> along, double metres)
    {
        ArgumentNullException.ThrowIfNull(model);
        ArgumentNullException.ThrowIfNull(along);
        if (along.Count == 1)
        {
            return model.Solve(1, along[0].Conditions).Speed.MetresPerSecond;
        }

        double time = 0;
        for (int i = 0; i < along.Count; i++)
        {
            double length = Length(along, i, metres);
            time += length > 0 ? length / model.Solve(1, along[i].Conditions).Speed.MetresPerSecond : 0;
        }

        return metres / time;
    }

    /// <summary>Speeds of the parts over the mean speed; empty for a single part.</summary>
    public static IReadOnlyList<SpeedFrom> Speeds(PlanHead head, double meanSpeed)
    {
        ArgumentNullException.ThrowIfNull(head);
        var along = Along(head);
        if (along.Count == 1 || head.Metres is not { } metres)
        {
            return [];
        }

        var model = ModelFor(ReferenceHull.Of(head.Boat ?? BoatClass.Eight), meanSpeed, along, metres, head.Own.AirShare);
        return [.. along.Where(a => a.From < metres).Select(a => new SpeedFrom(a.From, model.Solve(1, a.Conditions).Speed.MetresPerSecond / meanSpeed))];
    }

    /// <summary>Mean of the parts' head winds by length, m/s at crew height, head positive.</summary>
    public static double MeanHead(IReadOnlyList<ConditionsFrom> along, double metres)
    {
        ArgumentNullException.ThrowIfNull(along);
        double sum = 0;
        for (int i = 0; i < along.Count; i++)
        {
            sum += Wind.HeadPart(along[i].Conditions.WindSpeed, along[i].Conditions.WindAngle) * Length(along, i, metres);
        }

        return sum / metres;
    }

    private static double Length(IReadOnlyList<ConditionsFrom> along, int i, double metres) =>
        Math.Max(Math.Min(i + 1 < along.Count ? along[i + 1].From : metres, metres) - along[i].From, 0);

    private static RelativeSpeedModel Model(ReferenceHull hull, double v0, double? airShare) =>
        new(hull, SpeedOverGround.FromMetresPerSecond(Math.Clamp(v0, 1.6, 8.9)), airShare);
}
