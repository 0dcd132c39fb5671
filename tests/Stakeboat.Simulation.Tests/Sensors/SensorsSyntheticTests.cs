using Stakeboat.Core.Time;
using Stakeboat.Simulation.Racing;
using Stakeboat.Simulation.Sensors;

namespace Stakeboat.Simulation.Tests.Sensors;

public class SensorsSyntheticTests
{
    [Fact]
    public void APhoneAtRestReadsGravityInSomeDirection()
    {
        var race = RaceSimulator.Run(new RaceScenario { Satellite = null, Cox = null, Motion = new MotionSensor { NoiseSd = 0, WashSd = 0, Bias = 0, RollSd = 0 } }, 2);
        var m = race.Motion!;
        for (int i = 0; i < 2500; i += 100)
        {
            double g = Math.Sqrt(m.AccelerationX[i] * m.AccelerationX[i] + m.AccelerationY[i] * m.AccelerationY[i] + m.AccelerationZ[i] * m.AccelerationZ[i]);
            Assert.Equal(9.80665, g, 9);
        }
    }

    [Fact]
    public void AnUprightPhoneReadsTheHullsOwnAcceleration()
    {
        var race = RaceSimulator.Run(new RaceScenario
        {
            Satellite = null, Cox = null,
            Motion = new MotionSensor { NoiseSd = 0, WashSd = 0, Bias = 0, RollSd = 0, TiltRoll = 0, TiltPitch = 0, TiltYaw = 0, TiltDriftPerMinute = 0, Gyroscope = true },
        }, 2);
        var m = race.Motion!;
        for (int i = 0; i < m.Count; i += 97)
        {
            double t = race.ToMotion.Inverse().Map(Instant<MotionClock>.FromSeconds(m.Seconds[i])).Seconds;
            Assert.Equal(race.Own.AccelerationAt(t), m.AccelerationX[i], 1e-9);
            Assert.Equal(9.80665, m.AccelerationZ[i], 1e-9);
        }

        Assert.Equal(m.Count, m.RotationX!.Length);
    }

    [Fact]
    public void AFlawlessReceiverLiesWhereTheCoxSits()
    {
        var race = RaceSimulator.Run(new RaceScenario
        {
            Motion = null, Cox = null,
            Satellite = new SatelliteSensor { SlowSd = 0, WhiteSd = 0, SpikeShare = 0, GapsPerHour = 0, SpeedSd = 0, SpeedSpikeShare = 0 },
        }, 2);
        var fixes = race.Track!.Fixes;
        var back = race.ToSatellite.Inverse();
        var (north, east) = CoursePlane.MetresPerDegree(race.Scenario.Latitude);
        double h = race.Scenario.HeadingDegrees * Math.PI / 180;
        foreach (var f in fixes.Where((_, i) => i % 50 == 0))
        {
            double t = back.Map(f.Time!.Value).Seconds;
            double dn = (f.LatitudeDegrees - race.Scenario.Latitude) * north, de = (f.LongitudeDegrees - race.Scenario.Longitude) * east;
            double along = dn * Math.Cos(h) + de * Math.Sin(h);
            Assert.Equal(race.Own.MetresAt(t) - 15.4, along, 0.8);
            Assert.Equal(race.Own.SpeedAt(t), f.SpeedMps!.Value, 1e-9);
        }

        Assert.Equal(0.2, (fixes[1].Time!.Value - fixes[0].Time!.Value).Seconds, 5);
    }

    [Fact]
    public void ADegreeIsAsLongAsTheEllipsoidSays()
    {
        // Closed forms of WGS 84; 1 degree at the equator 111319.490793 and 110574.388558 m (arc of half a degree each side); at 51.5 N 111257.8337 and 69440.5166 m.
        Assert.Equal(111319.490793, CoursePlane.MetresPerDegree(0).East, 5);
        Assert.Equal(111257.8337, CoursePlane.MetresPerDegree(51.5).North, 3);
        Assert.Equal(69440.5166, CoursePlane.MetresPerDegree(51.5).East, 3);
    }

    [Fact]
    public void NoiseIsAsLargeAsAskedFor()
    {
        var clean = RaceSimulator.Run(new RaceScenario { Cox = null, Satellite = null, Motion = new MotionSensor { NoiseSd = 0, WashSd = 0, Bias = 0 } }, 4).Motion!;
        var noisy = RaceSimulator.Run(new RaceScenario { Cox = null, Satellite = null, Motion = new MotionSensor { NoiseSd = 0.5, WashSd = 0, Bias = 0 } }, 4).Motion!;
        double sd = Math.Sqrt(clean.AccelerationY.Zip(noisy.AccelerationY, (a, b) => (a - b) * (a - b)).Average());
        Assert.InRange(sd, 0.48, 0.52);
        var washed = RaceSimulator.Run(new RaceScenario { Cox = null, Satellite = null, Motion = new MotionSensor { NoiseSd = 0, WashSd = 0.3, Bias = 0, TiltRoll = 0, TiltPitch = 0, TiltYaw = 0, TiltDriftPerMinute = 0 } }, 4).Motion!;
        var still = RaceSimulator.Run(new RaceScenario { Cox = null, Satellite = null, Motion = new MotionSensor { NoiseSd = 0, WashSd = 0, Bias = 0, TiltRoll = 0, TiltPitch = 0, TiltYaw = 0, TiltDriftPerMinute = 0 } }, 4).Motion!;
        double up = Math.Sqrt(still.AccelerationZ.Zip(washed.AccelerationZ, (a, b) => (a - b) * (a - b)).Average());
        Assert.InRange(up, 0.2, 0.4);
    }

    [Fact]
    public void AnOutingRestsTurnsAndCountsItsStrokes()
    {
        var outing = PracticeSimulator.Run(new PracticeScenario(), 5);
        Assert.Equal(20 + 30 + 15 + 6 + 60 + 40 + 1 + 60, outing.Strokes.Count);
        Assert.Equal(Math.PI, outing.Own.HeadingAt(outing.Own.To), 9);
        Assert.Null(outing.Own.RateAt(10));
        Assert.InRange(outing.Strokes[160].Rate, 35, 37);
        Assert.InRange(outing.Strokes.Skip(140).Take(20).Average(s => s.MeanSpeed), 5.2, 5.7);
    }
}
