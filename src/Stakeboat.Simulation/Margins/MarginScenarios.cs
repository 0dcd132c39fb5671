namespace Stakeboat.Simulation.Margins;

/// <summary>Kinds of race by which the calibration of the margin engine is reported.</summary>
public static class MarginScenarios
{
    public static IReadOnlyList<(string Name, MarginTrialSettings Settings)> All { get; } =
    [
        ("2 crews, 4 calls/min", new MarginTrialSettings { Crews = 2, CallsPerMinute = 4 }),
        ("2 crews, 12 calls/min", new MarginTrialSettings { Crews = 2, CallsPerMinute = 12 }),
        ("4 crews, 6 calls/min", new MarginTrialSettings { Crews = 4, CallsPerMinute = 6 }),
        ("4 crews, 6 calls/min, track", new MarginTrialSettings { Crews = 4, CallsPerMinute = 6, Track = true }),
        ("4 crews, 6 calls/min, finish times", new MarginTrialSettings { Crews = 4, CallsPerMinute = 6, FinishTimes = true }),
        ("4 crews, 6 calls/min, splits", new MarginTrialSettings { Crews = 4, CallsPerMinute = 6, Splits = true }),
        ("4 crews, 6 calls/min, splits, track", new MarginTrialSettings { Crews = 4, CallsPerMinute = 6, Splits = true, Track = true }),
        ("6 crews, 4 calls/min", new MarginTrialSettings { Crews = 6, CallsPerMinute = 4 }),
        ("6 crews, 12 calls/min", new MarginTrialSettings { Crews = 6, CallsPerMinute = 12 }),
        ("6 crews, 12 calls/min, splits, track", new MarginTrialSettings { Crews = 6, CallsPerMinute = 12, Splits = true, Track = true }),
        ("3 crews, 8 calls/min, no gross errors", new MarginTrialSettings { Crews = 3, CallsPerMinute = 8, GrossShare = 0 }),
        ("3 crews, 8 calls/min, late and biased", new MarginTrialSettings { Crews = 3, CallsPerMinute = 8, Delay = 2.2, DelaySd = 1, BiasMean = 0.5 }),
        ("5 crews, 1000 m, 8 calls/min", new MarginTrialSettings { Crews = 5, CallsPerMinute = 8, DistanceMetres = 1000 }),
    ];
}
