using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Stakeboat.Core.Boats;
using Stakeboat.Core.Energetics;
using Stakeboat.Core.Pacing;
using Stakeboat.Core.Physics;
using Stakeboat.Core.Units;

namespace Stakeboat.Cli;

/// <summary><c>pace</c>: the fastest plan that a crew's energy allows, by quarters, with the interval of its time.</summary>
internal static class PaceVerb
{
    public static Command Create()
    {
        var boat = new Option<string>("--boat") { Description = "Class.", DefaultValueFactory = _ => "8+" };
        var metres = new Option<double>("--distance") { Description = "m.", DefaultValueFactory = _ => 2000 };
        var time = new Option<double>("--time") { Description = "What the crew rows in calm water over this distance, s.", Required = true };
        var cp = new Option<double?>("--cp") { Description = "Critical power of the mean rower in the boat, W; else 15 % of the work of --time is taken from W'." };
        var store = new Option<double?>("--w") { Description = "W' of the mean rower, kJ." };
        var along = new Option<string?>("--along") { Description = "Head wind along a bending course: metres and m/s in turn, such as '0 3, 800 -1, 1500 2'." };
        var first = new Option<double>("--wind") { Description = "Head wind over the first half, m/s at crew height; tail negative." };
        var second = new Option<double?>("--wind2") { Description = "Over the second half; as the first where not said." };
        var json = new Option<bool>("--json") { Description = "For machines." };
        var command = new Command("pace", "The fastest way to spend the crew's energy over the course and the wind along it.") { boat, metres, time, cp, store, first, second, along, json };
        command.SetAction(p =>
        {
            var found = BoatClass.Find(p.GetValue(boat)!) ?? throw new CliException(ExitCode.Usage, $"There is no boat class '{p.GetValue(boat)}'. The classes are {string.Join(", ", BoatClass.All.Select(b => b.Code))}.");
            double d = p.GetValue(metres), t = p.GetValue(time), w1 = p.GetValue(first), w2 = p.GetValue(second) ?? w1;
            if (d is < 200 or > 30000 || d / t is < 2 or > 7.5 || Math.Abs(w1) > 10 || Math.Abs(w2) > 10)
            {
                throw new CliException(ExitCode.Usage, "A race has 200 m to 30 km, 2 to 7.5 m/s, and at most 10 m/s of wind along it.");
            }

            if (p.GetValue(cp) is null != p.GetValue(store) is null || p.GetValue(cp) is <= 0 or > 1500 || p.GetValue(store) is <= 0 or > 60)
            {
                throw new CliException(ExitCode.Usage, "Give both --cp (W, up to 1500) and --w (kJ, up to 60) of the mean rower, or neither.");
            }

            var hull = ReferenceHull.Of(found);
            var model = new RelativeSpeedModel(hull, SpeedOverGround.FromMetresPerSecond(d / t));
            var b = BoatModel.From(hull, model, Conditions.Reference, found.Rowers);
            var crew = p.GetValue(cp) is { } own ? new CrewEnergy(new CriticalPower(own, p.GetValue(store)!.Value * 1000), 2.2 * own) : CrewEnergies.Assumed(b, d, t);
            var wind = p.GetValue(along) is { } text ? Along(text, d) : new WindAlong([0, d / 2], [w1, w2]);
            var best = OptimalPlan.Find(b, crew, wind, d).Run;
            var spread = FinishForecast.Finding(b, crew, wind, d, DayUncertainty.For(crew), 4000, 1);
            var output = p.InvocationConfiguration.Output;
            double[] marks = [0, best.TimeAt(d / 4), best.TimeAt(d / 2), best.TimeAt(3 * d / 4), best.Seconds];
            if (p.GetValue(json))
            {
                using var s = new OutputStream(output);
                using var j = new Utf8JsonWriter(s);
                j.WriteStartObject();
                j.WriteNumber("seconds", Math.Round(best.Seconds, 3));
                j.WriteNumber("low90", Math.Round(spread.Low90, 2));
                j.WriteNumber("high90", Math.Round(spread.High90, 2));
                j.WriteStartArray("quarters");
                for (int i = 0; i < 4; i++)
                {
                    j.WriteStartObject();
                    j.WriteNumber("seconds", Math.Round(marks[i + 1] - marks[i], 3));
                    j.WriteNumber("power", Math.Round(best.MeanWatts(d * i / 4, d * (i + 1) / 4) / crew.Power.PowerFor(best.Seconds), 4));
                    j.WriteEndObject();
                }

                j.WriteEndArray();
                j.WriteEndObject();
            }
            else
            {
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{best.Seconds:0.0} s; 90 of 100 races between {spread.Low90:0.0} and {spread.High90:0.0} s."));
                for (int i = 0; i < 4; i++)
                {
                    output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  quarter {i + 1}: {marks[i + 1] - marks[i]:0.0} s at {100 * best.MeanWatts(d * i / 4, d * (i + 1) / 4) / crew.Power.PowerFor(best.Seconds):0} % of mean power"));
                }

                output.WriteLine("The shape is worth tenths; conditions and form are worth seconds. Do not sell wind pacing as a gain: tell the crew the splits to expect.");
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static WindAlong Along(string text, double distance)
    {
        var from = new List<double>();
        var head = new List<double>();
        foreach (string part in text.Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries))
        {
            string[] two = part.Split(' ', StringSplitOptions.RemoveEmptyEntries);
            if (two.Length != 2 || !double.TryParse(two[0], NumberStyles.Float, CultureInfo.InvariantCulture, out double at)
                || !double.TryParse(two[1], NumberStyles.Float, CultureInfo.InvariantCulture, out double wind) || Math.Abs(wind) > 10 || !(at >= 0 && at < distance)
                || (from.Count > 0 && at <= from[^1]))
            {
                throw new CliException(ExitCode.Usage, $"--along '{part}': write rising metres and the head wind from there, m/s, a comma between: '0 3, 800 -1'.");
            }

            from.Add(at);
            head.Add(wind);
        }

        if (from.Count == 0 || from[0] != 0)
        {
            throw new CliException(ExitCode.Usage, "--along begins at 0 m: '0 3, 800 -1'.");
        }

        return new WindAlong(from, head);
    }
}
