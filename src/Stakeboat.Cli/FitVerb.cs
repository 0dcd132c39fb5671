using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Stakeboat.Core.Boats;
using Stakeboat.Core.Debrief.CrewsOwn;
using Stakeboat.Core.Physics;
using Stakeboat.Reports;

namespace Stakeboat.Cli;

/// <summary><c>fit PATH...</c>: learns a crew's own numbers from a table typed in, or from the tracks of its outings.</summary>
internal static class FitVerb
{
    private sealed record Options(
        Option<string> Boat, Option<bool> Json, Option<double[]> Wind, Option<double[]> From, Option<bool> Bank, Option<double> Water, Option<double> Air, Option<double?> Rate, Option<int[]> Skip);

    public static Command Create()
    {
        var paths = new Argument<string[]>("PATH")
        {
            Description = "Outings with a track (files or folders), or one CSV table with a head line: seconds,watts (best efforts) | metres,seconds (best pieces in the boat) | speed,headwind,pair,back (out-and-back pieces; optional power) | rate,pace (rate ladder).",
            Arity = ArgumentArity.OneOrMore,
        };
        var o = new Options(
            new Option<string>("--boat") { Description = "Class, for pieces in the boat.", DefaultValueFactory = _ => "8+" },
            new Option<bool>("--json") { Description = "For machines." },
            new Option<double[]>("--wind") { Description = "Wind of the outings at crew height, m/s; one for all or one for each, in order." },
            new Option<double[]>("--from") { Description = "Bearing it blew from, degrees; as --wind." },
            new Option<bool>("--bank") { Description = "The wind was measured on the bank: trust it to 0.4 m/s, not 1." },
            new Option<double>("--water") { Description = "Water, C.", DefaultValueFactory = _ => 20 },
            new Option<double>("--air") { Description = "Air, C.", DefaultValueFactory = _ => 20 },
            new Option<double?>("--rate") { Description = "Carry the reference pace to this rate, the base rate of a plan." },
            new Option<int[]>("--skip") { Description = "Numbers of pieces to leave out: those that were not rowed at an even effort." });
        var command = new Command("fit", "Critical power and W', critical speed and D', the rate ladder, or the crew's reference speed and air share: with covariance, or refused with the reason.")
        {
            paths, o.Boat, o.Json, o.Wind, o.From, o.Bank, o.Water, o.Air, o.Rate, o.Skip,
        };
        command.SetAction(p =>
        {
            string[] given = p.GetValue(paths)!;
            foreach (string path in given.Where(x => !File.Exists(x) && !Directory.Exists(x)))
            {
                throw CliException.NotFound(path);
            }

            var hull = ReferenceHull.Of(BoatClass.Find(p.GetValue(o.Boat)!)
                ?? throw new CliException(ExitCode.Usage, $"There is no boat class '{p.GetValue(o.Boat)}'. The classes are {string.Join(", ", BoatClass.All.Select(b => b.Code))}."));
            if (FitTable.TryOpen(given[0]) is { } table)
            {
                if (given.Length > 1)
                {
                    throw new CliException(ExitCode.Usage, $"{given[0]} is a table: give it alone.");
                }

                table.Fit(hull, p.GetValue(o.Json), p.InvocationConfiguration.Output);
                return ExitCode.Done;
            }

            Outings(p, o, given, hull);
            return ExitCode.Done;
        });
        return command;
    }

