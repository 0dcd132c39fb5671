using System.Diagnostics;
using System.Globalization;
using Stakeboat.Core.Energetics;
using Stakeboat.Core.Pacing;

namespace Stakeboat.Bench.Plan;

/// <summary>Times the fastest plan, the full program and 10 000 simulated races: best of five after a warm-up.</summary>
public static class PacingBench
{
    public static int Time()
    {
        var boat = new BoatModel(900, 12.994 * 0.88, 12.994 * 0.12, 8, 0.76, 1840);
        var crew = new CrewEnergy(new CriticalPower(400, 25000), 900);
        var wind = new WindAlong([0, 1000], [-3, 3]);
        Say("fastest plan, closed structure", () => OptimalPlan.Find(boat, crew, wind, 2000).Run.Seconds);
        Say("full program, 80 cells", () => FullProgram.Solve(boat, crew, wind, 2000, 80).Seconds);
        Say("10 000 races holding a plan", () => FinishForecast.Holding(boat, crew, wind, 2000, PowerShape.Even, 473, FadeLaw.ToNinety, DayUncertainty.For(crew), 10_000, 1).Median);
        Say("10 000 races finding the effort", () => FinishForecast.Finding(boat, crew, wind, 2000, DayUncertainty.For(crew), 10_000, 1).Median);
        return 0;
    }

    private static void Say(string what, Func<double> run)
    {
        double value = run();
        double best = double.PositiveInfinity;
        for (int i = 0; i < 5; i++)
        {
            var watch = Stopwatch.StartNew();
            value = run();
            best = Math.Min(best, watch.Elapsed.TotalMilliseconds);
        }

        Console.Out.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{what}: {best:0.0} ms ({value:0.000} s)"));
    }
}
