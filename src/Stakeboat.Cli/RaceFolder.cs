using Stakeboat.Core.Debrief;
using Stakeboat.Readers;

namespace Stakeboat.Cli;

/// <summary>The margins of the race in a folder, for the verbs that show them.</summary>
internal static class RaceFolder
{
    /// <summary>Reads, listens, finds start and finish and solves, as the debrief does.</summary>
    public static RaceMargins Solve(string path, TextWriter error)
    {
        var input = OutingInput.Read(path);
        foreach (var issue in input.Issues.Where(i => i.Severity == Severity.Error))
        {
            error.WriteLine(issue.ToString());
        }

        if (input.Outing.Sheet is null)
        {
            throw new CliException(ExitCode.Data, $"{path}: there is no race sheet. Write a race.json with your crew, the lanes and the distance.");
        }

        return RaceDebrief.Make(input.ToDebriefInput()).Margins
            ?? throw new CliException(ExitCode.Data, $"{path}: no start of a race was found. Write the second of the word \"go\" into race.json as goAt.");
    }
}
