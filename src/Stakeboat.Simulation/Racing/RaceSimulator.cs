using Stakeboat.Core.Crews;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;
using Stakeboat.Simulation.Sensors;
using Stakeboat.Simulation.Talk;

namespace Stakeboat.Simulation.Racing;

/// <summary>Rows a race: pure, and the same for the same scenario and seed.</summary>
public static class RaceSimulator
{
    /// <exception cref="ScenarioException">The description contradicts itself.</exception>
    public static SimulatedRace Run(RaceScenario scenario, ulong seed)
    {
        Check(scenario);
        var dice = new Dice(seed);
        var rowing = new Dictionary<string, CrewRowing>();
        var gust = new SharedGust(scenario.GustSd, dice.For("gust"));
        foreach (var crew in scenario.Crews)
        {
            rowing[crew.Name] = new CrewRowing(scenario, crew, gust, dice.For("crew " + crew.Name));
        }

        // In step: always the crew whose next stroke is earliest, so that an answer sees what it answers.
        while (true)
        {
            var next = rowing.Values.Where(r => !r.Done).MinBy(r => r.Time);
            if (next is null)
            {
                break;
            }

            next.Stroke(rowing);
        }

        var finishes = rowing.ToDictionary(r => r.Key, r => r.Value.FinishAt);
        double end = Math.Max(finishes[scenario.Us] + scenario.After, finishes.Values.Max());
        foreach (var r in rowing.Values)
        {
            r.PaddleUntil(end);
        }

        var boats = rowing.ToDictionary(r => r.Key, r => r.Value.Path());
        var bursts = Bursts(scenario, rowing, boats);
        var own = boats[scenario.Us];
        var plane = new CoursePlane(scenario.Latitude, scenario.Longitude, scenario.HeadingDegrees);
        double aft = (scenario.Geometry.Cox ?? scenario.Geometry.Seat(scenario.Geometry.Seats)).Metres;
        var satelliteClock = SensorClocks.Satellite(scenario.StartUnixSeconds, scenario.Satellite);
        var motionClock = SensorClocks.Motion(scenario.Motion);
        var track = scenario.Satellite is { } sat ? SatelliteRecorder.Record(sat, own, plane, aft, satelliteClock, end, dice.For("satellite")) : null;
        var motion = scenario.Motion is { } mot ? MotionRecorder.Record(mot, own, motionClock, end, dice.For("motion")) : null;
        var sheet = Sheet(scenario);
        var result = Result(scenario, boats);
        var state = new RaceView(scenario, boats, bursts, finishes);
        var talk = scenario.Cox is { } cox ? Coxswain.Speak(state, cox, dice.For("cox")) : new SpokenRace([]);
        var captions = talk.Lines.Count == 0 ? [] : CaptionWriter.Write(talk, scenario.Captions, dice.For("captions"));
        return new SimulatedRace(scenario, seed, boats, bursts, finishes, sheet, result, track, motion, satelliteClock, motionClock, talk, captions);
    }

    private static List<TrueBurst> Bursts(RaceScenario s, Dictionary<string, CrewRowing> rowing, Dictionary<string, HullPath> boats)
    {
        double Margin(string rival, double t) => boats[s.Us].MetresAt(t) - boats[rival].MetresAt(t);
        double Gained(string rival, double from, double to) => s.Geometry.ToSeats(Distance.FromMetres(Margin(rival, to) - Margin(rival, from)));
        var list = new List<TrueBurst>();
        foreach (var (name, r) in rowing)
        {
            foreach (var b in r.Taken)
            {
                var rivals = name == s.Us ? s.Crews.Select(c => c.Name).Where(n => n != s.Us) : [name];
                list.Add(new TrueBurst(name, b.From, b.To, b.Plan.Strokes, b.Plan.Gain, b.Plan.Purpose, b.Plan.Answers is not null,
                    rivals.ToDictionary(n => n, n => Gained(n, b.From, b.To))));
            }
        }

        list.Sort((a, b) => a.From.CompareTo(b.From));
        return list;
    }

