using Stakeboat.Core.Measurement;

namespace Stakeboat.Readers;

/// <summary>A file that was brought: its name, and how to read it (possibly more than once).</summary>
public sealed record OutingFile(string Name, Func<Stream> Open);

/// <summary>Everything of one race or outing, out of a folder or a handful of files.</summary>
public static class OutingFolder
{
    /// <summary>Files of a folder that are read elsewhere (the plan) or only made the recording of a simulated race.</summary>
    private static readonly HashSet<string> Elsewhere = new(["plan.txt", "lines.tsv", "make.sh"], StringComparer.OrdinalIgnoreCase);

    /// <summary>Files looked at in one folder; a race has a dozen.</summary>
    public const int MostFiles = 500;

    /// <summary>Reads a folder, or a single file.</summary>
    public static Reading<Outing> Read(string path)
    {
        ArgumentNullException.ThrowIfNull(path);
        return File.Exists(path) ? Read([path]) : Directory.Exists(path) ? ReadFolder(path) : Missing(path);
    }

    /// <summary>Reads files that belong together.</summary>
    public static Reading<Outing> Read(IReadOnlyList<string> paths)
    {
        ArgumentNullException.ThrowIfNull(paths);
        if (paths.Count == 1 && !File.Exists(paths[0]))
        {
            return Read(paths[0]);
        }

        var files = new List<OutingFile>();
        var issues = new List<ReadingIssue>();
        foreach (string p in paths)
        {
            if (File.Exists(p))
            {
                files.Add(new OutingFile(Path.GetFileName(p), () => OpenFile(p)));
            }
            else if (Directory.Exists(p))
            {
                files.AddRange(FilesOf(p, issues));
            }
            else
            {
                issues.AddRange(Missing(p).Issues);
            }
        }

        string name = paths.Count > 0 ? Path.GetFileNameWithoutExtension(paths[0]) : "outing";
        return Read(name, files, issues);
    }

    /// <summary>Reads files from anywhere: a drop on a page, a store.</summary>
    public static Reading<Outing> Read(string name, IReadOnlyList<OutingFile> files) => Read(name, files, []);

    private static Reading<Outing> Read(string name, IReadOnlyList<OutingFile> files, List<ReadingIssue> issues)
    {
        ArgumentNullException.ThrowIfNull(files);
        var found = new List<FileContents>();
        foreach (var f in files)
        {
            try
            {
                using var stream = f.Open();
                var reading = FileDoor.Open(stream, f.Name);
                issues.AddRange(reading.Issues);
                if (reading.Value is { } v)
                {
                    found.AddRange(v.Flatten());
                }
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                issues.Add(new ReadingIssue(Severity.Error, f.Name, "", $"The file cannot be opened: {e.Message}", "Check that it is readable and try again."));
            }
        }

        found = Motion.TurningLog.Join(found, issues.Add);
        var outing = Assemble(name, found, issues);
        bool any = outing.Sheet is not null || outing.Captions.Count > 0 || outing.Tracks.Count > 0 || outing.Motions.Count > 0 || outing.Result is not null || outing.Sound is not null;
        if (!any)
        {
            issues.Add(new ReadingIssue(Severity.Error, name, "", files.Count == 0 ? "The folder is empty." : "None of the files holds anything of an outing.",
                "Put captions or a recording, a track or a motion log into it; race.json says who rowed where."));
            return new Reading<Outing>(null, issues);
        }

        return new Reading<Outing>(outing, issues);
    }

    private static Outing Assemble(string name, List<FileContents> found, List<ReadingIssue> issues)
    {
        var captions = found.Select(f => f.Captions).OfType<CaptionTrack>()
            .OrderBy(c => IsRecognisers(c.Name) ? 3 : c.Timing switch { CaptionTiming.Words => 0, CaptionTiming.Cues => 1, _ => 2 })
            .ThenBy(c => c.Name, StringComparer.Ordinal).ToList();
        return new Outing(
            name, One(found, f => f.Sheet, "race sheet", issues), captions, [.. found.SelectMany(f => f.Tracks)], [.. found.SelectMany(f => f.Motions)],
            One(found, f => f.Result, "result sheet", issues), One(found, f => f.Sound, "recording", issues));
    }

    // A file that says of itself that a machine heard it; the better captions of the same speech come first.
    private static bool IsRecognisers(string name) => name.Contains("recogni", StringComparison.OrdinalIgnoreCase);

    private static T? One<T>(List<FileContents> found, Func<FileContents, T?> part, string word, List<ReadingIssue> issues)
        where T : class
    {
        T? first = null;
        foreach (var f in found)
        {
            if (part(f) is not { } v)
            {
                continue;
            }

            if (first is not null)
            {
                issues.Add(new ReadingIssue(Severity.Warning, f.Name, "", $"This is a second {word}.", "The first was used; take one of them away."));
            }

            first ??= v;
        }

        return first;
    }

    private static Reading<Outing> ReadFolder(string path)
    {
        var issues = new List<ReadingIssue>();
        var files = FilesOf(path, issues);
        return Read(new DirectoryInfo(path).Name, files, issues);
    }

    private static List<OutingFile> FilesOf(string path, List<ReadingIssue> issues)
    {
        var files = new List<OutingFile>();
        try
        {
            foreach (string f in Directory.EnumerateFiles(path).Order(StringComparer.Ordinal))
            {
                string name = Path.GetFileName(f);
                // A plan lies beside the rest and is read by those who plan.
                if (name.StartsWith('.') || Elsewhere.Contains(name))
                {
                    continue;
                }

                if (files.Count == MostFiles)
                {
                    issues.Add(new ReadingIssue(Severity.Warning, path, "", "The folder holds more than 500 files.", "The first 500 by name were read. Give the folder of one outing."));
                    break;
                }

                files.Add(new OutingFile(name, () => OpenFile(f)));
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            issues.Add(new ReadingIssue(Severity.Error, path, "", $"The folder cannot be listed: {e.Message}", "Check that it is readable."));
        }

        return files;
    }

    private static FileStream OpenFile(string path) => new(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite, 1 << 16, FileOptions.SequentialScan);

    private static Reading<Outing> Missing(string path) => new(null, [new ReadingIssue(Severity.Error, path, "", "There is no such file or folder.", "Check the spelling, or give the full path.")]);
}
