using Stakeboat.Core.Boats;
using Stakeboat.Core.Debrief.CrewsOwn;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Physics;
using Stakeboat.Core.Units;
using Stakeboat.Simulation.Racing;

namespace Stakeboat.Core.Tests.Debrief.CrewsOwn;

/// <summary>From simulated tracks of out-and-back pieces, with wind and stream, back to the crew's reference speed and air share.</summary>
public sealed class CrewCalibrationSyntheticTests
{
    private const double Truth = 5.2;
    private const double TrueAir = 0.17;
    private static readonly ReferenceHull Hull = ReferenceHull.Of(BoatClass.Eight);

    /// <summary>An outing on a reach that heads 34 degrees: a piece out, a turn, a piece back at each rate.</summary>
    private static Outing Row(ulong seed, double windFromAhead, double stream, double[] rates, bool phone = false)
    {
        double At(double rate, bool back)
        {
            var c = Conditions.WithHeadWind(back ? -windFromAhead : windFromAhead) with { Stream = back ? -stream : stream };
            return new RelativeSpeedModel(Hull, SpeedOverGround.FromMetresPerSecond(Truth), TrueAir).Solve(Math.Exp(0.03 * (rate - 30)), c).Speed.MetresPerSecond;
        }

        var steps = new List<PracticeStep> { new PracticeStep.Rest(20) };
        foreach (double rate in rates)
        {
            foreach (bool back in (bool[])[false, true])
            {
                steps.Add(new PracticeStep.Strokes(75, rate, At(rate, back)));
                steps.Add(new PracticeStep.Rest(40));
                steps.Add(new PracticeStep.Turn(8, 180));
                steps.Add(new PracticeStep.Rest(20));
            }
        }

        var made = PracticeSimulator.Run(new PracticeScenario { Steps = steps, Motion = phone ? new() : null, Satellite = new() }, seed);
        return new Outing("reach " + seed, null, [], [made.Track!], made.Motion is { } m ? [m] : [], null, null);
    }

    [Fact]
    public void Reference_speed_and_air_share_come_back_from_tracks()
    {
        // 4 m/s head wind out and a stream of 0.15 m/s against on one day, nearly calm and with the stream on another.
        var fit = CrewCalibrations.Fit(Hull,
        [
            (Row(1, 4, -0.15, [24, 24, 24]), new OutingWeather(4, 34, OnTheBank: true)),
            (Row(2, 1, 0.1, [24, 24]), new OutingWeather(1, 34, OnTheBank: true)),
        ]);
        Assert.True(fit.Result.Fit is not null, fit.Result.Refusal?.ToString());
        Assert.Equal(10, fit.Pieces.Count);
        Assert.Equal(5, fit.Pieces.Select(p => p.Pair).OfType<int>().Distinct().Count());

        // Out heads into the wind, back runs before it.
        Assert.All(fit.Pieces, p => Assert.Equal(p.Back ? -1 : 1, Math.Sign(p.HeadWind)));

        // At rate 24 the crew puts out exp(-0.18) of its power at 30: V0 is that of the rate rowed.
        double expected = Truth * Math.Exp(0.03 * (24 - 30) / 2.85);
        Assert.InRange(expected, fit.Result.Fit.Speed.Low90, fit.Result.Fit.Speed.High90);
        Assert.Equal(expected, fit.Result.Fit.ReferenceSpeed, 0.06);
        Assert.InRange(TrueAir, fit.Result.Fit.Air.Low90, fit.Result.Fit.Air.High90);
        Assert.True(fit.Result.Fit.Speed.Sd / expected < 0.02);
        Assert.DoesNotContain(CalibrationRefusal.AirShareNotSeen, fit.Result.Fit.NotSeen);
    }

    [Fact]
    public void A_ladder_is_seen_where_rates_differ()
    {
        var fit = CrewCalibrations.Fit(Hull, [(Row(3, 0, 0.1, [22, 26, 32], true), new OutingWeather(0))]);
        Assert.True(fit.Result.Fit is not null, fit.Result.Refusal?.ToString());
        Assert.True(fit.Ladder.Count >= 3);
        var slope = Energetics.RatePowerOf(fit);
        Assert.InRange(0.03, slope.Low90, slope.High90);
        Assert.True(slope.Sd < 0.012, "Better known than the published slopes alone.");
        double carried = fit.SpeedAt(30)!.Value.Mean;
        Assert.InRange(Truth, carried - 2 * fit.SpeedAt(30)!.Value.Sd, carried + 2 * fit.SpeedAt(30)!.Value.Sd);
    }

    [Fact]
    public void One_direction_is_refused_and_no_wind_leaves_the_air_share_unseen()
    {
        var outing = Row(4, 0, 0, [24]);
        var pieces = CrewPieces.Of(outing);
        Assert.Equal(2, pieces.Count);
        Assert.Equal(34, pieces[0].BearingDegrees, 0.5);
        Assert.Equal(214, pieces[1].BearingDegrees, 0.5);
        var one = CrewCalibrations.FitPieces(Hull, [([pieces[0]], new OutingWeather())]);
        Assert.Equal(CalibrationRefusal.OneDirection, one.Result.Refusal);
        var nothing = CrewCalibrations.FitPieces(Hull, []);
        Assert.Equal(CalibrationRefusal.Nothing, nothing.Result.Refusal);
        var both = CrewCalibrations.FitPieces(Hull, [(pieces, new OutingWeather())]);
        Assert.Contains(CalibrationRefusal.AirShareNotSeen, both.Result.Fit!.NotSeen);
    }

    private static class Energetics
    {
        public static Estimate RatePowerOf(CrewCalibration fit) => Core.Energetics.RatePower.Fit(fit.Ladder, fit.ReferenceRate!.Value).Slope;
    }
}
