using System.CommandLine;
using System.Globalization;
using System.Text;
using System.Text.Json;
using Stakeboat.Readers;

namespace Stakeboat.Cli;

/// <summary><c>stakeboat inspect FILE...</c>: what a file is, its span, rates, gaps, clock and what was wrong with it.</summary>
internal static class InspectVerb
{
    public static Command Create()
    {
        var paths = new Argument<string[]>("FILE") { Description = "Files, or the folder of an outing.", Arity = ArgumentArity.OneOrMore };
        var take = TakenAs.Option();
        var json = new Option<bool>("--json") { Description = "For machines: one array with an object a file." };
        var verb = new Command("inspect", """
            Tells what a file is, by its content: span, rates, gaps, clock, and what was wrong with it.
            Example: stakeboat inspect race-folder watch.fit
            """) { paths, take, json };
        verb.SetAction(parsed => Run(parsed.GetValue(paths)!, parsed.GetValue(take), parsed.GetValue(json), parsed.InvocationConfiguration.Output, parsed.InvocationConfiguration.Error));
        return verb;
    }

    private static int Run(string[] paths, string[]? take, bool json, TextWriter output, TextWriter error)
    {
        if (paths.FirstOrDefault(p => p.StartsWith("--", StringComparison.Ordinal)) is { } option)
        {
            throw new CliException(ExitCode.Usage, $"{option}: inspect has no such option. Try: stakeboat inspect --help");
        }

        using var buffer = new MemoryStream();
        using var machine = new Utf8JsonWriter(buffer, new JsonWriterOptions { Indented = true });
        machine.WriteStartArray();
        int read = 0, missing = 0;
        foreach (string path in paths)
        {
            foreach (string file in Files(path, error, ref missing))
            {
                var reading = Open(file, take);
                read += reading.Usable ? 1 : 0;
                if (json)
                {
                    Json(machine, file, reading);
                }
                else
                {
                    Text(output, file, reading);
                }
            }
        }

        machine.WriteEndArray();
        machine.Flush();
        if (json)
        {
            output.WriteLine(Encoding.UTF8.GetString(buffer.ToArray()));
        }

        return missing > 0 ? ExitCode.NotFound : read > 0 ? ExitCode.Done : ExitCode.Data;
    }

    private static List<string> Files(string path, TextWriter error, ref int missing)
    {
        if (File.Exists(path))
        {
            return [path];
        }

        if (!Directory.Exists(path))
        {
            missing++;
            error.WriteLine(CliException.NotFound(path).Message);
            return [];
        }

        var files = Directory.EnumerateFiles(path).Where(f => !Path.GetFileName(f).StartsWith('.')).Order(StringComparer.Ordinal).Take(OutingFolder.MostFiles).ToList();
        if (files.Count == 0)
        {
            error.WriteLine($"{path}: The folder is empty. Put captions or a recording, a track or a motion log into it.");
        }

        return files;
    }

    internal static Reading<FileContents> Open(string file, string[]? take = null)
    {
        var (log, rollOvers) = TakenAs.Read(take);
        try
        {
            using var stream = new FileStream(file, FileMode.Open, FileAccess.Read, FileShare.ReadWrite, 1 << 16, FileOptions.SequentialScan);
            return FileDoor.Open(stream, Path.GetFileName(file), log, rollOvers);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return new Reading<FileContents>(null, [new ReadingIssue(Severity.Error, Path.GetFileName(file), "", $"The file cannot be opened: {e.Message}", "Check that it is readable and try again.")]);
        }
    }

    private static void Text(TextWriter output, string file, Reading<FileContents> reading)
    {
        output.WriteLine(reading.Value is { } v ? $"{file}: {FileSummary.Of(v).Kind}" : $"{file}: cannot be used");
        foreach (var part in reading.Value?.Flatten() ?? [])
        {
            if (!ReferenceEquals(part, reading.Value))
            {
                output.WriteLine($"  {part.Name}: {FileSummary.Of(part).Kind}");
            }

            foreach (var s in FileSummary.Of(part).Series)
            {
                output.WriteLine("  " + Line(s));
            }

            More(output, part);
        }

        foreach (var i in reading.Issues)
        {
            output.WriteLine($"  {i.Severity.ToString().ToLowerInvariant()}: {i}");
        }
    }

