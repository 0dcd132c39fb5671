using Stakeboat.Core.Debrief;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Plans;
using Stakeboat.Exchange.Debriefs;
using Stakeboat.Readers;
using Stakeboat.Readers.Sound;

namespace Stakeboat.Cli;

/// <summary>An outing as a verb gets it: read from a file or folder, with its plan and what was wrong.</summary>
internal sealed record OutingInput(Outing Outing, CompiledPlan? Plan, SoundOnsets? Onsets, IReadOnlyList<ReadingIssue> Issues)
{
    /// <exception cref="CliException">The path does not exist, or nothing in it can be used.</exception>
    public static OutingInput Read(string path)
    {
        if (!File.Exists(path) && !Directory.Exists(path))
        {
            throw CliException.NotFound(path);
        }

        var reading = OutingFolder.Read(path);
        if (reading.Value is not { } outing)
        {
            string why = string.Join(Environment.NewLine, reading.Issues.Select(i => i.ToString()));
            throw new CliException(ExitCode.Data, why.Length > 0 ? why
                : $"{path}: holds nothing that Stakeboat reads. Bring captions, a track, a motion log, a recording or a result sheet.");
        }

        var issues = reading.Issues.ToList();
        return new OutingInput(outing, PlanOf(path, issues), Listen(path, outing), issues);
    }

    public IReadOnlyList<IssuePart> IssueParts() =>
        [.. Issues.Select(i => new IssuePart(i.Severity.ToString().ToLowerInvariant(), i.File, i.Place, i.What, i.Done, i.Count))];

    /// <summary>The rhythm of the recording; null where there is none that can be decoded here (reading the folder has said so).</summary>
    private static SoundOnsets? Listen(string path, Outing outing)
    {
        if (outing.Sound is not { } sound)
        {
            return null;
        }

        string? file = File.Exists(path) ? path
            : Directory.EnumerateFiles(path, sound.FileName, new EnumerationOptions { RecurseSubdirectories = true, IgnoreInaccessible = true }).FirstOrDefault();
        if (file is null)
        {
            return null;
        }

        using var stream = File.OpenRead(file);
        return OnsetReader.Read(stream, sound.FileName).Value;
    }

    /// <summary>A plan lies beside the rest as plan.txt.</summary>
    private static CompiledPlan? PlanOf(string path, List<ReadingIssue> issues)
    {
        string file = Directory.Exists(path) ? Path.Combine(path, "plan.txt") : "";
        if (!File.Exists(file))
        {
            return null;
        }

        var result = PlanCompiler.Compile(File.ReadAllText(file));
        foreach (var issue in result.Issues)
        {
            issues.Add(new ReadingIssue(issue.Severity == PlanSeverity.Error ? Severity.Error : Severity.Note, "plan.txt",
                string.Create(System.Globalization.CultureInfo.InvariantCulture, $"line {issue.Line}"), issue.Sentence, ""));
        }

        return result.Plan;
    }

    public DebriefInput ToDebriefInput() => new(Outing) { Plan = Plan, Onsets = Onsets };
}