    private static void Outings(ParseResult p, Options o, string[] given, ReferenceHull hull)
    {
        double[] winds = p.GetValue(o.Wind) ?? [], froms = p.GetValue(o.From) ?? [];
        if (winds.Length != froms.Length && winds.Any(w => w != 0))
        {
            throw new CliException(ExitCode.Usage, "A wind needs where it blew from: give as many --from as --wind.");
        }

        if (winds.Length > 1 && winds.Length != given.Length)
        {
            throw new CliException(ExitCode.Usage, string.Create(CultureInfo.InvariantCulture, $"There are {given.Length} outings and {winds.Length} winds: give one for all, or one for each in order."));
        }

        if (winds.Any(w => w is < 0 or > 20) || froms.Any(f => f is < 0 or > 360) || p.GetValue(o.Water) is < -2 or > 40)
        {
            throw new CliException(ExitCode.Usage, "A wind is 0 to 20 m/s from 0 to 360 degrees; water is -2 to 40 C.");
        }

        var skip = (p.GetValue(o.Skip) ?? []).ToHashSet();
        var found = new List<(IReadOnlyList<CrewPiece>, OutingWeather)>();
        int number = 0;
        for (int i = 0; i < given.Length; i++)
        {
            var input = OutingInput.Read(given[i]);
            if (input.Outing.Tracks.Count == 0)
            {
                throw new CliException(ExitCode.Data, $"{given[i]}: holds no track, so there is no speed to learn from. Bring the watch's or the phone's file.");
            }

            double? wind = winds.Length == 0 ? null : winds[winds.Length == 1 ? 0 : i];
            double? from = froms.Length == 0 ? null : froms[froms.Length == 1 ? 0 : i];
            var pieces = CrewPieces.Of(input.Outing).Where(_ => !skip.Contains(++number)).ToArray();
            found.Add((pieces, new OutingWeather(wind, from, p.GetValue(o.Bank), p.GetValue(o.Water), p.GetValue(o.Air))));
        }

        var fit = CrewCalibrations.FitPieces(hull, found);
        if (p.GetValue(o.Json))
        {
            WriteJson(p.InvocationConfiguration.Output, fit, p.GetValue(o.Rate));
        }
        else
        {
            WriteText(p.InvocationConfiguration.Output, fit, p.GetValue(o.Rate));
        }

        if (fit.Result.Refusal is { } why && fit.Speed.Fit is null)
        {
            throw new CliException(ExitCode.Data, $"{string.Join(", ", given)}: nothing was fitted. {CrewCalibrationText.Say(why)}");
        }
    }

    private static void WriteText(TextWriter output, CrewCalibration fit, double? rate)
    {
        output.WriteLine("      t       s      m   bearing   rate  speed  head wind  pair");
        int n = 0;
        foreach (var f in fit.Pieces)
        {
            var q = f.Piece;
            output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"{++n,2} {q.FromSeconds,6:0} {q.Seconds,5:0} {q.Metres,6:0} {q.BearingDegrees,8:0} {q.Rate,7:0.0} {q.Speed,6:0.00} {f.HeadWind,9:+0.0;-0.0;0.0}  {(f.Pair is { } k ? $"{k + 1} {(f.Back ? "back" : "out")}" : "none"),-7} {q.Outing}"));
        }

        foreach (string s in CrewCalibrationText.Sentences(fit))
        {
            output.WriteLine(s);
        }

        var lines = CrewCalibrationText.PlanLines(fit, rate);
        if (lines.Count > 0)
        {
            output.WriteLine();
            output.WriteLine("For the head of a plan:");
            foreach (string line in lines)
            {
                output.WriteLine(line);
            }
        }
    }

    private static void WriteJson(TextWriter output, CrewCalibration fit, double? rate)
    {
        using var s = new OutputStream(output);
        using var j = new Utf8JsonWriter(s, new JsonWriterOptions { Indented = true });
        j.WriteStartObject();
        j.WriteString("refusal", fit.Result.Refusal is { } r ? CrewCalibrationText.Say(r) : null);
        if (fit.Result.Fit is { } f)
        {
            FitTable.Estimate(j, "referenceSpeed", f.Speed);
            FitTable.Estimate(j, "airShare", f.Air);
            FitTable.Covariance(j, "logCovariance", f.LogCovariance);
            if (fit.ReferenceRate is { } at)
            {
                j.WriteNumber("referenceRate", at);
            }
        }

        if (fit.Speed.Fit is { } v)
        {
            FitTable.Estimate(j, "cv", v.Cv);
            FitTable.Estimate(j, "dPrime", v.DPrime);
            FitTable.Covariance(j, "covariance", [v.VarCv, v.Cov, v.Cov, v.VarD]);
        }

        j.WriteStartArray("pieces");
        foreach (var q in fit.Pieces)
        {
            j.WriteStartObject();
            j.WriteString("outing", q.Piece.Outing);
            j.WriteNumber("t", Math.Round(q.Piece.FromSeconds, 1));
            j.WriteNumber("seconds", Math.Round(q.Piece.Seconds, 1));
            j.WriteNumber("speed", Math.Round(q.Piece.Speed, 4));
            j.WriteNumber("bearing", Math.Round(q.Piece.BearingDegrees, 1));
            j.WriteNumber("headWind", Math.Round(q.HeadWind, 2));
            if (q.Piece.Rate is { } spm)
            {
                j.WriteNumber("rate", Math.Round(spm, 2));
            }

            if (q.Pair is { } k)
            {
                j.WriteNumber("pair", k + 1);
                j.WriteBoolean("back", q.Back);
            }

            j.WriteEndObject();
        }

        j.WriteEndArray();
        j.WriteStartArray("planLines");
        foreach (string line in CrewCalibrationText.PlanLines(fit, rate))
        {
            j.WriteStringValue(line);
        }

        j.WriteEndArray();
        j.WriteEndObject();
    }
}
