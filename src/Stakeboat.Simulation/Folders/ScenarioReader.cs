using System.Text.Json;
using Stakeboat.Core.Boats;
using Stakeboat.Simulation.Racing;
using Stakeboat.Simulation.Sensors;
using Stakeboat.Simulation.Talk;

namespace Stakeboat.Simulation.Folders;

/// <summary>
/// Reads the description of a race, a small JSON document of our own (docs/simulation.md). Unknown fields are refused by name, so that a
/// slip of the pen is not a silent default.
/// </summary>
public static class ScenarioReader
{
    /// <exception cref="ScenarioException">The text is no description; the message says where and what to do.</exception>
    public static (RaceScenario Race, ulong? Seed, string Captions) Read(string json)
    {
        JsonDocument document;
        try
        {
            document = JsonDocument.Parse(json, new JsonDocumentOptions { AllowTrailingCommas = true, CommentHandling = JsonCommentHandling.Skip, MaxDepth = 16 });
        }
        catch (JsonException e)
        {
            throw new ScenarioException(FormattableString.Invariant($"line {(e.LineNumber ?? 0) + 1}: this is not JSON. See docs/simulation.md for an example."));
        }

        using (document)
        {
            ulong? seed = null;
            string captions = "vtt";
            var race = new RaceScenario();
            foreach (var p in Fields(document.RootElement, "the description"))
            {
                var v = p.Value;
                switch (p.Name)
                {
                    case "seed": seed = (ulong)Number(v, "seed", 0, 1e15); break;
                    case "captions": captions = Form(v); break;
                    case "name": race = race with { Name = Text(v, "name") }; break;
                    case "water": race = race with { Water = Text(v, "water") }; break;
                    case "boat": race = race with { Boat = Boat(Text(v, "boat")) }; break;
                    case "distance": race = race with { DistanceMetres = Number(v, "distance", 200, 20000) }; break;
                    case "laneWidth": race = race with { LaneWidthMetres = Number(v, "laneWidth", 3, 100) }; break;
                    case "us": race = race with { Us = Text(v, "us") }; break;
                    case "names": race = race with { Names = [.. Items(v, "names").Select(n => Text(n, "names"))] }; break;
                    case "goAt": race = race with { GoAt = Number(v, "goAt", 0, 3600) }; break;
                    case "after": race = race with { After = Number(v, "after", 0, 3600) }; break;
                    case "gusts": race = race with { GustSd = Number(v, "gusts", 0, 5) }; break;
                    case "wind": race = race with { Wind = [.. Items(v, "wind").Select(Wind)] }; break;
                    case "crews": race = race with { Crews = [.. Items(v, "crews").Select((c, i) => Crew(c, i + 1))] }; break;
                    case "satellite": race = race with { Satellite = v.ValueKind == JsonValueKind.Null ? null : Satellite(v) }; break;
                    case "motion": race = race with { Motion = v.ValueKind == JsonValueKind.Null ? null : Motion(v) }; break;
                    case "cox": race = race with { Cox = v.ValueKind == JsonValueKind.Null ? null : Cox(v) }; break;
                    case "mishear": race = race with { Captions = race.Captions with { MishearShare = Number(v, "mishear", 0, 1) } }; break;
                    default: throw Unknown("the description", p.Name);
                }
            }

            if (race.Names.Count == 0)
            {
                throw new ScenarioException("names: give at least one first name, or leave the field out.");
            }

            return (race, seed, captions);
        }
    }

    private static CrewScript Crew(JsonElement e, int number)
    {
        string where = FormattableString.Invariant($"crews, number {number}");
        var c = new CrewScript("", number);
        foreach (var p in Fields(e, where))
        {
            double N(double low, double high) => Number(p.Value, $"{where}, {p.Name}", low, high);
            c = p.Name switch
            {
                "name" => c with { Name = Text(p.Value, $"{where}, name") },
                "lane" => c with { Lane = (int)N(1, 100) },
                "speed" => c with { BaseSpeed = N(2.5, 7) },
                "rate" => c with { BaseRate = N(16, 46) },
                "startRate" => c with { StartRate = N(16, 50) },
                "startGain" => c with { HighGain = N(-0.2, 0.2) },
                "highStrokes" => c with { HighStrokes = (int)N(0, 200) },
                "settleStrokes" => c with { SettleStrokes = (int)N(1, 50) },
                "fade" => c with { FadePerKm = N(-0.2, 0.2) },
                "sprintFrom" => c with { SprintFromToGo = N(0, 20000) },
                "sprintGain" => c with { SprintGain = N(-0.2, 0.2) },
                "sprintRateUp" => c with { SprintRateUp = N(-10, 15) },
                "bursts" => c with { Bursts = [.. Items(p.Value, $"{where}, bursts").Select(b => Burst(b, $"{where}, bursts"))] },
                _ => throw Unknown(where, p.Name),
            };
        }

        return c.Name.Length > 0 ? c : throw new ScenarioException($"{where}: it has no name; give it one.");
    }

