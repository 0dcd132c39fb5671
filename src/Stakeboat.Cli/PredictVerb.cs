using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Stakeboat.Core.Boats;
using Stakeboat.Core.Physics;
using Stakeboat.Core.Units;

namespace Stakeboat.Cli;

/// <summary><c>predict</c>: speed of a crew in other conditions, with each term of the balance.</summary>
internal static class PredictVerb
{
    public static Command Create()
    {
        var boat = new Option<string>("--boat") { Description = "Class: 8+, 4+, 4-, 4x, 2-, 2x, 1x.", DefaultValueFactory = _ => "8+" };
        var pace = new Option<double?>("--pace") { Description = "The crew's own pace at 20 C, calm, deep water, s per 500 m." };
        var net = new Option<double?>("--watts") { Description = "Net power of each rower instead, W: the full model." };
        var wind = new Option<double>("--wind") { Description = "Head wind at crew height, m/s; tail negative." };
        var cross = new Option<double>("--cross") { Description = "Cross wind, m/s." };
        var water = new Option<double>("--water") { Description = "Water, C.", DefaultValueFactory = _ => 20 };
        var air = new Option<double>("--air") { Description = "Air, C.", DefaultValueFactory = _ => 20 };
        var salt = new Option<double>("--salinity") { Description = "g/kg." };
        var stream = new Option<double>("--stream") { Description = "Along the course, m/s; against negative." };
        var depth = new Option<double?>("--depth") { Description = "m; deep where not said." };
        var fetch = new Option<double?>("--fetch") { Description = "Open water to windward, m: adds the height of the wind's waves as a range over published families." };
        var json = new Option<bool>("--json") { Description = "For machines." };
        var command = new Command("predict", "Speed in these conditions, with friction, waves and air shown apart.") { boat, pace, net, wind, cross, water, air, salt, stream, depth, fetch, json };
        command.SetAction(p =>
        {
            var found = BoatClass.Find(p.GetValue(boat)!) ?? throw new CliException(ExitCode.Usage, $"There is no boat class '{p.GetValue(boat)}'. The classes are {string.Join(", ", BoatClass.All.Select(b => b.Code))}.");
            var hull = ReferenceHull.Of(found);
            double w = p.GetValue(wind), c = p.GetValue(cross);
            if (p.GetValue(pace) is not null and (< 60 or > 300) || p.GetValue(net) is not null and (< 20 or > 1500) || p.GetValue(water) is < -2 or > 40 || Math.Sqrt(w * w + c * c) > 20 || p.GetValue(depth) is < 0.5 || p.GetValue(air) is < -40 or > 55 || p.GetValue(salt) is < 0 or > 42 || Math.Abs(p.GetValue(stream)) > 4 || p.GetValue(fetch) is < 10 or > 100_000)
            {
                throw new CliException(ExitCode.Usage, "Outside what the model knows: pace 60 to 300 s, 20 to 1500 W a rower, water -2 to 40 C, air -40 to 55 C, wind up to 20 m/s, stream up to 4 m/s, salinity 0 to 42, depth from 0.5 m, fetch 10 m to 100 km.");
            }

            var conditions = new Conditions(Temperature.FromCelsius(p.GetValue(water)), Temperature.FromCelsius(p.GetValue(air)), Math.Sqrt(w * w + c * c), Angle.FromRadians(Math.Atan2(Math.Abs(c), w)),
                p.GetValue(salt), Stream: p.GetValue(stream), Depth: p.GetValue(depth));
            // Both models start from the same crew: the same speed, and so the full model's power for it, in the reference conditions.
            var full = new FullSpeedModel(hull);
            double v0 = p.GetValue(net) is { } given ? full.Solve(Power.FromWatts(given * found.Rowers), Conditions.Reference).Balance.Speed.MetresPerSecond
                : p.GetValue(pace) is { } own ? 500 / own : hull.Pace;
            double watts = full.At(v0, Conditions.Reference).Power.Watts;
            SpeedPrediction Full(AirForm form) => new FullSpeedModel(hull, form: form).Solve(Power.FromWatts(watts), conditions);
            SpeedPrediction Relative(AirForm form) => new RelativeSpeedModel(hull, SpeedOverGround.FromMetresPerSecond(v0), form: form).Solve(1, conditions);
            SpeedPrediction Solve(AirForm form) => p.GetValue(net) is not null ? Full(form) : Relative(form);
            SpeedPrediction beside, one, other;
            try
            {
                beside = p.GetValue(net) is not null ? Relative(AirForm.Coupled) : Full(AirForm.Coupled);
                one = Solve(AirForm.Coupled);
                other = Solve(AirForm.Uncoupled);
            }
            catch (ArgumentOutOfRangeException)
            {
                throw new CliException(ExitCode.Usage, "No speed between 0.3 and 11 m/s balances this power and wind: the wind alone drives the boat, or holds it. Give less wind.");
            }

            var waves = p.GetValue(fetch) is { } open ? WaveGrowth.All(Math.Sqrt(w * w + c * c) / Wind.AtCrew(1), open, p.GetValue(depth) ?? 3) : [];
            var output = p.InvocationConfiguration.Output;
            var b = one.Balance;
            if (p.GetValue(json))
            {
                using var s = new OutputStream(output);
                using var j = new Utf8JsonWriter(s);
                j.WriteStartObject();
                j.WriteString("model", one.Model);
                j.WriteNumber("speed", Math.Round(one.Speed.MetresPerSecond, 4));
                j.WriteNumber("speedUncoupledAir", Math.Round(other.Speed.MetresPerSecond, 4));
                j.WriteNumber("pace", Math.Round(500 / one.Speed.MetresPerSecond, 2));
                j.WriteString("besideModel", beside.Model);
                j.WriteNumber("besideSpeed", Math.Round(beside.Speed.MetresPerSecond, 4));
                j.WriteNumber("friction", Math.Round(b.Friction, 2));
                j.WriteNumber("wave", Math.Round(b.Wave, 2));
                j.WriteNumber("air", Math.Round(b.Air, 2));
                j.WriteNumber("depthFroude", Math.Round(b.DepthFroude, 3));
                j.WriteStartArray("waves");
                foreach (var x in waves)
                {
                    j.WriteStartObject();
                    j.WriteString("method", x.Method);
                    j.WriteNumber("height", Math.Round(x.Height, 4));
                    j.WriteNumber("period", Math.Round(x.Period, 3));
                    j.WriteEndObject();
                }

                j.WriteEndArray();
                j.WriteStartArray("warnings");
                foreach (var x in one.Warnings)
                {
                    j.WriteStringValue(x.ToString());
                }

                j.WriteEndArray();
                j.WriteEndObject();
            }
            else
            {
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{one.Speed.MetresPerSecond:0.00} m/s, {500 / one.Speed.MetresPerSecond:0.0} s per 500 m ({one.Model}; air {Math.Abs(500 / one.Speed.MetresPerSecond - 500 / other.Speed.MetresPerSecond):0.0} s unsure in cross wind)"));
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"friction {b.Friction:0} N, waves {b.Wave:0} N, air {b.Air:0} N"));
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"beside it: {beside.Speed.MetresPerSecond:0.00} m/s, {500 / beside.Speed.MetresPerSecond:0.0} s per 500 m ({beside.Model}, {watts / found.Rowers:0} W net a rower)"));
                if (waves.Count > 1)
                {
                    output.WriteLine(Core.Plans.PlanPriceText.Waves(waves));
                }

                foreach (var x in one.Warnings)
                {
                    output.WriteLine(x switch
                    {
                        ModelWarning.StrongWind => "Wind above 8 m/s: outside the model. Whether to go afloat is for the organiser and the club's own rules.",
                        ModelWarning.NearCriticalDepth => "Near the critical speed of this depth: trust the waves to 50 % only.",
                        _ => "More than a quarter away from the reference speed: an extrapolation.",
                    });
                }
            }

            return ExitCode.Done;
        });
        return command;
    }
}