    private static string Line(SeriesSummary s)
    {
        var b = new StringBuilder();
        string unit = s.What switch { "track" => "fix", "motion" => "sample", "words" => "word", "captions" => "cue", _ => "" };
        unit += unit.Length == 0 || s.Count == 1 ? "" : unit == "fix" ? "es" : "s";
        b.Append(s.What);
        if (unit.Length > 0)
        {
            b.Append(CultureInfo.InvariantCulture, $": {s.Count} {unit}");
        }

        if (s.Seconds is { } d)
        {
            b.Append(CultureInfo.InvariantCulture, $", {Span(d)}");
        }

        if (s.PerSecond is { } r)
        {
            b.Append(string.Create(CultureInfo.InvariantCulture, $", {(r >= 0.1 ? r : 1 / r):0.##}")).Append(r >= 0.1 ? " a second" : " s apart");
        }

        if (s.What is "track" or "motion")
        {
            b.Append(s.Gaps == 0 ? ", no gaps" : string.Create(CultureInfo.InvariantCulture, $", {s.Gaps} gap{(s.Gaps == 1 ? "" : "s")}, the longest {s.LongestGap:0.#} s"));
        }

        if (s.Start is { } a && s.End is { } e)
        {
            b.Append(s.Clock == "satellite" && a > 86400 * 366
                ? $"; satellite clock, {Moment(a)} to {Moment(e)}"
                : string.Create(CultureInfo.InvariantCulture, $"; {s.Clock} clock, {a:0.##} to {e:0.##} s"));
        }
        else
        {
            b.Append("; no clock");
        }

        return b.ToString();
    }

    private static string Moment(double unix) => DateTime.UnixEpoch.AddSeconds(unix).ToString("yyyy-MM-dd HH:mm:ss", CultureInfo.InvariantCulture) + " UTC";

    private static string Span(double seconds) => seconds < 60
        ? string.Create(CultureInfo.InvariantCulture, $"{seconds:0.##} s")
        : string.Create(CultureInfo.InvariantCulture, $"{(int)(seconds / 60)} min {seconds % 60:0} s");

    private static void More(TextWriter output, FileContents f)
    {
        if (f.Sheet is { } s)
        {
            output.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"  {s.Us.Name}, {s.Us.Boat.Code}{(s.Distance is { } d ? $", {d.Metres:0} m" : "")}; {(s.Rivals.Count == 0 ? "no rivals named" : "against " + string.Join(", ", s.Rivals))}"));
        }

        if (f.Result is { } r)
        {
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {r.Rows.Count} crews{(r.Distance is { } d ? $", {d.Metres:0} m" : "")}: {string.Join(", ", r.Rows.Select(x => x.Crew))}"));
        }

        if (f.Places.Count > 0 || f.Lines.Count > 0)
        {
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {f.Places.Count} named place{(f.Places.Count == 1 ? "" : "s")}, {f.Lines.Count} line{(f.Lines.Count == 1 ? "" : "s")}"));
        }

        if (f.Laps.Count > 0)
        {
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {f.Laps.Count} lap{(f.Laps.Count == 1 ? "" : "s")}{(f.Sessions.Count == 0 ? "" : f.Sessions.Count == 1 ? " in one session" : $" in {f.Sessions.Count} sessions")}"));
        }
    }

    private static void Json(Utf8JsonWriter w, string file, Reading<FileContents> reading)
    {
        w.WriteStartObject();
        w.WriteString("file", file);
        w.WriteString("kind", reading.Value is { } v ? FileSummary.Of(v).Kind : null);
        w.WriteStartArray("series");
        foreach (var s in (reading.Value?.Flatten() ?? []).SelectMany(p => FileSummary.Of(p).Series))
        {
            w.WriteStartObject();
            w.WriteString("what", s.What);
            w.WriteString("name", s.Name);
            w.WriteNumber("count", s.Count);
            Number(w, "start", s.Start);
            Number(w, "end", s.End);
            Number(w, "perSecond", s.PerSecond);
            w.WriteNumber("gaps", s.Gaps);
            w.WriteNumber("longestGap", s.LongestGap);
            w.WriteString("clock", s.Clock);
            w.WriteEndObject();
        }

        w.WriteEndArray();
        w.WriteStartArray("issues");
        foreach (var i in reading.Issues)
        {
            w.WriteStartObject();
            w.WriteString("severity", i.Severity.ToString().ToLowerInvariant());
            w.WriteString("file", i.File);
            w.WriteString("place", i.Place);
            w.WriteString("what", i.What);
            w.WriteString("done", i.Done);
            w.WriteNumber("count", i.Count);
            w.WriteEndObject();
        }

        w.WriteEndArray();
        w.WriteEndObject();
    }

    private static void Number(Utf8JsonWriter w, string name, double? v)
    {
        if (v is { } d && double.IsFinite(d))
        {
            w.WriteNumber(name, d);
        }
        else
        {
            w.WriteNull(name);
        }
    }
}
