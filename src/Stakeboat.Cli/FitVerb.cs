using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Stakeboat.Core.Boats;
using Stakeboat.Core.Energetics;
using Stakeboat.Core.Physics;
using Stakeboat.Core.Units;

namespace Stakeboat.Cli;

/// <summary><c>fit FILE</c>: learns from a table typed in: best efforts, best pieces, or out-and-back pairs.</summary>
internal static class FitVerb
{
    public static Command Create()
    {
        var file = new Argument<string>("FILE") { Description = "CSV with a head line: seconds,watts (best efforts) | metres,seconds (best pieces) | speed,headwind,pair,back (out-and-back pieces; optional power)." };
        var boat = new Option<string>("--boat") { Description = "Class, for out-and-back pieces.", DefaultValueFactory = _ => "8+" };
        var json = new Option<bool>("--json") { Description = "For machines." };
        var command = new Command("fit", "Critical power and W', critical speed and D', or the crew's reference speed and air share, with intervals.") { file, boat, json };
        command.SetAction(p =>
        {
            string path = p.GetValue(file)!;
            if (!File.Exists(path))
            {
                throw CliException.NotFound(path);
            }

            var rows = File.ReadAllLines(path).Where(l => l.Trim().Length > 0 && !l.StartsWith('#')).Select(l => l.Split(',', StringSplitOptions.TrimEntries)).ToArray();
            if (rows.Length == 0)
            {
                throw new CliException(ExitCode.Data, $"{path}: the table is empty.");
            }

            string[] head = [.. rows[0].Select(h => h.ToLowerInvariant())];
            double At(string[] row, string name, double otherwise)
            {
                int i = Array.IndexOf(head, name);
                if (i < 0 || i >= row.Length)
                {
                    return otherwise;
                }

                return double.TryParse(row[i], NumberStyles.Float, CultureInfo.InvariantCulture, out double v) && double.IsFinite(v)
                    ? v
                    : throw new CliException(ExitCode.Data, $"{path}: '{row[i]}' under {name} is no number.");
            }

            var body = rows[1..];
            (string Name, Estimate Value)[] found;
            string? why = null;
            if (head.Contains("watts"))
            {
                var r = EffortFit.Fit([.. body.Select(x => new BestEffort(At(x, "seconds", 0), At(x, "watts", 0)))]);
                why = r.Refusal is { } q ? Say(q) : null;
                found = r.Fit is { } f ? [("cp", f.Cp), ("wPrime", f.WPrime)] : [];
            }
            else if (head.Contains("metres"))
            {
                var r = EffortFit.FitSpeed([.. body.Select(x => new BestPiece(At(x, "metres", 0), At(x, "seconds", 0)))]);
                why = r.Refusal is { } q ? Say(q) : null;
                found = r.Fit is { } f ? [("cv", f.Cv), ("dPrime", f.DPrime)] : [];
            }
            else if (head.Contains("speed"))
            {
                var hull = ReferenceHull.Of(BoatClass.Find(p.GetValue(boat)!) ?? throw new CliException(ExitCode.Usage, $"There is no boat class '{p.GetValue(boat)}'."));
                var r = Calibration.Fit(hull, [.. body.Select(x => new CalibrationPiece(
                    SpeedOverGround.FromMetresPerSecond(At(x, "speed", 0)), At(x, "power", 1), Conditions.WithHeadWind(At(x, "headwind", 0)), (int)At(x, "pair", 0), At(x, "back", 0) > 0.5))]);
                why = r.Refusal is { } q ? Say(q) : null;
                found = r.Fit is { } f ? [("referenceSpeed", f.Speed), ("airShare", f.Air)] : [];
            }
            else
            {
                throw new CliException(ExitCode.Data, $"{path}: the head line names neither watts, metres nor speed.");
            }

            if (why is not null)
            {
                throw new CliException(ExitCode.Data, $"{path}: nothing was fitted. {why}");
            }

            var output = p.InvocationConfiguration.Output;
            if (p.GetValue(json))
            {
                using var s = new OutputStream(output);
                using var j = new Utf8JsonWriter(s);
                j.WriteStartObject();
                foreach (var (name, v) in found)
                {
                    j.WriteStartObject(name);
                    j.WriteNumber("mean", v.Mean);
                    j.WriteNumber("sd", v.Sd);
                    j.WriteNumber("low90", v.Low90);
                    j.WriteNumber("high90", v.High90);
                    j.WriteEndObject();
                }

                j.WriteEndObject();
            }
            else
            {
                foreach (var (name, v) in found)
                {
                    output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{name} {v.Mean:0.####} (90 %: {v.Low90:0.####} to {v.High90:0.####})"));
                }
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static string Say(FitRefusal r) => r switch
    {
        FitRefusal.TooFew => "It takes at least three best efforts.",
        FitRefusal.TooAlike => "The longest effort must last at least three times the shortest.",
        FitRefusal.OutsideRange => "The model holds for efforts of about 2 to 15 minutes; one lies outside.",
        FitRefusal.CriticalPowerImplausible => "Critical power would lie outside 50 to 98 % of the six-minute power: these were not all best efforts.",
        FitRefusal.StoreImplausible => "W' would be negative or larger than was ever measured: these efforts do not belong together.",
        _ => "The most power would be below the shortest effort's.",
    };

    private static string Say(CalibrationRefusal r) => r switch
    {
        CalibrationRefusal.Nothing => "There are no pieces.",
        CalibrationRefusal.OneDirection => "It takes a pair out and back over one stretch: one way, stream and speed cannot be told apart.",
        CalibrationRefusal.EffortsTooFarApart => "The efforts differ by more than a factor of two.",
        CalibrationRefusal.SpeedOutOfRange => "A speed lies far from what this class of boat rows.",
        CalibrationRefusal.WindTooStrong => "A piece was rowed in more than 8 m/s of wind.",
        _ => "The wind never differed enough to see the air's share.",
    };
}
