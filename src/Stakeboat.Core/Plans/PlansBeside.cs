using Stakeboat.Core.Units;

namespace Stakeboat.Core.Plans;

/// <summary>One mark of the course in several plans.</summary>
/// <param name="Ours">Our time there.</param>
/// <param name="Gaps">Each other plan's time less ours, s: positive, we lead.</param>
/// <param name="Metres">The same as metres at the speed of the crew behind: positive, we lead.</param>
/// <param name="Rates">Rates there, ours first, strokes/min.</param>
public sealed record BesideRow(Distance At, Duration Ours, IReadOnlyList<double> Gaps, IReadOnlyList<double> Metres, IReadOnlyList<double> Rates);

/// <summary>Lays the plans of rivals, as one supposes them, beside ours: where they would be at each mark if everyone rowed as written.</summary>
public static class PlansBeside
{
    /// <summary>Marks at every eighth of the distance of ours and at the finish; plans over another distance are compared as far as both go.</summary>
    public static IReadOnlyList<BesideRow> Rows(CompiledPlan ours, IReadOnlyList<CompiledPlan> others)
    {
        ArgumentNullException.ThrowIfNull(ours);
        ArgumentNullException.ThrowIfNull(others);
        double far = Math.Min(ours.Distance.Metres, others.Count == 0 ? double.MaxValue : others.Min(o => o.Distance.Metres));
        double step = ours.Distance.Metres / 8;
        var rows = new List<BesideRow>();
        for (int i = 1; i <= 8; i++)
        {
            var at = Distance.FromMetres(i == 8 ? ours.Distance.Metres : step * i);
            if (at.Metres > far + 1e-6)
            {
                break;
            }

            var t = ours.At(at).Time;
            double[] gaps = [.. others.Select(o => (o.At(at).Time - t).Seconds)];
            double[] metres = [.. others.Select((o, k) => gaps[k] * SpeedAt(gaps[k] > 0 ? o : ours, at))];
            rows.Add(new BesideRow(at, t, gaps, metres, [RateAt(ours, at), .. others.Select(o => RateAt(o, at))]));
        }

        return rows;
    }

    private static double SpeedAt(CompiledPlan plan, Distance at) => Sample(plan, at).Speed.MetresPerSecond;

    private static double RateAt(CompiledPlan plan, Distance at) => Sample(plan, at).Rate.PerMinute;

    private static PlanSample Sample(CompiledPlan plan, Distance at)
    {
        var found = plan.Samples[0];
        foreach (var s in plan.Samples)
        {
            if (s.Distance > at)
            {
                break;
            }

            found = s;
        }

        return found;
    }
}
