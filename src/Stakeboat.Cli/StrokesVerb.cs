using System.CommandLine;
using Stakeboat.Core.Strokes;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Cli;

/// <summary><c>strokes PATH</c>: each stroke with its rate, length, speed and check.</summary>
internal static class StrokesVerb
{
    private static readonly string[] Columns =
    [
        "t", "rate", "rateSd", "metres", "speed", "lowest", "highest", "check", "quality",
        "metresSd", "speedSd", "lowestSd", "highestSd", "checkSd", "roll", "rollSpread", "yaw",
    ];

    public static Command Create()
    {
        var path = new Argument<string>("PATH") { Description = "A track, a motion log, or the folder of an outing." };
        var csv = new Option<bool>("--csv") { Description = $"A line for every stroke: {string.Join(',', Columns)}." };
        var json = new Option<bool>("--json") { Description = "The same as JSON." };
        var command = new Command("strokes", "Each stroke from motion and satellite samples: catch, rate, length, speed, check, set.") { path, csv, json };
        command.SetAction(parsed =>
        {
            var output = parsed.InvocationConfiguration.Output;
            var input = SensorInputs.Read(parsed.GetValue(path)!);
            var rows = input.Findings.Strokes.Select(s => Row(input, s));
            if (parsed.GetValue(json))
            {
                SensorInputs.Json(output, Columns, rows, c => c == "quality");
            }
            else if (parsed.GetValue(csv))
            {
                output.WriteLine(string.Join(',', Columns));
                foreach (var row in rows)
                {
                    output.WriteLine(string.Join(',', row));
                }
            }
            else
            {
                Text(input, output);
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static string[] Row(SensorInputs input, Stroke s) =>
    [
        SensorInputs.F(input.Time(s.Catch), "0.000"), SensorInputs.F(s.Rate.Mean, "0.00"), SensorInputs.F(s.Rate.Sd, "0.000"),
        SensorInputs.F(s.Metres, "0.000"), SensorInputs.F(s.Speed, "0.000"), SensorInputs.F(s.Lowest, "0.000"), SensorInputs.F(s.Highest, "0.000"),
        SensorInputs.F(s.Check, "0.000"), s.Quality.ToString().ToLowerInvariant(),
        Sd(s.Metres), Sd(s.Speed), Sd(s.Lowest), Sd(s.Highest), Sd(s.Check),
        SensorInputs.F(s.Roll, "0.00"), SensorInputs.F(s.RollSpread, "0.00"), SensorInputs.F(s.Yaw, "0.00"),
    ];

    /// <summary>One line on what the rate was told from, where there is more than one source.</summary>
    private static void Together(SensorInputs input, TextWriter output)
    {
        var merged = input.Rates.Merged;
        var sources = merged.SelectMany(m => m.Agreeing).GroupBy(RateParts.Name, StringComparer.Ordinal).OrderByDescending(g => g.Count()).ToList();
        if (sources.Count > 1 || (input.Findings.Strokes.Count == 0 && sources.Count > 0))
        {
            string parts = string.Join(", ", sources.Select(g => $"{g.Key} {SensorInputs.F(100.0 * g.Count() / merged.Count, "0")} %"));
            output.WriteLine($"Rate by all sources together from {SensorInputs.F(merged[0].Seconds, "0")} to {SensorInputs.F(merged[^1].Seconds, "0")} s; share of it that each agrees with: {parts}.");
        }

        if (input.Findings.Strokes.Count == 0)
        {
            foreach (var m in merged.Where((_, i) => i % 5 == 0))
            {
                output.WriteLine($"{SensorInputs.F(m.Seconds, "0"),8} {SensorInputs.F(m.Rate.Mean, "0.0"),5} ± {SensorInputs.F(1.645 * m.Rate.Sd, "0.0")}");
            }
        }
    }

    private static string Sd(Core.Units.Estimate? e) => e is { } v ? SensorInputs.F(v.Sd, "0.0000") : "";

    private static void Text(SensorInputs input, TextWriter output)
    {
        var found = input.Findings;
        output.WriteLine($"{found.Strokes.Count} strokes; times in s {(input.OnRecording ? "of the recording" : "since the sensors' first sample")}; ± is half a 90 % interval.");
        foreach (var p in found.Pieces)
        {
            string kind = ReferenceEquals(p, found.Race) ? "Race" : p.Kind == PieceKind.Piece ? "Piece" : "Start";
            string metres = p.Metres is { } m ? $", {SensorInputs.F(m.Mean, "0")} ± {SensorInputs.F(1.645 * m.Sd, "0")} m" : "";
            string rate = p.Rate is { } r ? $", mean rate {SensorInputs.F(r.Mean, "0.0")}" : "";
            output.WriteLine($"{kind}: {SensorInputs.F(p.Start.Mean + input.Map.Offset, "0.0")} to {SensorInputs.F(p.End.Mean + input.Map.Offset, "0.0")} s{metres}, {p.Strokes} strokes{rate}");
            foreach (var split in p.Splits500)
            {
                output.WriteLine($"  {SensorInputs.F(split.FromMetres, "0")}-{SensorInputs.F(split.ToMetres, "0")} m: {SensorInputs.F(split.Time.Mean, "0.00")} ± {SensorInputs.F(1.645 * split.Time.Sd, "0.00")} s");
            }
        }

        if (found.Strokes.Count > 0)
        {
            output.WriteLine();
            output.WriteLine("      t    rate        metres   speed  lowest highest  check  quality");
            foreach (var s in found.Strokes)
            {
                output.WriteLine(
                    $"{SensorInputs.F(input.Time(s.Catch), "0.00"),8} {SensorInputs.F(s.Rate.Mean, "0.0"),5} ± {SensorInputs.F(1.645 * s.Rate.Sd, "0.0"),-4} {SensorInputs.F(s.Metres, "0.00"),8} {SensorInputs.F(s.Speed, "0.00"),7} {SensorInputs.F(s.Lowest, "0.00"),7} {SensorInputs.F(s.Highest, "0.00"),7} {SensorInputs.F(s.Check, "0.00"),6}  {s.Quality.ToString().ToLowerInvariant()}");
            }
        }

        Together(input, output);
        foreach (string remark in input.Remarks)
        {
            output.WriteLine(remark);
        }
    }
}
