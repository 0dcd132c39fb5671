using Stakeboat.Core.Calls;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Units;
using Stakeboat.Readers;

namespace Stakeboat.Cli;

/// <summary>The margins of the race in a folder, for the verbs that show them.</summary>
internal static class RaceFolder
{
    /// <summary>Reads, listens, finds start and finish and solves.</summary>
    public static RaceMargins Solve(string path, TextWriter error)
    {
        var reading = OutingFolder.Read(path);
        if (!File.Exists(path) && !Directory.Exists(path))
        {
            throw CliException.NotFound(path);
        }

        foreach (var issue in reading.Issues.Where(i => i.Severity == Severity.Error))
        {
            error.WriteLine(issue.ToString());
        }

        if (reading.Value is not { } outing)
        {
            throw new CliException(ExitCode.Data, $"{path}: nothing in it could be read. See above, or try: stakeboat inspect {path}");
        }

        if (outing.Sheet is null)
        {
            throw new CliException(ExitCode.Data, $"{path}: there is no race sheet. Write a race.json with your crew, the lanes and the distance.");
        }

        IReadOnlyList<HeardCall> calls = outing.Captions.Count > 0 ? new CallDecoder().Decode(outing.Captions[0], outing.Sheet).Calls : [];
        var sensors = outing.Tracks.Count > 0 || outing.Motions.Count > 0
            ? SensorAnalysis.Analyse(new SensorInput(outing.Motions.FirstOrDefault(), outing.Tracks.FirstOrDefault(), outing.Sheet.Distance))
            : null;

        // Without words the sensors' own clock is the clock of the answer.
        bool words = outing.Captions.Count > 0;
        Estimate? start = words ? null : sensors?.Race?.Start, finish = words ? null : sensors?.Race?.End;
        var times = RaceTimes.Find(calls, outing.Sheet, outing.Result, start, finish);
        return RaceMargins.Of(outing, calls, times, sensors)
            ?? throw new CliException(ExitCode.Data, $"{path}: no start of a race was found. Write the second of the word \"go\" into race.json as goAt.");
    }
}
