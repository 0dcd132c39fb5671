using Stakeboat.Core.Energetics;
using Stakeboat.Core.Pacing;

namespace Stakeboat.Core.Tests.Pacing;

public sealed class FinishIntervalSyntheticTests
{
    /// <summary>
    /// 500 simulated seasons: a true crew, four noisy best efforts, a fit with its covariance, a forecast; then a race rowed by the step-by-step model with
    /// the true crew, drag, wind and form. The 90 % interval must hold 87 to 93 % of the finishing times.
    /// </summary>
    [Fact]
    public void Ninety_per_cent_intervals_hold_the_race()
    {
        var random = new Random(20260815);
        double Gauss() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        double[] times = [150, 280, 420, 780];
        int held = 0, races = 0;
        for (int season = 0; season < 500; season++)
        {
            var truth = new CriticalPower(390 + 20 * Gauss(), 22000 + 2500 * Gauss());
            var fit = EffortFit.Fit([.. times.Select(t => new BestEffort(t, truth.PowerFor(t) * (1 + 0.02 * Gauss())))]).Fit;
            if (fit is null)
            {
                continue;
            }

            var boat = PacingPublishedTests.Eight;
            var crew = new CrewEnergy(fit.Model, 900);
            var wind = WindAlong.Steady(1.5);
            var day = new DayUncertainty(Math.Sqrt(fit.VarCp), Math.Sqrt(fit.VarW), fit.Cov, 0.015, 0.6, 0.009);
            var spread = FinishForecast.Finding(boat, crew, wind, 2000, day, 1500, 100 + season);
            double drag = Math.Exp(0.015 * Gauss());
            var real = boat with { WaterDrag = boat.WaterDrag * drag, AirDrag = boat.AirDrag * drag };
            var realWind = WindAlong.Steady(1.5 + 0.6 * Gauss());
            var realCrew = new CrewEnergy(truth, 900);
            double seconds = PlanPrice.Row(real, realCrew, realWind, 2000, PowerShape.Even, PlanPrice.SpendAll(real, realCrew, realWind, 2000, PowerShape.Even), FadeLaw.ToCriticalPower, 0, false).Seconds;
            seconds *= Math.Exp(0.009 * Gauss());
            races++;
            held += seconds >= spread.Low90 && seconds <= spread.High90 ? 1 : 0;
        }

        Assert.True(races > 480);
        Assert.InRange(held / (double)races, 0.87, 0.93);
    }
}
