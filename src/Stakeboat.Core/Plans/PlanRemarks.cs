using static Stakeboat.Core.Plans.PlanCompiler;

namespace Stakeboat.Core.Plans;

/// <summary>What is worth a thought in a plan that can be rowed.</summary>
internal static class PlanRemarks
{
    public static void Add(PlanVariant plan, Trial trial, double baseRate, List<PlanIssue> issues)
    {
        foreach (var cue in plan.Cues.Where(c => c.Trigger is PlaceTrigger && c.Strokes is >= 5 && c.Purpose is null && c.Words is null))
        {
            Remark(issues, cue.Line, "no-purpose", $"{cue.Strokes} strokes of what? A burst carries further with an aim: 'for legs', 'for their bow ball'.");
        }

        PlannedSegment? before = null;
        foreach (var s in trial.Segments)
        {
            if (s.Kind is SegmentKind.Settle or SegmentKind.Lengthen && before is not null && s.RateTo.PerMinute > before.RateTo.PerMinute + 0.01)
            {
                Remark(issues, s.Line, "settle-upwards", $"'{s.Name}' goes up, from {before.RateTo.PerMinute:0.#} to {s.RateTo.PerMinute:0.#}.");
            }

            if (s.Kind is SegmentKind.High or SegmentKind.Sprint && s.RateTo.PerMinute < baseRate - 0.01)
            {
                Remark(issues, s.Line, "high-below-base", $"'{s.Name}' is rowed at {s.RateTo.PerMinute:0.#}, below the base rate of {baseRate:0.#}.");
            }

            if (before is not null && before.RateTo.PerMinute - s.RateFrom.PerMinute > 4.01 && s.Kind is SegmentKind.Base)
            {
                Remark(issues, s.Line, "steep-step", $"From {before.RateTo.PerMinute:0.#} straight to {s.RateFrom.PerMinute:0.#}: a settle of 5 to 7 strokes between them is common practice.");
            }

            before = s;
        }
    }

    private static void Remark(List<PlanIssue> issues, int line, string code, FormattableString sentence) =>
        issues.Add(new PlanIssue(line, 1, PlanSeverity.Remark, code, Inv(sentence)));
}
