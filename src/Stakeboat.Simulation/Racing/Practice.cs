using Stakeboat.Core.Boats;
using Stakeboat.Simulation.Sensors;

namespace Stakeboat.Simulation.Racing;

/// <summary>A part of an outing.</summary>
public abstract record PracticeStep
{
    /// <summary>Nobody rows.</summary>
    public sealed record Rest(double Seconds) : PracticeStep;

    /// <summary>Strokes at one rate and mean speed (m/s); length is the share of a full stroke (drills by slide).</summary>
    public sealed record Strokes(int Count, double Rate, double Speed, double Length = 1) : PracticeStep;

    /// <summary>From one rate to another, a step each stroke.</summary>
    public sealed record Ladder(int Count, double FromRate, double ToRate, double FromSpeed, double ToSpeed) : PracticeStep;

    /// <summary>Strokes with a stop of the body between the finish and the next catch: each stroke, then so many seconds of running.</summary>
    public sealed record PauseDrill(int Count, double Rate, double Speed, double PauseSeconds) : PracticeStep;

    /// <summary>Single light strokes while the boat turns by so many degrees clockwise, resting between them.</summary>
    public sealed record Turn(int Count, double Degrees) : PracticeStep;
}

/// <summary>An outing to be simulated: its steps in order and the sensors.</summary>
public sealed record PracticeScenario
{
    public string Name { get; init; } = "practice";
    public BoatClass Boat { get; init; } = BoatClass.Eight;
    public BoatMechanics? Mechanics { get; init; }

    public IReadOnlyList<PracticeStep> Steps { get; init; } =
    [
        new PracticeStep.Rest(20),
        new PracticeStep.Strokes(20, 18, 3.2, 0.5),
        new PracticeStep.Strokes(30, 18, 3.8),
        new PracticeStep.Rest(30),
        new PracticeStep.PauseDrill(15, 22, 3.6, 1.5),
        new PracticeStep.Turn(6, 180),
        new PracticeStep.Rest(15),
        new PracticeStep.Ladder(60, 20, 36, 4.2, 5.4),
        new PracticeStep.Strokes(40, 36, 5.5),
        new PracticeStep.Rest(30),
        new PracticeStep.Strokes(1, 20, 1.5, 0.6),
        new PracticeStep.Rest(10),
        new PracticeStep.Strokes(60, 24, 4.6),
        new PracticeStep.Rest(20),
    ];

    /// <summary>Standard deviation of a stroke's rate, strokes/min.</summary>
    public double RateSd { get; init; } = 0.3;

    /// <summary>Standard deviation of one stroke's work, as a share.</summary>
    public double Unevenness { get; init; } = 0.03;

    public double StartUnixSeconds { get; init; } = 1778911200;
    public double Latitude { get; init; } = 46.7312;
    public double Longitude { get; init; } = -31.2486;
    public double HeadingDegrees { get; init; } = 34;
    public SatelliteSensor? Satellite { get; init; } = new();
    public MotionSensor? Motion { get; init; } = new();
}

/// <summary>An outing whose truth is known.</summary>
public sealed class SimulatedPractice : SimulatedRow
{
    internal SimulatedPractice(PracticeScenario scenario, ulong seed, HullPath own, Core.Measurement.Track? track, Core.Measurement.MotionLog? motion)
        : base(seed, own, track, motion, SensorClocks.Satellite(scenario.StartUnixSeconds, scenario.Satellite), SensorClocks.Motion(scenario.Motion)) =>
        Scenario = scenario;

    public PracticeScenario Scenario { get; }
}

/// <summary>Rows an outing: pure, and the same for the same scenario and seed.</summary>
public static class PracticeSimulator
{
    public static SimulatedPractice Run(PracticeScenario scenario, ulong seed)
    {
        if (scenario.Steps.Count == 0)
        {
            throw new ScenarioException("steps: an outing needs at least one step.");
        }

        var dice = new Dice(seed);
        var rowing = dice.For("rowing");
        double heading = 0, turnFrom = 0, turnTo = 0, turned = 0;
        double HeadingAt(double t) => turnTo > turnFrom ? heading + turned * Math.Clamp((t - turnFrom) / (turnTo - turnFrom), 0, 1) : heading;
        var rower = new HullRower(scenario.Mechanics ?? BoatMechanics.Of(scenario.Boat), scenario.Boat.Rowers * (scenario.Boat.Sculls ? 2 : 1), 0,
            (t, s) => (s == 0 ? 0 : double.NaN, HeadingAt(t)));
        void Row(double rate, double speed, double length) =>
            rower.Row(Math.Clamp(rate + scenario.RateSd * rowing.Normal(), 12, 55), speed, length, 1 + scenario.Unevenness * rowing.Normal());
        foreach (var step in scenario.Steps)
        {
            switch (step)
            {
                case PracticeStep.Rest r:
                    rower.Rest(r.Seconds);
                    break;
                case PracticeStep.Strokes s:
                    for (int i = 0; i < s.Count; i++)
                    {
                        Row(s.Rate, s.Speed, s.Length);
                    }

                    break;
                case PracticeStep.Ladder l:
                    for (int i = 0; i < l.Count; i++)
                    {
                        double k = l.Count == 1 ? 1 : i / (l.Count - 1.0);
                        Row(l.FromRate + k * (l.ToRate - l.FromRate), l.FromSpeed + k * (l.ToSpeed - l.FromSpeed), 1);
                    }

                    break;
                case PracticeStep.PauseDrill p:
                    for (int i = 0; i < p.Count; i++)
                    {
                        Row(p.Rate, p.Speed, 1);
                        rower.Rest(p.PauseSeconds);
                    }

                    break;
                case PracticeStep.Turn u:
                    (turnFrom, turnTo, turned) = (rower.Time, rower.Time + u.Count * 5.0, u.Degrees * Math.PI / 180);
                    for (int i = 0; i < u.Count; i++)
                    {
                        double before = rower.Time;
                        Row(26, 0.8, 0.5);
                        rower.Rest(Math.Max(0.1, 5 - (rower.Time - before)));
                    }

                    heading += turned;
                    (turnFrom, turnTo, turned) = (0, 0, 0);
                    break;
                default:
                    throw new ScenarioException($"steps: {step.GetType().Name} is no step that can be rowed.");
            }
        }

        double end = rower.Time;
        var path = rower.Path();
        var satellite = scenario.Satellite is { } sat
            ? SatelliteRecorder.Record(sat, path, new CoursePlane(scenario.Latitude, scenario.Longitude, scenario.HeadingDegrees), 15.4,
                SensorClocks.Satellite(scenario.StartUnixSeconds, sat), end, dice.For("satellite"))
            : null;
        var motion = scenario.Motion is { } mot ? MotionRecorder.Record(mot, path, SensorClocks.Motion(mot), end, dice.For("motion")) : null;
        return new SimulatedPractice(scenario, seed, path, satellite, motion);
    }
}
