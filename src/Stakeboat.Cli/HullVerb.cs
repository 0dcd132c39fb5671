using System.CommandLine;
using Stakeboat.Core.Strokes;

namespace Stakeboat.Cli;

/// <summary><c>hull PATH</c>: way made and speed of the hull at any rate.</summary>
internal static class HullVerb
{
    private static readonly string[] Columns = ["t", "metres", "speed", "speedSd", "metresSd"];

    public static Command Create()
    {
        var path = new Argument<string>("PATH") { Description = "A track, or the folder of an outing with one." };
        var hz = new Option<double>("--hz") { Description = "Samples a second, 0.01 to 200.", DefaultValueFactory = _ => 1 };
        var csv = new Option<bool>("--csv") { Description = $"A line for every sample: {string.Join(',', Columns)}." };
        var json = new Option<bool>("--json") { Description = "The same as JSON." };
        var command = new Command("hull", "Way made and speed of the hull over ground at every instant, with its standard deviation.") { path, hz, csv, json };
        command.SetAction(parsed =>
        {
            var output = parsed.InvocationConfiguration.Output;
            double rate = parsed.GetValue(hz);
            if (!(rate is >= 0.01 and <= 200))
            {
                throw new CliException(ExitCode.Usage, $"--hz {SensorInputs.F(rate, "0.###")}: give a rate from 0.01 to 200 samples a second.");
            }

            var input = SensorInputs.Read(parsed.GetValue(path)!);
            if (input.Findings.Hull is not { } hull)
            {
                throw new CliException(ExitCode.Data, $"{parsed.GetValue(path)}: {string.Join(" ", input.Remarks)} Bring the track that was recorded with it.");
            }

            var rows = hull.Sample(rate).Select(s => Row(input, s));
            if (parsed.GetValue(json))
            {
                SensorInputs.Json(output, Columns, rows, _ => false);
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
                output.WriteLine($"Times in s {(input.OnRecording ? "of the recording" : "since the sensors' first sample")}; ± is half a 90 % interval.");
                output.WriteLine("      t    metres   speed");
                foreach (var s in hull.Sample(rate))
                {
                    output.WriteLine($"{SensorInputs.F(input.Time(s.At), "0.00"),8} {SensorInputs.F(s.Metres, "0.0"),8} {SensorInputs.F(s.SpeedMps, "0.00"),7} ± {SensorInputs.F(1.645 * s.SpeedSd, "0.00")}");
                }

                foreach (string remark in input.Remarks)
                {
                    output.WriteLine(remark);
                }
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static string[] Row(SensorInputs input, HullSample s) =>
    [
        SensorInputs.F(input.Time(s.At), "0.000"), SensorInputs.F(s.Metres, "0.000"), SensorInputs.F(s.SpeedMps, "0.0000"),
        SensorInputs.F(s.SpeedSd, "0.0000"), SensorInputs.F(s.MetresSd, "0.000"),
    ];
}
