using System.CommandLine;
using Stakeboat.Core.Debrief;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Cli;

/// <summary><c>stakeboat debrief PATH</c>: planned, called and rowed, joined.</summary>
internal static class DebriefVerb
{
    public static Command Create()
    {
        var path = new Argument<string>("PATH") { Description = "Folder of an outing, or one file of it." };
        var json = new Option<bool>("--json") { Description = "The whole document as JSON." };
        var csv = new Option<string?>("--csv") { Description = "Write every table as CSV into this folder.", HelpName = "FOLDER" };
        var html = new Option<string?>("--html") { Description = "Write a page that stands by itself, for a phone.", HelpName = "FILE" };
        var pdf = new Option<string?>("--pdf") { Description = "Write the two-page report.", HelpName = "FILE" };
        var verb = new Command("debrief", """
            What was planned, called and rowed, on one time line, and what follows for the next race.
            Example: stakeboat debrief data/demo
            """) { path, json, csv, html, pdf };
        verb.SetAction((parsed, cancel) => Task.FromResult(Run(parsed.GetValue(path)!, parsed.GetValue(json), new DebriefFiles(parsed.GetValue(csv), parsed.GetValue(html), parsed.GetValue(pdf)),
            parsed.InvocationConfiguration.Output, parsed.InvocationConfiguration.Error, cancel)));
        return verb;
    }

    /// <summary>Makes the document of a path; shared with the verbs that show a part of it.</summary>
    public static DebriefDocument Document(string path, TextWriter error, CancellationToken cancel)
    {
        var input = OutingInput.Read(path);
        bool terminal = ReferenceEquals(error, Console.Error) && !Console.IsErrorRedirected;
        var made = RaceDebrief.Make(input.ToDebriefInput(), stage => Progress(error, terminal, stage), cancel);
        if (terminal)
        {
            error.Write("\r                                \r");
        }

        return DebriefWriter.Write(made, input.IssueParts(), Version);
    }

    internal static string Version { get; } = typeof(DebriefVerb).Assembly.GetName().Version?.ToString(3) ?? "0";

    private static int Run(string path, bool json, DebriefFiles files, TextWriter output, TextWriter error, CancellationToken cancel)
    {
        var document = Document(path, error, cancel);
        files.Write(document, output);
        if (json)
        {
            output.WriteLine(System.Text.Encoding.UTF8.GetString(DebriefJson.Write(document)));
        }
        else if (!files.Any)
        {
            DebriefText.Write(document, output);
        }

        return ExitCode.Done;
    }

    private static void Progress(TextWriter error, bool terminal, DebriefStage stage)
    {
        if (terminal)
        {
            error.Write($"\r{stage switch
            {
                DebriefStage.Sensors => "reading the sensors",
                DebriefStage.Calls => "hearing the calls",
                DebriefStage.Clocks => "joining the clocks",
                DebriefStage.Margins => "working out margins",
                _ => "drawing findings",
            }} …          ");
        }
    }
}
