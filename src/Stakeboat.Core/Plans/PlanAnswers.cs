using Stakeboat.Core.Energetics;
using Stakeboat.Core.Pacing;

namespace Stakeboat.Core.Plans;

/// <summary>What a cue that a rival or the moment sets off would change, if it came.</summary>
/// <param name="Line">Of the cue.</param>
/// <param name="SupposedAt">Metres at which it is supposed to come.</param>
/// <param name="Strokes">Strokes of the burst.</param>
/// <param name="Metres">Its length.</param>
/// <param name="SecondsWon">By the whole plan with it, against without; negative where it replaces a dearer one.</param>
/// <param name="StoreSpent">W' that it costs each rower more than the plan without it, J.</param>
/// <param name="ReplacesLine">Line of the planned burst that is then not rowed; null where none is.</param>
public sealed record PlanAnswer(
    int Line, string Trigger, string Action, double SupposedAt, double Strokes, double Metres, double SecondsWon, double StoreSpent, int? ReplacesLine);

/// <summary>
/// The arithmetic of answers: each burst that waits for a rival is compiled into the plan at a supposed place, and the plan with it is compared
/// with the plan without it. "Instead" leaves out the next planned burst.
/// </summary>
public static class PlanAnswers
{
    private static readonly double[] Shares = [0.5, 0.6, 0.4, 0.7, 0.3, 0.55, 0.45, 0.65];

    /// <summary>Every answer of a plan, in order of its lines.</summary>
    /// <param name="at">Metres at which they are supposed to come; null: half way, or as near to it as no planned burst is cut.</param>
    public static IReadOnlyList<PlanAnswer> Of(PlanSheet sheet, PricedPlan priced, double? at = null)
    {
        ArgumentNullException.ThrowIfNull(sheet);
        ArgumentNullException.ThrowIfNull(priced);
        var plan = priced.Plan;
        if (sheet.Find(plan.Variant) is not { } written)
        {
            return [];
        }

        var bench = PlanPricing.BenchFor(written, plan);
        double before = Need(bench, priced.Crew, plan);
        var list = new List<PlanAnswer>();
        foreach (var cue in written.Cues.Where(c => c.Trigger is not (PlaceTrigger or EveryTrigger or BeforeStartTrigger)
            && (c.Strokes is not null || c.Seconds is not null || c.Metres is not null)))
        {
            foreach (double place in at is { } given ? [given] : Shares.Select(s => s * plan.Distance.Metres))
            {
                var result = PlanCompiler.Compile(sheet, plan.Variant, null, new Dictionary<int, double> { [cue.Line] = place });
                if (result.Plan is not { } with || with.Cues.FirstOrDefault(c => c.Line == cue.Line) is not { From: { } from, To: { } to } placed)
                {
                    continue;
                }

                int? replaces = result.Issues.FirstOrDefault(i => i.Code == "replaced" && !plan.Cues.All(c => c.Line != i.Line)) is { } r ? r.Line : null;
                list.Add(new PlanAnswer(
                    cue.Line, cue.TriggerText, cue.ActionText, place, placed.Strokes ?? to.Strokes - from.Strokes, (to.Distance - from.Distance).Metres,
                    plan.Finish.Time.Seconds - with.Finish.Time.Seconds, Need(bench, priced.Crew, with) - before, replaces));
                break;
            }
        }

        return list;
    }

    /// <summary>Work above CP of each rower over the whole plan at its written power, J.</summary>
    private static double Need(PlanPricing.Bench bench, CrewEnergy crew, CompiledPlan plan)
    {
        var rich = crew with { Power = new CriticalPower(crew.Power.Cp, 1e9) };
        var shape = PlanPricing.Scaled(PlanPricing.ShapeOf(plan), bench.Stretch);
        return 1e9 - PlanPrice.Row(bench.Boat, rich, bench.Wind, bench.Metres, shape, bench.BasePower, FadeLaw.ToCriticalPower, bench.Flying, false).StoreLeft;
    }
}