    private static BurstPlan Burst(JsonElement e, string where)
    {
        var b = new BurstPlan(0, 10, 0.015);
        foreach (var p in Fields(e, where))
        {
            double N(double low, double high) => Number(p.Value, $"{where}, {p.Name}", low, high);
            b = p.Name switch
            {
                "at" => b with { AtMetres = N(0, 20000) },
                "strokes" => b with { Strokes = (int)N(1, 100) },
                "gain" => b with { Gain = N(-0.2, 0.2) },
                "rateUp" => b with { RateUp = N(-10, 15) },
                "purpose" => b with { Purpose = Text(p.Value, $"{where}, purpose") },
                "answers" => b with { Answers = Text(p.Value, $"{where}, answers") },
                "after" => b with { AfterStrokes = (int)N(0, 50) },
                _ => throw Unknown(where, p.Name),
            };
        }

        return b;
    }

    private static SatelliteSensor Satellite(JsonElement e)
    {
        var s = new SatelliteSensor();
        foreach (var p in Fields(e, "satellite"))
        {
            double N(double low, double high) => Number(p.Value, $"satellite, {p.Name}", low, high);
            s = p.Name switch
            {
                "hertz" => s with { Hertz = N(0.1, 20) },
                "slow" => s with { SlowSd = N(0, 50) },
                "white" => s with { WhiteSd = N(0, 50) },
                "spikes" => s with { SpikeShare = N(0, 0.5) },
                "gapsPerHour" => s with { GapsPerHour = N(0, 1000) },
                "speed" => s with { SpeedSd = N(0, 5) },
                "offset" => s with { ClockOffset = N(-86400, 86400) },
                "drift" => s with { ClockDrift = N(-1e-3, 1e-3) },
                _ => throw Unknown("satellite", p.Name),
            };
        }

        return s;
    }

    private static MotionSensor Motion(JsonElement e)
    {
        var m = new MotionSensor();
        foreach (var p in Fields(e, "motion"))
        {
            double N(double low, double high) => Number(p.Value, $"motion, {p.Name}", low, high);
            m = p.Name switch
            {
                "hertz" => m with { Hertz = N(10, 400) },
                "gyroscope" => m with { Gyroscope = p.Value.ValueKind == JsonValueKind.True },
                "roll" => m with { TiltRoll = N(-180, 180) },
                "pitch" => m with { TiltPitch = N(-180, 180) },
                "yaw" => m with { TiltYaw = N(-180, 180) },
                "noise" => m with { NoiseSd = N(0, 10) },
                "wash" => m with { WashSd = N(0, 10) },
                "bias" => m with { Bias = N(0, 10) },
                "offset" => m with { ClockOffset = N(-86400, 86400) },
                "drift" => m with { ClockDrift = N(-1e-3, 1e-3) },
                _ => throw Unknown("motion", p.Name),
            };
        }

        return m;
    }

    private static CoxHabits Cox(JsonElement e)
    {
        var c = new CoxHabits();
        foreach (var p in Fields(e, "cox"))
        {
            double N(double low, double high) => Number(p.Value, $"cox, {p.Name}", low, high);
            c = p.Name switch
            {
                "delay" => c with { Delay = N(0, 10) },
                "marginSd" => c with { MarginSd = N(0, 10) },
                "marginBias" => c with { MarginBias = N(-10, 10) },
                "rateSd" => c with { RateSd = N(0, 10) },
                "pause" => c with { Pause = N(0, 60) },
                "tempo" => c with { Tempo = N(1, 8) },
                _ => throw Unknown("cox", p.Name),
            };
        }

        return c;
    }

    private static WindPoint Wind(JsonElement e)
    {
        var pair = Items(e, "wind").ToArray();
        return pair.Length == 2
            ? new WindPoint(Number(pair[0], "wind, metres", 0, 20000), Number(pair[1], "wind, head", -15, 15))
            : throw new ScenarioException("wind: each point is a pair [metres from the start, head wind in m/s].");
    }

    private static BoatClass Boat(string code) => BoatClass.Find(code)
        ?? throw new ScenarioException($"boat: \"{code}\" is no class; one of {string.Join(", ", BoatClass.All.Select(b => b.Code))}.");

    private static string Form(JsonElement v) => Text(v, "captions") is "vtt" or "srt" or "txt"
        ? v.GetString()!
        : throw new ScenarioException($"captions: \"{v.GetString()}\" is none of vtt, srt, txt.");

    private static IEnumerable<JsonProperty> Fields(JsonElement e, string where) => e.ValueKind == JsonValueKind.Object
        ? e.EnumerateObject()
        : throw new ScenarioException($"{where}: an object in braces is needed here.");

    private static IEnumerable<JsonElement> Items(JsonElement e, string where) => e.ValueKind == JsonValueKind.Array
        ? e.EnumerateArray()
        : throw new ScenarioException($"{where}: a list in brackets is needed here.");

    private static string Text(JsonElement e, string where) => e.ValueKind == JsonValueKind.String && e.GetString() is { Length: > 0 } s
        ? s
        : throw new ScenarioException($"{where}: a text in quotes is needed here.");

    private static double Number(JsonElement e, string where, double low, double high)
    {
        if (e.ValueKind != JsonValueKind.Number || !e.TryGetDouble(out double v))
        {
            throw new ScenarioException($"{where}: a number is needed here.");
        }

        return v >= low && v <= high ? v : throw new ScenarioException(FormattableString.Invariant($"{where}: {v} does not lie between {low} and {high}."));
    }

    private static ScenarioException Unknown(string where, string name) =>
        new($"{where}: there is no field \"{name}\". The fields are listed in docs/simulation.md.");
}