    private static RaceSheet Sheet(RaceScenario s)
    {
        var us = new Crew(s.Us, s.Boat, new Dictionary<int, Person>(), s.Names, []);
        return new RaceSheet(us, s.Geometry, Distance.FromMetres(s.DistanceMetres),
            s.Crews.OrderBy(c => c.Lane).ToDictionary(c => c.Lane, c => c.Name),
            [.. s.Crews.OrderBy(c => c.Lane).Select(c => c.Name).Where(n => n != s.Us)],
            Distance.FromMetres(s.LaneWidthMetres), null);
    }

    private static ResultSheet Result(RaceScenario s, Dictionary<string, HullPath> boats)
    {
        var marks = new List<double>();
        for (double m = 500; m < s.DistanceMetres - 1; m += 500)
        {
            marks.Add(m);
        }

        marks.Add(s.DistanceMetres);
        double At(string crew, double m) => Math.Round((boats[crew].TimeAtMetres(m) ?? throw new ScenarioException(Text($"{crew} never came to {m} m."))) - s.GoAt, 2);
        var rows = s.Crews
            .Select(c => (c, times: marks.Select(m => new MarkTime(Distance.FromMetres(m), Duration.FromSeconds(At(c.Name, m)))).ToArray()))
            .OrderBy(r => r.times[^1].Time.Seconds)
            .Select((r, i) => new ResultRow(i + 1, r.c.Lane, r.c.Name, r.times))
            .ToArray();
        return new ResultSheet(Distance.FromMetres(s.DistanceMetres), rows);
    }

    private static string Text(FormattableString sentence) => FormattableString.Invariant(sentence);

    private static void Check(RaceScenario s)
    {
        static void Need(bool fine, string sentence)
        {
            if (!fine)
            {
                throw new ScenarioException(sentence);
            }
        }

        Need(s.Crews.Count > 0, "crews: a race needs at least one crew.");
        Need(s.Crews.Select(c => c.Name).Distinct(StringComparer.Ordinal).Count() == s.Crews.Count, "crews: two crews have one name; give each its own.");
        Need(s.Crews.Select(c => c.Lane).Distinct().Count() == s.Crews.Count, "crews: two crews have one lane; give each its own.");
        Need(s.Crews.Any(c => c.Name == s.Us), $"us: \"{s.Us}\" is none of the crews; name one of them.");
        Need(s.DistanceMetres is >= 200 and <= 20000, Text($"distance: {s.DistanceMetres} m; it must lie between 200 and 20000 m."));
        Need(s.GoAt is >= 0 and <= 3600, Text($"goAt: {s.GoAt} s; it must lie between 0 and 3600 s."));
        Need(s.After is >= 0 and <= 3600, Text($"after: {s.After} s; it must lie between 0 and 3600 s."));
        foreach (var c in s.Crews)
        {
            Need(c.BaseSpeed is >= 2.5 and <= 7, Text($"{c.Name}, speed: {c.BaseSpeed} m/s; it must lie between 2.5 and 7."));
            Need(c.BaseRate is >= 16 and <= 46 && c.StartRate is >= 16 and <= 50, $"{c.Name}, rate: it must lie between 16 and 46, at the start up to 50.");
            Need(c.Bursts.All(b => b.Strokes is >= 1 and <= 100), $"{c.Name}, bursts: a burst has 1 to 100 strokes.");
            Need(c.Bursts.All(b => b.Answers is null || s.Crews.Any(o => o.Name == b.Answers && o.Name != c.Name)),
                $"{c.Name}, bursts: an answer names another crew of the race.");
        }

        if (s.Satellite is { } sat)
        {
            Need(sat.Hertz is >= 0.1 and <= 20, Text($"satellite, hertz: {sat.Hertz}; it must lie between 0.1 and 20."));
        }

        if (s.Motion is { } mot)
        {
            Need(mot.Hertz is >= 10 and <= 400, Text($"motion, hertz: {mot.Hertz}; it must lie between 10 and 400."));
        }
    }
}

/// <summary>Gusts that every crew feels at the same time.</summary>
internal sealed class SharedGust
{
    private readonly double[] _perSecond;

    public SharedGust(double sd, Dice dice)
    {
        var noise = new SlowNoise(dice, sd, 20);
        _perSecond = [.. Enumerable.Range(0, 7200).Select(i => noise.At(i))];
    }

    public double At(double seconds) => _perSecond[Math.Clamp((int)seconds, 0, _perSecond.Length - 1)];
}
