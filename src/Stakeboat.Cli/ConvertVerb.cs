using System.CommandLine;
using System.Globalization;
using System.Text;
using Stakeboat.Exchange;
using Stakeboat.Exchange.Sheets;
using Stakeboat.Exchange.Tracks;
using Stakeboat.Readers;

namespace Stakeboat.Cli;

/// <summary><c>stakeboat convert FILE -o OUT</c>: to GPX, CSV, GeoJSON or WebVTT by the extension of OUT.</summary>
internal static class ConvertVerb
{
    public static Command Create()
    {
        var path = new Argument<string>("FILE") { Description = "A file of any kind that is read." };
        var into = new Option<string>("--output", "-o") { Description = "File to write: .gpx, .csv, .geojson or .vtt.", HelpName = "OUT", Required = true };
        var take = TakenAs.Option();
        var verb = new Command("convert", """
            Writes what a file holds in an open format: every fix, sample or cue of it, none invented; what the format cannot hold is said.
            Example: stakeboat convert watch.fit -o watch.gpx
            """) { path, into, take };
        verb.SetAction(parsed => Run(parsed.GetValue(path)!, parsed.GetValue(into)!, parsed.GetValue(take), parsed.InvocationConfiguration.Output, parsed.InvocationConfiguration.Error));
        return verb;
    }

    private static int Run(string path, string into, string[]? take, TextWriter output, TextWriter error)
    {
        string extension = Path.GetExtension(into).ToLowerInvariant();
        if (extension is not (".gpx" or ".csv" or ".geojson" or ".vtt"))
        {
            throw new CliException(ExitCode.Usage, $"{into}: the name must end in .gpx, .csv, .geojson or .vtt.");
        }

        if (Directory.Exists(path))
        {
            throw new CliException(ExitCode.Usage, $"{path}: this is a folder. Give one file of it, or a zip archive.");
        }

        if (!File.Exists(path))
        {
            throw CliException.NotFound(path);
        }

        if (Path.GetFullPath(path) == Path.GetFullPath(into))
        {
            throw new CliException(ExitCode.Usage, $"{into}: this would overwrite the file that is read. Give another name.");
        }

        var reading = InspectVerb.Open(path, take);
        foreach (var i in reading.Issues.Where(i => i.Severity != Severity.Note))
        {
            error.WriteLine(i.ToString());
        }

        if (reading.Value is not { } contents)
        {
            throw new CliException(ExitCode.Data, $"{path}: nothing could be read, so nothing was written.");
        }

        var all = contents.Flatten().ToList();
        string? what = Save(all, extension, into);
        if (what is null)
        {
            throw new CliException(ExitCode.Data, $"{path}: {FileSummary.Of(contents).Kind}: nothing in it that a {extension} file can hold. {Remedy(all)}".TrimEnd());
        }

        output.WriteLine($"{into}: {what}");
        foreach (string left in Left(all, extension))
        {
            output.WriteLine($"  left out: {left}");
        }

        return ExitCode.Done;
    }

    // Beside its place first, so that a full disk or a stop half-way leaves what was there before.
    private static string? Save(List<FileContents> all, string extension, string into)
    {
        string beside = into + ".part";
        try
        {
            string? what;
            using (var body = new FileStream(beside, FileMode.Create, FileAccess.Write, FileShare.None, 1 << 16))
            {
                what = Write(all, extension, body);
            }

            if (what is null)
            {
                File.Delete(beside);
                return null;
            }

            File.Move(beside, into, overwrite: true);
            return what;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw CliException.CannotWrite(into, e.Message.Replace(".part", "", StringComparison.Ordinal));
        }
    }

