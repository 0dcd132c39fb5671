using System.CommandLine;
using Stakeboat.Core.Calls;
using Stakeboat.Core.Measurement;
using Stakeboat.Exchange;
using Stakeboat.Readers;
using Stakeboat.Words;
using Stakeboat.Words.Language;
using Stakeboat.Words.Recognisers;

namespace Stakeboat.Cli;

/// <summary><c>stakeboat words RECORDING -o OUT.vtt</c>: captions from sound, on this machine.</summary>
internal static class WordsVerb
{
    public static Command Create()
    {
        var recording = new Argument<string>("RECORDING") { Description = "A sound file, or the folder of an outing with one." };
        var output = new Option<string>("--output", "-o") { Description = "Captions to write: .vtt, or .json with a time and probability for each word.", HelpName = "OUT" };
        var recogniser = new Option<string>("--recogniser") { Description = "embedded, pocketsphinx, a name from recognisers.txt beside the models folder, or a description: name | command line | answer. Without it, whichever is ready.", HelpName = "WHICH" };
        var models = new Option<string>("--models") { Description = "Folder of the embedded recogniser's model file.", HelpName = "FOLDER", DefaultValueFactory = _ => DefaultModels };
        var general = new Option<bool>("--general") { Description = "The recogniser's own language model instead of the one made for a coxswain's talk." };
        var leave = new Option<string[]>("--leave-out") { Description = "Leave a labelled race's lines out of the language model, for measuring.", HelpName = "NAME" };
        var model = new Option<string>("--write-model") { Description = "Also write talk.lm (ARPA n-grams) and talk.dict (pronunciations) for other recognisers.", HelpName = "FOLDER" };
        var verb = new Command("words", """
            Turns a recording into captions on this machine; nothing leaves it.
            Example: stakeboat words race.m4a -o race.vtt
            Cancelled or killed, the same command goes on where it stopped.
            """) { recording, output, recogniser, models, general, leave, model };
        verb.SetAction((parsed, cancel) => Task.FromResult(Run(
            parsed.GetValue(recording)!, parsed.GetValue(output), parsed.GetValue(recogniser), parsed.GetValue(models)!, parsed.GetValue(general),
            parsed.GetValue(leave) ?? [], parsed.GetValue(model), parsed.InvocationConfiguration.Output, parsed.InvocationConfiguration.Error, cancel)));
        return verb;
    }

    private static string DefaultModels => Path.Combine(
        Environment.GetFolderPath(Environment.SpecialFolder.LocalApplicationData, Environment.SpecialFolderOption.DoNotVerify), "stakeboat", "models");

    private static int Run(string path, string? into, string? which, string models, bool general, string[] leave, string? modelFolder,
        TextWriter output, TextWriter error, CancellationToken cancel)
    {
        string sound = SoundFile(path);
        string extension = Path.GetExtension(into ?? "").ToLowerInvariant();
        if (into is not null && extension is not (".vtt" or ".json"))
        {
            throw new CliException(ExitCode.Usage, $"{into}: captions are written as .vtt or .json.");
        }

        var sheet = Sheet(path, sound);
        var talk = general && modelFolder is null ? null : TalkModel.For(sheet, leave.Length > 0 ? leave.ToHashSet(StringComparer.Ordinal) : null);
        if (modelFolder is not null)
        {
            Directory.CreateDirectory(modelFolder);
            CommandRecogniser.WriteModel(talk!, modelFolder, CallModels.Default.Sounds.Of);
            output.WriteLine(Path.Combine(modelFolder, "talk.lm"));
            output.WriteLine(Path.Combine(modelFolder, "talk.dict"));
        }

        if (into is null)
        {
            return modelFolder is not null ? ExitCode.Done : throw new CliException(ExitCode.Usage, "Say where the captions go: -o OUT.vtt");
        }

        var chosen = Choose(which, models);
        try
        {
            var job = new WordsJob(() => File.OpenRead(sound), Path.GetFileName(sound), chosen, new RecogniserHints(general ? null : talk, Prompt.For(sheet)), into + ".part");
            bool terminal = ReferenceEquals(error, Console.Error) && !Console.IsErrorRedirected;
            var result = job.Run(p => Show(error, terminal, p), cancel);
            if (result.Words.Count == 0)
            {
                File.Delete(into + ".part");
                throw new CliException(ExitCode.Data, result.Sentence);
            }

            var track = WordsJob.ToCaptions(Path.GetFileName(into), result.Words);
            File.WriteAllText(into, extension == ".vtt" ? CaptionText.WebVtt(track) : CaptionText.WordJson(track));
            File.Delete(into + ".part");
            output.WriteLine(FormattableString.Invariant($"{into}: {result.Words.Count} words from {result.SpeechSeconds:0} s of speech in {result.Seconds:0} s, by {chosen.Name}"));
            if (result.Sentence.Length > 0)
            {
                output.WriteLine(result.Sentence);
            }

            return ExitCode.Done;
        }
        catch (RecogniserException e)
        {
            throw new CliException(ExitCode.Data, e.Message);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw CliException.CannotWrite(into, e.Message);
        }
        finally
        {
            (chosen as IDisposable)?.Dispose();
        }
    }

    private static void Show(TextWriter error, bool terminal, WordsProgress p)
    {
        if (terminal)
        {
            error.Write(FormattableString.Invariant($"\r{100 * p.Done,3:0} %  {p.Stage}  {string.Join(' ', p.Newest.Take(8).Select(w => w.Text))}").PadRight(78)[..78]);
        }
    }

    private static IRecogniser Choose(string? which, string models)
    {
        try
        {
            return new RecogniserChoices(models, Path.Combine(Path.GetDirectoryName(Path.GetFullPath(models))!, RecogniserChoices.SettingsFile), CallModels.Default.Sounds.Of).Open(which);
        }
        catch (RecogniserException e)
        {
            throw new CliException(which is null ? ExitCode.Data : ExitCode.Usage, e.Message);
        }
    }

    private static string SoundFile(string path)
    {
        if (File.Exists(path))
        {
            return path;
        }

        if (!Directory.Exists(path))
        {
            throw CliException.NotFound(path);
        }

        var name = OutingFolder.Read(path).Value?.Sound?.FileName;
        return name is not null && File.Exists(Path.Combine(path, name)) ? Path.Combine(path, name)
            : throw new CliException(ExitCode.Data, $"{path}: there is no recording in it.");
    }

    private static RaceSheet? Sheet(string path, string sound)
    {
        string folder = Directory.Exists(path) ? path : Path.GetDirectoryName(Path.GetFullPath(sound))!;
        string sheet = Path.Combine(folder, "race.json");
        return File.Exists(sheet) ? OutingFolder.Read([sheet]).Value?.Sheet : null;
    }
}
