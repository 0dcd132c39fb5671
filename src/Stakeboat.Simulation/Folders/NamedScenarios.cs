using Stakeboat.Core.Boats;
using Stakeboat.Simulation.Racing;
using Stakeboat.Simulation.Sensors;

namespace Stakeboat.Simulation.Folders;

/// <summary>Races that come with the program. Waters and crews are invented.</summary>
public static class NamedScenarios
{
    public static ulong DemoSeed => 2026;

    /// <summary>
    /// The demo: four eights over 2000 m on an invented lake. Two moves of ours, a rival's move that we answer, a change of the lead, a sprint.
    /// </summary>
    public static RaceScenario Demo { get; } = new()
    {
        Name = "demo",
        Water = "Lake Tarrowmere",
        Us = "Foxholm",
        GoAt = 62,
        After = 95,
        Crews =
        [
            new("Saltmarsh", 1) { BaseSpeed = 5.40, BaseRate = 36, StartRate = 43, FadePerKm = 0.010, SprintGain = 0.02, Bursts = [new(900, 10, 0.012)] },
            new("Foxholm", 2)
            {
                BaseSpeed = 5.415, BaseRate = 35, StartRate = 42, HighGain = 0.030, FadePerKm = 0.005, SprintGain = 0.030, SprintFromToGo = 260, SprintRateUp = 4,
                Bursts = [new(620, 10, 0.020, 1.5, "legs"), new(0, 10, 0.015, 1, null, "Wyndrush", 5), new(1320, 20, 0.018, 1.5, "length")],
            },
            new("Wyndrush", 3)
            {
                BaseSpeed = 5.43, BaseRate = 37, StartRate = 44, HighGain = 0.042, FadePerKm = 0.009, SprintGain = 0.024,
                Bursts = [new(1000, 20, 0.018, 1)],
            },
            new("Oxbarrow", 4) { BaseSpeed = 5.33, BaseRate = 34, StartRate = 40, FadePerKm = 0.007 },
        ],
        Wind = [new(0, 1.2), new(800, 0.8), new(1400, 1.6), new(2000, 2.2)],
        Satellite = new SatelliteSensor { Hertz = 5 },
        Motion = new MotionSensor { Hertz = 50 },
    };

    public static IReadOnlyDictionary<string, (string What, RaceScenario Race, ulong Seed)> All { get; } =
        new Dictionary<string, (string, RaceScenario, ulong)>(StringComparer.Ordinal)
        {
            ["demo"] = ("the demo race: four eights over 2000 m", Demo, DemoSeed),
            ["duel"] = ("two coxed fours over 1000 m, a watch at 1 Hz, no motion log", Demo with
            {
                Name = "duel", Boat = BoatClass.FourSternCoxed, DistanceMetres = 1000, Names = ["Marlo", "Tibb", "Odran", "Henning"], After = 25,
                Crews =
                [
                    new("Foxholm", 1) { BaseSpeed = 4.75, Bursts = [new(450, 10, 0.02, 1, "legs")] },
                    new("Hartsedge", 2) { BaseSpeed = 4.74, Bursts = [new(600, 10, 0.015)] },
                ],
                Satellite = new SatelliteSensor { Hertz = 1 }, Motion = null,
            }, 11),
            ["squall"] = ("three eights over 2000 m into a rising head wind", new RaceScenario
            {
                Name = "squall", Wind = [new(0, 2), new(1000, 4), new(2000, 6)], GustSd = 1.2,
            }, 5),
        };
}
