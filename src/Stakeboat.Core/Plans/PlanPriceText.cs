using System.Globalization;
using Stakeboat.Core.Energetics;

namespace Stakeboat.Core.Plans;

/// <summary>A price in sentences, the same on the command line and on the page.</summary>
public static class PlanPriceText
{
    /// <summary>Where the crew's energy comes from, and what would make it better known.</summary>
    public static string Energy(PricedPlan p)
    {
        ArgumentNullException.ThrowIfNull(p);
        string numbers = string.Create(CultureInfo.InvariantCulture,
            $"critical power {p.Crew.Power.Cp:0} ± {1.645 * p.Day.CpSd:0} W, W' {p.Crew.Power.WPrime / 1000:0.0} ± {1.645 * p.Day.StoreSd / 1000:0.0} kJ a rower");
        return p.Source switch
        {
            EnergySource.Assumed => $"The crew's energy is assumed ({numbers}): it can just pay for this time, 15 % of its work from W'. Write 'efforts', 'pieces' or 'energy' into the plan for its own.",
            EnergySource.Efforts => $"The crew's energy is fitted to its best efforts: {numbers}.",
            EnergySource.BoatPieces => $"The crew's energy is fitted to its best pieces in the boat: {numbers}.",
            _ => $"The crew's energy as given: {numbers}.",
        };
    }

    /// <summary>The shape under each law of oxygen uptake.</summary>
    public static string Oxygen(PricedPlan p)
    {
        ArgumentNullException.ThrowIfNull(p);
        double At(OxygenLaw law) => p.Price.UnderOxygenLaws.First(o => o.Law == law).AgainstEven;
        double saturating = At(OxygenLaw.Saturating), demand = At(OxygenLaw.DemandDriven);
        string differ = Math.Sign(Math.Round(saturating, 1)) * Math.Sign(Math.Round(demand, 1)) < 0
            ? " The two laws disagree on whether this shape is quicker: the model cannot decide it."
            : "";
        return string.Create(CultureInfo.InvariantCulture,
            $"Against even power: {At(OxygenLaw.Constant):+0.0;-0.0;0.0} s with a constant supply; {saturating:+0.0;-0.0;0.0} s if oxygen uptake rises to a fixed target, {demand:+0.0;-0.0;0.0} s if it rises with the power.{differ}");
    }

    /// <summary>Height of the wind's waves as a range over the published families; null where no wind or fetch is written.</summary>
    public static string? Waves(PricedPlan p)
    {
        ArgumentNullException.ThrowIfNull(p);
        return p.Waves.Count < 2 ? null : Waves(p.Waves);
    }

    public static string Waves(IReadOnlyList<Physics.WaveEstimate> waves)
    {
        ArgumentNullException.ThrowIfNull(waves);
        return string.Create(CultureInfo.InvariantCulture,
            $"Waves over this fetch: {100 * waves[0].Height:0} to {100 * waves[^1].Height:0} cm significant height ({waves[0].Method} to {waves[^1].Method}), period {waves.Min(w => w.Period):0.0} to {waves.Max(w => w.Period):0.0} s; single waves reach 1.6 to 1.9 times that. What a boat can take is the organiser's call.");
    }

    /// <summary>An answer to a rival in one sentence.</summary>
    public static string Answer(PlanAnswer a)
    {
        ArgumentNullException.ThrowIfNull(a);
        string replaces = a.ReplacesLine is { } line ? string.Create(CultureInfo.InvariantCulture, $", in place of the burst of line {line}") : "";
        if (a.ReplacesLine is null && Math.Abs(a.StoreSpent) < 1 && Math.Abs(a.SecondsWon) < 0.005)
        {
            return string.Create(CultureInfo.InvariantCulture,
                $"line {a.Line}, {a.Trigger} (say at {a.SupposedAt:0} m): {a.Strokes:0} strokes, {a.Metres:0} m. No rate or effort is written, so the arithmetic sees neither gain nor cost: write 'at 38', 'up 2' or '+8 %'.");
        }

        return string.Create(CultureInfo.InvariantCulture,
            $"line {a.Line}, {a.Trigger} (say at {a.SupposedAt:0} m): {a.Strokes:0} strokes, {a.Metres:0} m{replaces}; {(a.SecondsWon >= 0 ? "wins" : "gives away")} {Math.Abs(a.SecondsWon):0.0} s, {(a.StoreSpent >= 0 ? "costs" : "saves")} {Math.Abs(a.StoreSpent) / 1000:0.0} kJ of W' a rower.");
    }

    /// <summary>What every price ends with.</summary>
    public const string Honest = "The shape of a plan is worth tenths; conditions and form are worth seconds.";
}
