using Stakeboat.Core.Units;

namespace Stakeboat.Core.Plans;

/// <summary>A row of the strokes-to-line table: so many metres from the finish, strokes at each of the speeds.</summary>
public sealed record StrokesToLineRow(Distance ToGo, IReadOnlyList<double> Strokes);

/// <summary>How many strokes are left at a distance from the line: N = M r / (60 v). An estimate to one or two strokes.</summary>
public static class StrokesToLine
{
    public static double Strokes(Distance toGo, StrokeRate rate, SpeedOverGround speed) => toGo.Metres * rate.PerMinute / (60 * speed.MetresPerSecond);

    /// <summary>Distance that a number of strokes covers: M = 60 v N / r.</summary>
    public static Distance Metres(double strokes, StrokeRate rate, SpeedOverGround speed) => Distance.FromMetres(60 * speed.MetresPerSecond * strokes / rate.PerMinute);

    /// <summary>The table at several speeds and one rate.</summary>
    public static IReadOnlyList<StrokesToLineRow> Table(IReadOnlyList<Distance> toGo, StrokeRate rate, IReadOnlyList<SpeedOverGround> speeds) =>
        [.. toGo.Select(d => new StrokesToLineRow(d, [.. speeds.Select(v => Strokes(d, rate, v))]))];

    /// <summary>The table as the compiled plan itself has it: strokes left at each distance, with its own ladder at the end.</summary>
    public static IReadOnlyList<StrokesToLineRow> OfPlans(IReadOnlyList<Distance> toGo, IReadOnlyList<CompiledPlan> plans) =>
        [.. toGo.Select(d => new StrokesToLineRow(d, [.. plans.Select(p => p.Finish.Strokes - p.At(p.Distance - d).Strokes)]))];
}

/// <summary>A rung of a sprint: from here to there at one rate.</summary>
public sealed record SprintRung(Distance FromToGo, Distance ToGo, StrokeRate Rate, double Strokes);

/// <summary>Designs a sprint by steps.</summary>
public static class SprintLadder
{
    /// <summary>
    /// Equal parts of the last metres, each at its own rate and speed v = base (1 + lift (r - r0)/100).
    /// At a lift of 0 and 5.56 m/s the steps 38, 40, 42 over 300 m are 11.4 + 12.0 + 12.6 = 36 strokes.
    /// </summary>
    /// <param name="liftPercent">Speed gained for each stroke/min above the base rate, %.</param>
    public static IReadOnlyList<SprintRung> Design(Distance last, IReadOnlyList<StrokeRate> rates, SpeedOverGround baseSpeed, StrokeRate baseRate, double liftPercent)
    {
        ArgumentOutOfRangeException.ThrowIfZero(rates.Count);
        var part = last * (1.0 / rates.Count);
        return [.. rates.Select((r, i) =>
        {
            var v = SpeedOverGround.FromMetresPerSecond(baseSpeed.MetresPerSecond * (1 + liftPercent / 100 * (r.PerMinute - baseRate.PerMinute)));
            return new SprintRung(last - part * i, last - part * (i + 1), r, StrokesToLine.Strokes(part, r, v));
        })];
    }
}
