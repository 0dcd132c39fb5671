using Stakeboat.Core.Margins;
using Stakeboat.Simulation.Margins;

namespace Stakeboat.Core.Tests.Margins;

/// <summary>
/// Does the engine know what it does not know? 520 simulated races whose truth owes nothing to the engine's model. The table by scenario is in
/// docs/margins/calibration.md; here fewer races a scenario, so the bounds by scenario are wider than those over all.
/// </summary>
public class MarginEngineSynthetic(ITestOutputHelper output)
{
    [Fact]
    public void NinetyPercentIntervalsHoldAboutNinetyPercent()
    {
        int seconds = 0, held = 0, gains = 0, gainsHeld = 0, races = 0;
        int[] all = new int[8], heldByEighth = new int[8];
        foreach (var (name, settings) in MarginScenarios.All)
        {
            var score = new MarginScore();
            for (int i = 0; i < 40; i++)
            {
                var trial = MarginTrial.Make(5000 + i, settings);
                score.Add(trial, MarginEngine.Solve(trial.Problem));
            }

            races += score.Races;
            seconds += score.Seconds;
            held += score.SecondsHeld;
            gains += score.Gains;
            gainsHeld += score.GainsHeld;
            for (int e = 0; e < 8; e++)
            {
                all[e] += score.SecondsByEighth[e];
                heldByEighth[e] += score.HeldByEighth[e];
            }

            output.WriteLine($"{name}: {100 * score.Coverage:0.0} %, gains {100 * score.GainCoverage:0.0} %, half width {score.MedianHalfSeats:0.00} seats, not settled {score.NotConverged}");
            Assert.InRange(score.Coverage, 0.85, 0.95);
            Assert.InRange(score.GainCoverage, 0.8, 0.98);
        }

        output.WriteLine($"all {races}: {100.0 * held / seconds:0.0} %, gains {100.0 * gainsHeld / gains:0.0} %");
        Assert.True(races >= 500);
        Assert.InRange(held / (double)seconds, 0.87, 0.93);
        Assert.InRange(gainsHeld / (double)gains, 0.87, 0.93);
        for (int e = 0; e < 8; e++)
        {
            double share = heldByEighth[e] / (double)all[e];
            output.WriteLine($"eighth {e + 1}: {100 * share:0.0} %");
            Assert.InRange(share, 0.86, 0.94);
        }
    }
}
