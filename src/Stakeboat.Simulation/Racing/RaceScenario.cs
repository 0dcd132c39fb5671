using Stakeboat.Core.Boats;
using Stakeboat.Simulation.Hull;
using Stakeboat.Simulation.Sensors;
using Stakeboat.Simulation.Talk;

namespace Stakeboat.Simulation.Racing;

/// <summary>Head wind at a distance from the start, m/s, positive against the boats; straight lines between points.</summary>
public readonly record struct WindPoint(double Metres, double HeadMps);

/// <summary>
/// A burst that a crew means to take.
/// </summary>
/// <param name="AtMetres">Where its first hard stroke falls, unless it answers.</param>
/// <param name="Strokes">How many hard strokes.</param>
/// <param name="Gain">Share of speed that it adds while it lasts (0.02 is 2 %).</param>
/// <param name="RateUp">Strokes/min added.</param>
/// <param name="Purpose">"legs", "length", ... or null; spoken by the coxswain where the crew is ours.</param>
/// <param name="Answers">Name of a crew: the burst begins <paramref name="AfterStrokes"/> strokes of ours after that crew's next burst beyond <paramref name="AtMetres"/> of its own course.</param>
public sealed record BurstPlan(
    double AtMetres, int Strokes, double Gain, double RateUp = 1, string? Purpose = null, string? Answers = null, int AfterStrokes = 4);

/// <summary>How a crew rows a race. Speeds are means over a stroke in still air, m/s; rates strokes/min.</summary>
public sealed record CrewScript(string Name, int Lane)
{
    public double BaseSpeed { get; init; } = 5.3;
    public double BaseRate { get; init; } = 35;
    public double StartRate { get; init; } = 42;

    /// <summary>Strokes at the start rate after the first five.</summary>
    public int HighStrokes { get; init; } = 18;

    /// <summary>Strokes from high to base.</summary>
    public int SettleStrokes { get; init; } = 6;

    /// <summary>Share of speed above base in the high strokes.</summary>
    public double HighGain { get; init; } = 0.035;

    /// <summary>Share of base speed lost a kilometre after the settle.</summary>
    public double FadePerKm { get; init; } = 0.008;

    public double SprintFromToGo { get; init; } = 250;
    public double SprintGain { get; init; } = 0.025;
    public double SprintRateUp { get; init; } = 4;
    public IReadOnlyList<BurstPlan> Bursts { get; init; } = [];

    /// <summary>Standard deviation of one stroke's work, as a share.</summary>
    public double Unevenness { get; init; } = 0.02;
}

/// <summary>The mechanics of the class of boat: see <see cref="ForceStroke"/>.</summary>
/// <param name="CrewMass">kg.</param>
/// <param name="HullMass">Hull, oars and coxswain, kg.</param>
/// <param name="Drag">N s²/m².</param>
/// <param name="Slide">Half of the body's travel, m.</param>
/// <param name="CatchSpike">A sharp check at the catch, as phones show it; null for the bare model.</param>
public sealed record BoatMechanics(double CrewMass, double HullMass, double Drag, double Slide, CatchSpike? CatchSpike)
{
    /// <summary>85 kg a rower, 55 kg of coxswain; drag in proportion to that of the eight, 10 N s²/m² at 850 kg, with the power 2/3 of the mass. My choice.</summary>
    public static BoatMechanics Of(BoatClass boat)
    {
        double crew = 85.0 * boat.Rowers, hull = boat.MinimumHull.Kilograms + (boat.Coxed ? 55 : 0) + 2.5 * boat.Rowers;
        return new BoatMechanics(crew, hull, 10 * Math.Pow((crew + hull) / 850, 2.0 / 3), 0.36, new CatchSpike(3, 0.045));
    }
}

/// <summary>A race to be simulated. Everything has a default: <c>new RaceScenario { ... }</c> is an eights race over 2000 m in three lanes.</summary>
public sealed record RaceScenario
{
    public string Name { get; init; } = "race";
    public string Water { get; init; } = "Lake Tarrowmere";
    public BoatClass Boat { get; init; } = BoatClass.Eight;

    /// <summary>Null: the class's.</summary>
    public HullGeometry? Hull { get; init; }

    public BoatMechanics? Mechanics { get; init; }
    public double DistanceMetres { get; init; } = 2000;
    public double LaneWidthMetres { get; init; } = 13.5;

    /// <summary>Name of the crew whose boat carries the sensors.</summary>
    public string Us { get; init; } = "Foxholm";

    public IReadOnlyList<CrewScript> Crews { get; init; } =
    [
        new("Foxholm", 2) { Bursts = [new(700, 10, 0.018, Purpose: "legs"), new(1250, 20, 0.016, Purpose: "length")] },
        new("Saltmarsh", 1) { BaseSpeed = 5.32, Bursts = [new(1000, 10, 0.015)] },
        new("Wyndrush", 3) { BaseSpeed = 5.25 },
    ];

    public IReadOnlyList<WindPoint> Wind { get; init; } = [new(0, 0)];

    /// <summary>Standard deviation of gusts that all crews feel, m/s.</summary>
    public double GustSd { get; init; } = 0.4;

    /// <summary>The word "go", in seconds of the recording.</summary>
    public double GoAt { get; init; } = 60;

    /// <summary>Seconds of the recording after our finish.</summary>
    public double After { get; init; } = 25;

    /// <summary>UTC of the recording's first second, seconds since 1970 (2026-05-16T10:20:00Z).</summary>
    public double StartUnixSeconds { get; init; } = 1778926800;

    /// <summary>Start line of lane 1, WGS 84 degrees, and the course's bearing.</summary>
    public double Latitude { get; init; } = 46.7312;
    public double Longitude { get; init; } = -31.2486;
    public double HeadingDegrees { get; init; } = 214;

    public SatelliteSensor? Satellite { get; init; } = new();
    public MotionSensor? Motion { get; init; } = new();
    public CoxHabits? Cox { get; init; } = new();
    public CaptionHabits Captions { get; init; } = new();

    /// <summary>First names of our rowers.</summary>
    public IReadOnlyList<string> Names { get; init; } = ["Marlo", "Tibb", "Odran", "Henning", "Corvin", "Basti", "Leif", "Rook"];

    public HullGeometry Geometry => Hull ?? Boat.Geometry;
}

/// <summary>A description that cannot be simulated; the message names the field and the remedy.</summary>
public sealed class ScenarioException(string message) : Exception(message);
