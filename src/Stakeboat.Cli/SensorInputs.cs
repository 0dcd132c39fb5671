using System.Globalization;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Cli;

/// <summary>The sensors' findings of a path with the clock that their times are printed on: the recording's where the folder has one and the clocks could be joined, else the sensors' own.</summary>
internal sealed record SensorInputs(SensorFindings Findings, ClockMap<SensorClock, RecordingClock> Map, bool OnRecording, RatesTogether Rates, IReadOnlyList<string> Remarks)
{
    /// <exception cref="CliException">The path does not exist, or holds neither a track nor a motion log.</exception>
    public static SensorInputs Read(string path)
    {
        var input = OutingInput.Read(path);
        var remarks = new List<string>();
        foreach (var issue in input.Issues)
        {
            remarks.Add(issue.ToString());
        }

        if (input.Outing.Tracks.Count == 0 && input.Outing.Motions.Count == 0)
        {
            throw new CliException(ExitCode.Data, $"{path}: holds neither a track nor a motion log, so there are no strokes to find. Bring the watch's or the phone's file.");
        }

        var debrief = RaceDebrief.Make(input.ToDebriefInput());
        var findings = debrief.Sensors!;
        foreach (var issue in findings.Issues)
        {
            remarks.Add(SensorWords.Sentence(issue));
        }

        foreach (var dispute in debrief.Rates.Disputes)
        {
            remarks.Add(RateParts.Sentence(dispute));
        }

        if (findings.Strokes.Count == 0 && findings.Hull is null)
        {
            throw new CliException(ExitCode.Data, $"{path}: {string.Join(" ", remarks)}");
        }

        bool joined = debrief.SensorMap is not null && debrief.OnRecording;
        if (debrief.OnRecording && debrief.SensorMap is null)
        {
            remarks.Add("The recording and the sensors could not be put on one clock: times are seconds since the first sample of the sensors.");
        }

        return new SensorInputs(findings, debrief.SensorMap ?? ClockMap<SensorClock, RecordingClock>.FromOffset(0, 0, "given"), joined, debrief.Rates, remarks);
    }

    public double Time(Instant<SensorClock> t) => Map.Map(t).Seconds;

    public static string F(double v, string format) => v.ToString(format, CultureInfo.InvariantCulture);

    public static string F(Estimate? v, string format) => v is { } e ? F(e.Mean, format) : "";

    /// <summary>One JSON array of flat objects; empty texts are null.</summary>
    public static void Json(TextWriter output, string[] columns, IEnumerable<string[]> rows, Func<string, bool> isText)
    {
        output.Write('[');
        bool first = true;
        foreach (var row in rows)
        {
            output.Write(first ? "\n" : ",\n");
            first = false;
            output.Write('{');
            for (int i = 0; i < columns.Length; i++)
            {
                output.Write(i == 0 ? "" : ",");
                output.Write($"\"{columns[i]}\":");
                output.Write(row[i].Length == 0 ? "null" : isText(columns[i]) ? $"\"{row[i]}\"" : row[i]);
            }

            output.Write('}');
        }

        output.WriteLine("\n]");
    }
}