    private static string? Write(List<FileContents> all, string extension, Stream to)
    {
        var tracks = all.SelectMany(f => f.Tracks).ToList();
        var places = all.SelectMany(f => f.Places).ToList();
        var lines = all.SelectMany(f => f.Lines).ToList();
        var captions = all.Select(f => f.Captions).FirstOrDefault(c => c is not null);
        int fixes = tracks.Sum(t => t.Fixes.Count);
        string drawn = string.Join(", ", new[] { Count(fixes, "fix", "fixes"), Count(places.Count, "place", "places"), Count(lines.Count, "line", "lines") }.Where(c => c.Length > 0));
        using var text = new StreamWriter(to, new UTF8Encoding(false), 1 << 16, leaveOpen: true) { NewLine = "\n" };
        switch (extension)
        {
            case ".gpx" when fixes + places.Count + lines.Count > 0:
                TrackWriter.Gpx(to, tracks, places, lines);
                return drawn;
            case ".geojson" when fixes + places.Count + lines.Count > 0:
                TrackWriter.GeoJson(to, tracks, places, lines);
                return drawn;
            case ".vtt" when captions is not null:
                text.Write(CaptionText.WebVtt(captions));
                return Count(captions.Cues.Count, "cue", "cues");
            case ".csv" when fixes > 0:
                TrackWriter.Csv(to, tracks);
                return Count(fixes, "fix", "fixes");
            case ".csv" when all.SelectMany(f => f.Motions).FirstOrDefault() is { } motion:
                MotionWriter.Csv(to, motion);
                return Count(motion.Count, "sample", "samples");
            case ".csv" when captions is not null:
                text.Write(CaptionText.Csv(captions));
                return Count(captions.Cues.Count, "cue", "cues");
            case ".csv" when all.Select(f => f.Result).FirstOrDefault(r => r is not null) is { } result:
                ResultWriter.Csv(text, result);
                return Count(result.Rows.Count, "crew", "crews");
            default:
                return null;
        }
    }

    private static string Count(int n, string one, string many) => n == 0 ? "" : string.Create(CultureInfo.InvariantCulture, $"{n} {(n == 1 ? one : many)}");

    // What was read and is not in the file that was written.
    private static IEnumerable<string> Left(List<FileContents> all, string extension)
    {
        bool tracks = all.Exists(f => f.Tracks.Count > 0);
        int motions = all.Sum(f => f.Motions.Count), captions = all.Count(f => f.Captions is not null), results = all.Count(f => f.Result is not null);
        int places = all.Sum(f => f.Places.Count + f.Lines.Count), laps = all.Sum(f => f.Laps.Count);
        bool motionWritten = extension == ".csv" && !tracks && motions > 0;
        if (motions - (motionWritten ? 1 : 0) is > 0 and int m)
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"{m} motion log{(m == 1 ? "" : "s")} (.csv of a file without positions holds one)");
        }

        bool captionsWritten = captions > 0 && (extension == ".vtt" || (extension == ".csv" && !tracks && motions == 0));
        if (captions - (captionsWritten ? 1 : 0) is > 0 and int c)
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"{c} set{(c == 1 ? "" : "s")} of captions (.vtt holds one)");
        }

        if (tracks && extension == ".vtt")
        {
            yield return "the track (.gpx, .csv and .geojson hold it)";
        }

        if (places > 0 && extension is ".csv" or ".vtt")
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"{places} named place{(places == 1 ? "" : "s")} or line{(places == 1 ? "" : "s")} (.gpx and .geojson hold them)");
        }

        if (laps > 0)
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"{laps} lap{(laps == 1 ? "" : "s")}");
        }

        if (results > 0 && (extension != ".csv" || tracks || motions > 0 || captions > 0))
        {
            yield return "the result sheet (.csv holds it)";
        }

        if (extension == ".geojson" && tracks)
        {
            yield return "speed, course, HDOP, heart rate and cadence (.csv holds them)";
        }
        else if (extension == ".gpx" && all.SelectMany(f => f.Tracks).SelectMany(t => t.Fixes).Any(f => f.AccuracyMetres is not null))
        {
            yield return "the accuracy that the device claimed (.csv holds it)";
        }
    }

    private static string Remedy(List<FileContents> all) =>
        all.Exists(f => f.Captions is not null) ? "Use .vtt or .csv."
        : all.Exists(f => f.Tracks.Count > 0) ? "Use .gpx, .geojson or .csv."
        : all.Exists(f => f.Motions.Count > 0 || f.Result is not null) ? "Use .csv."
        : all.Exists(f => f.Sound is not null) ? "To turn sound into captions: stakeboat words." : "";
}
