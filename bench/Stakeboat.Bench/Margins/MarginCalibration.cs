using System.Globalization;
using Stakeboat.Core.Margins;
using Stakeboat.Simulation.Margins;

namespace Stakeboat.Bench.Margins;

/// <summary>Simulates many races by scenario and prints how often the margin engine's 90 % intervals held the truth.</summary>
internal static class MarginCalibration
{
    public static IReadOnlyList<(string Name, MarginTrialSettings Settings)> Scenarios { get; } =
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

    public static int Run(string[] args)
    {
        int races = args.Length > 0 ? int.Parse(args[0], CultureInfo.InvariantCulture) : 60;
        Console.WriteLine("| scenario | races | held, all seconds | held, gains | median half width, seats | rms error, seats | ahead or behind right |");
        Console.WriteLine("|---|---|---|---|---|---|---|");
        int seconds = 0, held = 0, gains = 0, gainsHeld = 0, all = 0, not = 0;
        foreach (var (name, settings) in Scenarios)
        {
            var score = new MarginScore();
            for (int i = 0; i < races; i++)
            {
                var trial = MarginTrial.Make(1000 + i, settings);
                score.Add(trial, MarginEngine.Solve(trial.Problem));
            }

            seconds += score.Seconds;
            held += score.SecondsHeld;
            gains += score.Gains;
            gainsHeld += score.GainsHeld;
            all += score.Races;
            not += score.NotConverged;
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"| {name} | {score.Races} | {100 * score.Coverage:0.0} % | {100 * score.GainCoverage:0.0} % | {score.MedianHalfSeats:0.00} | {score.RmsSeats:0.00} | {score.OrdersRight}/{score.Orders} |"));
        }

        Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"| all | {all} | {100.0 * held / seconds:0.0} % | {100.0 * gainsHeld / gains:0.0} % | | | |"));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"\nNot converged: {not} of {all}."));
        return 0;
    }
}
