using Stakeboat.Core.Energetics;
using static Stakeboat.Core.Plans.PlanCompiler;

namespace Stakeboat.Core.Plans;

/// <summary>CP and W' as written: <c>energy 410 W 22 kJ</c>, each with its sd where written.</summary>
/// <param name="CpWatts">Critical power of the mean rower in the boat, W.</param>
/// <param name="StoreJoules">W' of the mean rower, J.</param>
/// <param name="CpSd">W; null: 2 %.</param>
/// <param name="StoreSd">J; null: 12 %.</param>
public sealed record PlanEnergy(double CpWatts, double StoreJoules, double? CpSd, double? StoreSd);

/// <summary>A rung of the crew's own rate ladder as written: the pace rowed at a rate.</summary>
public readonly record struct PaceAtRate(double PerMinute, double SecPer500);

/// <summary>A stretch of a bending course: its bearing from start towards finish, up to a place; null: to the finish.</summary>
public readonly record struct HeadingPart(double Degrees, double? ToMetres);

/// <summary>The crew's own pace at the base effort in calm, deep, fresh water at 20 C.</summary>
public readonly record struct ReferencePace(double SecPer500, double? Sd);

/// <summary>What a plan's head says of the crew itself. All may be missing; then the published priors stand.</summary>
public sealed record PlanCrewFacts
{
    public static PlanCrewFacts None { get; } = new();

    public PlanEnergy? Energy { get; init; }

    /// <summary>Best efforts of the mean rower in the boat: watts held for a time.</summary>
    public IReadOnlyList<BestEffort> Efforts { get; init; } = [];

    /// <summary>Best pieces in the boat, in calm water.</summary>
    public IReadOnlyList<BestPiece> Pieces { get; init; } = [];

    public IReadOnlyList<PaceAtRate> Ladder { get; init; } = [];

    /// <summary>Share of the air in the resistance in calm; null: the class's.</summary>
    public double? AirShare { get; init; }

    public ReferencePace? Reference { get; init; }

    internal PlanCrewFacts Over(PlanCrewFacts b) => new()
    {
        Energy = Energy ?? b.Energy,
        Efforts = Efforts.Count > 0 ? Efforts : b.Efforts,
        Pieces = Pieces.Count > 0 ? Pieces : b.Pieces,
        Ladder = Ladder.Count > 0 ? Ladder : b.Ladder,
        AirShare = AirShare ?? b.AirShare,
        Reference = Reference ?? b.Reference,
    };

    /// <summary>
    /// The crew's own rate ladder with the published slopes as prior (Held 2020), power taken as pace to the -2.85; null where none is written.
    /// </summary>
    public RatePower? RateLadder(double baseRate) => Ladder.Count == 0
        ? null
        : RatePower.Fit([.. Ladder.Select(s => new RateStep(s.PerMinute, Math.Pow(500 / s.SecPer500, SpeedExponent)))], baseRate);

    /// <summary>Power goes as speed to this power about race pace: 2.82 in a single to 2.91 in an eight, computed by Core.Physics.</summary>
    public const double SpeedExponent = 2.85;

    /// <summary>Why a fit was refused, and what would mend it.</summary>
    public static string Say(FitRefusal r) => r switch
    {
        FitRefusal.TooFew => "it takes at least three best efforts. Add one, shorter or longer than those here.",
        FitRefusal.TooAlike => "the longest effort must last at least three times the shortest. Add one well under or over.",
        FitRefusal.OutsideRange => "the model holds for efforts of about 2 to 15 minutes (pieces in the boat: 75 s to 20 min); one lies outside. Leave it out.",
        FitRefusal.CriticalPowerImplausible => "critical power would lie outside 50 to 98 % of the six-minute power: these were not all best efforts. Leave out the one that was held back.",
        FitRefusal.StoreImplausible => "W' would be negative or larger than was ever measured: these efforts do not belong together. Check for a mistyped time, wind or stream.",
        _ => "the most power would be below the shortest effort's. Check the shortest.",
    };

    /// <summary>What is wrong with the facts, with the key of the line that says it.</summary>
    internal IEnumerable<(string Key, string Sentence)> Wrong()
    {
        if (Efforts.Count > 0 && EffortFit.Fit(Efforts).Refusal is { } e)
        {
            yield return ("efforts", "No critical power from these efforts: " + Say(e));
        }

        if (Pieces.Count > 0 && EffortFit.FitSpeed(Pieces).Refusal is { } p)
        {
            yield return ("pieces", "No critical speed from these pieces: " + Say(p));
        }

        int said = (Energy is null ? 0 : 1) + (Efforts.Count > 0 ? 1 : 0) + (Pieces.Count > 0 ? 1 : 0);
        if (said > 1)
        {
            yield return (Energy is not null ? "energy" : "efforts", "The crew's energy is given more than once (energy, efforts, pieces). Keep the one that you trust.");
        }

        if (Ladder.Count == 1)
        {
            yield return ("ladder", "One rung is no ladder: write at least two, such as 'ladder 28 1:50, 32 1:44'.");
        }

        for (int i = 1; i < Ladder.Count; i++)
        {
            if (Ladder.Take(i).Any(s => s.PerMinute == Ladder[i].PerMinute))
            {
                yield return ("ladder", Inv($"The ladder has two rungs at {Ladder[i].PerMinute:0.#}: keep one."));
            }
        }
    }
}
