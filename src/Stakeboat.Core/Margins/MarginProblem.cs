using Stakeboat.Core.Boats;
using Stakeboat.Core.Numerics;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Margins;

/// <summary>A crew that we race.</summary>
/// <param name="Aside">Sideways distance between the middles of the two lanes; null where not known.</param>
public sealed record Rival(string Name, HullGeometry Hull, Distance? Aside);

/// <summary>A stretch in which a crew is known to have tried something, so that its speed may change faster.</summary>
/// <param name="Crew">Null: ours.</param>
public sealed record KnownBurst(string? Crew, Instant<RaceClock> From, Instant<RaceClock> To);

/// <summary>Strengths of the process and spreads of the evidence. Every one is a prior that a race can move where said so.</summary>
public sealed record MarginSettings
{
    public static MarginSettings Default { get; } = new();

    /// <summary>Spread between crews' lasting speeds, m/s. Own judgement: 1.2 % of an eight's speed.</summary>
    public double SpeedSpread { get; init; } = 0.065;

    /// <summary>Slow drift of a crew's speed against the field, m²/s³: 2e-6 drifts by 0.03 m/s in seven minutes. Own judgement.</summary>
    public double DriftPsd { get; init; } = 3e-6;

    /// <summary>Standard deviation of a crew's passing changes of speed, m/s; the centre of its prior, moved by the race.</summary>
    public double PassingSd { get; init; } = 0.042;

    /// <summary>How long a passing change lasts, s: about a ten and its run-out. Own judgement.</summary>
    public double PassingSeconds { get; init; } = 12;

    /// <summary>Factor on passing variance of a crew inside a known burst.</summary>
    public double BurstFactor { get; init; } = 10;

    /// <summary>Factor on passing variance while crews start and settle, each in its own way, and for how long, s. Own judgement.</summary>
    public double StartFactor { get; init; } = 9;

    public double StartSeconds { get; init; } = 55;

    /// <summary>Factor on passing variance in the last stretch, where crews sprint, and for how long, s. Own judgement.</summary>
    public double SprintFactor { get; init; } = 4;

    public double SprintSeconds { get; init; } = 75;

    /// <summary>Spread between crews of what the first strokes win or lose, m, and how long they take, s. Own judgement: a fifth of a second in
    /// getting up to speed, and some tenths of one in hearing the word.</summary>
    public double AwaySd { get; init; } = 0.85;

    public double AwaySeconds { get; init; } = 8;

    /// <summary>Standard deviation of the field's common changes of speed, m/s over one minute.</summary>
    public double CommonPerMinute { get; init; } = 0.08;

    /// <summary>Error of what "abeam" looks like to a sitting coxswain, degrees: 2, common practice, no source.</summary>
    public double AbeamDegrees { get; init; } = 2;

    /// <summary>What the eye sees too much or too little of a rival for a while, m, beside the angle: a third of a seat. Own judgement.</summary>
    public double LastingEyeSd { get; init; } = 0.45;

    /// <summary>How long the eye's error about one rival lasts, s. Own judgement.</summary>
    public double LookSeconds { get; init; } = 45;

    /// <summary>Over how many seconds a coxswain's impression of a margin is the mean, about as uncertain as long: three strokes. Own judgement.</summary>
    public double ImpressionSeconds { get; init; } = 5;

    /// <summary>How much better than true a coxswain tells it, m; the prior's mean and spread, moved by the race.</summary>
    public double BiasMean { get; init; } = 0.2;

    public double BiasSd { get; init; } = 0.45;

    /// <summary>Range over which a gross error may fall, m.</summary>
    public double GrossRange { get; init; } = 40;

    /// <summary>Standard deviation of the prior of the logarithm of <see cref="PassingSd"/>. Own judgement: races differ by a sixth either way, beyond bursts, starts and sprints; a coxswain who tells means hides the rest.</summary>
    public double PassingPriorFactorLog { get; init; } = 0.15;

    /// <summary>The same for the spread of all that is seen. Own judgement.</summary>
    public double SightPriorFactorLog { get; init; } = 0.25;

    /// <summary>How far to branch over calls that leave several modes open.</summary>
    public BranchLimits Branches { get; init; } = new(6, 24, 0.05, 0.02, 0.05, 0.003, 6, 2e-2);

    /// <summary>Whether the strengths are found from the race (else the centres of their priors are used).</summary>
    public bool FindStrength { get; init; } = true;

    /// <summary>Sweeps at most.</summary>
    public int MaxSweeps { get; init; } = 60;

    /// <summary>Largest change of a site's cavity-matched mean that ends the sweeps, in standard deviations.</summary>
    public double Tolerance { get; init; } = 1e-3;
}

/// <summary>Everything that is known of a race, in the engine's own terms.</summary>
/// <param name="Us">Our hull.</param>
/// <param name="Rivals">In any order; their names are distinct.</param>
/// <param name="Evidence">In any order. What lies outside the race or names an unknown crew is left out and listed.</param>
/// <param name="RaceDistance">m; null where not known.</param>
/// <param name="Finish">When we crossed the line; null where not known.</param>
/// <param name="FinishSd">s.</param>
/// <param name="GoSd">Doubt of the word "go" on our own clock, s.</param>
/// <param name="OwnTrack">Our own hull as measured, in order of time; null or empty: none.</param>
/// <param name="Bursts">Known bursts of any crew.</param>
/// <param name="OwnSpeed">A fair guess of our mean speed, m/s; null: from the distance and finish, else from the class.</param>
public sealed record MarginProblem(
    HullGeometry Us,
    IReadOnlyList<Rival> Rivals,
    IReadOnlyList<MarginEvidence> Evidence,
    Distance? RaceDistance,
    Instant<RaceClock>? Finish,
    double FinishSd = 1,
    double GoSd = 0.3,
    IReadOnlyList<OwnSample>? OwnTrack = null,
    IReadOnlyList<KnownBurst>? Bursts = null,
    double? OwnSpeed = null,
    MarginSettings? Settings = null);
