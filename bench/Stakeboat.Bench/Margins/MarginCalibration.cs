using System.Globalization;
using Stakeboat.Core.Margins;
using Stakeboat.Simulation.Margins;

namespace Stakeboat.Bench.Margins;

/// <summary>Simulates many races by scenario and prints how often the margin engine's 90 % intervals held the truth.</summary>
internal static class MarginCalibration
{
    public static int Run(string[] args)
    {
        int races = args.Length > 0 ? int.Parse(args[0], CultureInfo.InvariantCulture) : 60;
        Console.WriteLine("| scenario | races | held, all seconds | held, gains | median half width, seats | rms error, seats | ahead or behind right |");
        Console.WriteLine("|---|---|---|---|---|---|---|");
        int seconds = 0, held = 0, gains = 0, gainsHeld = 0, all = 0, not = 0;
        foreach (var (name, settings) in MarginScenarios.All)
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
