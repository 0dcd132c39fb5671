using System.Globalization;
using Stakeboat.Core.Plans;

namespace Stakeboat.Reports;

/// <summary>A line of a card: where, how high, what.</summary>
/// <param name="Where">"500 m".</param>
/// <param name="Rate">"42"; empty where no rate changes.</param>
/// <param name="What">"20 strokes, legs".</param>
/// <param name="Burst">A burst stands out.</param>
public sealed record CardLine(string Where, string Rate, string What, bool Burst);

/// <summary>The words on a plan's papers, the same on card, strip, sheet and page.</summary>
public static class PlanPaperText
{
    /// <summary>The plan in order of the course; what rivals set off comes last.</summary>
    public static IReadOnlyList<CardLine> Lines(CompiledPlan plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        var lines = new List<(double At, int Order, CardLine Line)>();
        foreach (var s in plan.Segments)
        {
            string rate = s.RateFrom.PerMinute == s.RateTo.PerMinute ? Rate(s.RateTo.PerMinute) : $"›{Rate(s.RateTo.PerMinute)}";
            string what = s.Kind switch
            {
                SegmentKind.Start when s.Fractions.Count > 0 => $"START  {string.Join(' ', s.Fractions.Select(Fraction))}",
                SegmentKind.Base => "BASE",
                _ => string.Create(CultureInfo.InvariantCulture, $"{s.Name.ToUpperInvariant()}  {s.Strokes:0}"),
            };
            lines.Add((s.From.Distance.Metres, 0, new CardLine(Metres(s.From.Distance.Metres), rate, what + (s.Purpose is null ? "" : "  " + s.Purpose), false)));
        }

        foreach (var c in plan.Cues)
        {
            string strokes = c.Strokes is { } n ? n.ToString(CultureInfo.InvariantCulture) : "";
            string what = string.Join("  ", new[] { strokes, c.Purpose ?? "", c.Words is null ? "" : $"“{c.Words}”" }.Where(x => x.Length > 0));
            if (what.Length == 0)
            {
                // A change of rate alone stands as it was written, its warning with it.
                lines.Add((Place(c), 1, new CardLine(Where(c), c.Rate is { } lasting ? Rate(lasting.PerMinute) : "", c.ActionText, false)));
                continue;
            }

            string rate = c.Rate is { } r ? Rate(r.PerMinute) : "";
            lines.Add((Place(c), 1, new CardLine(Where(c), rate, what + (c.InStrokes is { } warn ? string.Create(CultureInfo.InvariantCulture, $"  in {warn}") : "") + (c.OverStrokes is { } over ? string.Create(CultureInfo.InvariantCulture, $"  over {over}") : "") + (c.Instead ? "  (instead)" : ""), c.Kind == CueKind.Burst)));
        }

        return [.. lines.OrderBy(l => l.At).ThenBy(l => l.Order).Select(l => l.Line)];
    }

    /// <summary>The lines that a strip has room for: the changes of rate and the bursts, at most eleven; words only are left to the card.</summary>
    public static IReadOnlyList<CardLine> StripLines(CompiledPlan plan) => [.. Lines(plan).Where(l => l.Rate.Length > 0 || l.Burst).Take(11)];

    /// <summary>Strokes left at the usual distances, at the plan's base speed and 5 % to each side.</summary>
    public static (IReadOnlyList<string> Heads, IReadOnlyList<StrokesToLineRow> Rows) StrokesLeft(CompiledPlan plan)
    {
        ArgumentNullException.ThrowIfNull(plan);
        double v = plan.Assumptions.BasePace.ToSpeed().MetresPerSecond;
        double[] speeds = [v * 0.95, v, v * 1.05];
        var rate = plan.Segments[^1].RateTo;
        var rows = StrokesToLine.Table(
            [.. new[] { 500.0, 250, 100 }.Where(d => d < plan.Distance.Metres).Select(Core.Units.Distance.FromMetres)], rate,
            [.. speeds.Select(Core.Units.SpeedOverGround.FromMetresPerSecond)]);
        return ([.. speeds.Select(s => Clock(500 / s))], rows);
    }

    /// <summary>What the paper assumes, in two short lines.</summary>
    public static IReadOnlyList<string> Assumptions(CompiledPlan plan, string printed)
    {
        ArgumentNullException.ThrowIfNull(plan);
        var a = plan.Assumptions;
        return
        [
            string.Create(CultureInfo.InvariantCulture, $"{a.Boat ?? "8+"}, {Clock(a.BasePace.SecondsPer500)} at {Rate(a.BaseRate.PerMinute)}{(a.BaseFromReference ? " from the reference" : "")}, +{a.LiftPercent:0.0} % speed a beat{(a.LiftGiven ? "" : a.LiftFromLadder ? " (own ladder)" : " (published)")}; {a.Conditions}."),
            string.Create(CultureInfo.InvariantCulture, $"Finish {Clock(plan.Finish.Time.Seconds)}, {plan.Finish.Strokes:0} strokes (± 1 in 50). Printed {printed}. An estimate, no order."),
        ];
    }

    public static string Clock(double seconds)
    {
        double tenths = Math.Round(seconds * 10, MidpointRounding.AwayFromZero);
        int minutes = (int)(tenths / 600);
        return string.Create(CultureInfo.InvariantCulture, $"{minutes}:{(tenths - minutes * 600) / 10:00.0}");
    }

    public static string Rate(double perMinute) => perMinute.ToString("0.#", CultureInfo.InvariantCulture);

    private static double Place(PlannedCue c) => c.From?.Distance.Metres ?? (c.Trigger is BeforeStartTrigger ? -1 : double.MaxValue);

    private static string Where(PlannedCue c) => c.From is { } from ? Metres(from.Distance.Metres) : c.TriggerText;

    private static string Metres(double m) => string.Create(CultureInfo.InvariantCulture, $"{m:0}");

    private static string Fraction(double f) => f switch { 1 => "full", 0.5 => "½", 0.75 => "¾", 0.25 => "¼", _ => f.ToString("0.##", CultureInfo.InvariantCulture) };
}
