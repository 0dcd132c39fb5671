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
        int first = args.Length > 1 ? int.Parse(args[1], CultureInfo.InvariantCulture) : 1000;
        Console.WriteLine("| scenario | races | held, all seconds | first eighth | middle | last eighth | held, gains | median half width, seats | rms error, seats | ahead or behind right |");
        Console.WriteLine("|---|---|---|---|---|---|---|---|---|---|");
        int seconds = 0, held = 0, gains = 0, gainsHeld = 0, all = 0, not = 0;
        var by = new (int All, int Held)[8];
        foreach (var (name, settings) in MarginScenarios.All)
        {
            var score = new MarginScore();
            for (int i = 0; i < races; i++)
            {
                var trial = MarginTrial.Make(first + i, settings);
                score.Add(trial, MarginEngine.Solve(trial.Problem));
            }

            seconds += score.Seconds;
            held += score.SecondsHeld;
            gains += score.Gains;
            gainsHeld += score.GainsHeld;
            all += score.Races;
            not += score.NotConverged;
            for (int e = 0; e < 8; e++)
            {
                by[e] = (by[e].All + score.SecondsByEighth[e], by[e].Held + score.HeldByEighth[e]);
            }

            double middle = Enumerable.Range(1, 6).Average(score.CoverageOf);
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"| {name} | {score.Races} | {100 * score.Coverage:0.0} % | {100 * score.CoverageOf(0):0.0} % | {100 * middle:0.0} % | {100 * score.CoverageOf(7):0.0} % | {100 * score.GainCoverage:0.0} % | {score.MedianHalfSeats:0.00} | {score.RmsSeats:0.00} | {score.OrdersRight}/{score.Orders} |"));
        }

        Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"| all | {all} | {100.0 * held / seconds:0.0} % | {100.0 * by[0].Held / by[0].All:0.0} % | | {100.0 * by[7].Held / by[7].All:0.0} % | {100.0 * gainsHeld / gains:0.0} % | | | |"));
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"\nBy eighths of the race: {string.Join(", ", by.Select(b => (100.0 * b.Held / b.All).ToString("0.0", CultureInfo.InvariantCulture)))} %. Not converged: {not} of {all}."));
        return 0;
    }
}
