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
        var first = new Option<double>("--wind") { Description = "Head wind over the first half, m/s at crew height; tail negative." };
        var second = new Option<double?>("--wind2") { Description = "Over the second half; as the first where not said." };
        var json = new Option<bool>("--json") { Description = "For machines." };
        var command = new Command("pace", "The fastest way to spend the crew's energy over the course and the wind along it.") { boat, metres, time, first, second, json };
        command.SetAction(p =>
        {
            var found = BoatClass.Find(p.GetValue(boat)!) ?? throw new CliException(ExitCode.Usage, $"There is no boat class '{p.GetValue(boat)}'.");
            double d = p.GetValue(metres), t = p.GetValue(time), w1 = p.GetValue(first), w2 = p.GetValue(second) ?? w1;
            if (d is < 200 or > 30000 || d / t is < 2 or > 7.5 || Math.Abs(w1) > 10 || Math.Abs(w2) > 10)
            {
                throw new CliException(ExitCode.Usage, "A race has 200 m to 30 km, 2 to 7.5 m/s, and at most 10 m/s of wind along it.");
            }

            var hull = ReferenceHull.Of(found);
            var model = new RelativeSpeedModel(hull, SpeedOverGround.FromMetresPerSecond(d / t));
            var b = BoatModel.From(hull, model, Conditions.Reference, found.Rowers);
            var crew = CrewEnergies.Assumed(b, d, t);
            var wind = new WindAlong([0, d / 2], [w1, w2]);
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
                    j.WriteNumber("power", Math.Round(best.MeanWatts(d * i / 4, d * (i + 1) / 4) / crew.Power.PowerFor(t), 4));
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
                    output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  quarter {i + 1}: {marks[i + 1] - marks[i]:0.0} s at {100 * best.MeanWatts(d * i / 4, d * (i + 1) / 4) / crew.Power.PowerFor(t):0} % of mean power"));
                }

                output.WriteLine("The shape is worth tenths; conditions and form are worth seconds. Do not sell wind pacing as a gain: tell the crew the splits to expect.");
            }

            return ExitCode.Done;
        });
        return command;
    }
}
