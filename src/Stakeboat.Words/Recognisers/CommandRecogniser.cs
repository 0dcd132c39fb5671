using System.Diagnostics;
using System.Globalization;
using System.Text;
using Stakeboat.Core.Calls.Sounds;
using Stakeboat.Core.Measurement;
using Stakeboat.Readers;
using Stakeboat.Words.Language;
using Stakeboat.Words.Speech;

namespace Stakeboat.Words.Recognisers;

/// <summary>Any installed command that turns a WAV file into words.</summary>
public sealed class CommandRecogniser : IRecogniser, IDisposable
{
    /// <summary>A recogniser's own pronunciations where Debian puts them.</summary>
    private const string DebianDictionary = "/usr/share/pocketsphinx/model/en-us/cmudict-en-us.dict";

    private readonly CommandDescription _description;
    private readonly Func<string, string> _sounds;
    private readonly string _folder;
    private TalkModel? _written;

    /// <param name="sounds">Sounds of a word that the command's own dictionary lacks; null: from its letters.</param>
    public CommandRecogniser(CommandDescription description, Func<string, string>? sounds = null)
    {
        _description = description;
        _sounds = sounds ?? LetterToSound.Of;
        _folder = Directory.CreateTempSubdirectory("stakeboat-words-").FullName;
    }

    public string Name => _description.Name;

    public RecogniserState Check()
    {
        string program = _description.Arguments[0];
        return Find(program) is null
            ? new RecogniserState(false, _description.Name == CommandDescription.Pocketsphinx.Name
                ? $"The recogniser {program} is not installed. On Debian: apt-get install pocketsphinx pocketsphinx-en-us."
                : $"The recogniser's command {program} was not found. Install it, or correct its line in the settings.")
            : new RecogniserState(true, $"{_description.Name} is installed.");
    }

    public IReadOnlyList<RecognisedWord> Recognise(ReadOnlySpan<float> samples, RecogniserHints hints, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(hints);
        cancel.ThrowIfCancellationRequested();
        string wav = Path.Combine(_folder, "stretch.wav"), answer = Path.Combine(_folder, "answer");
        WavFile.Write(wav, samples, SpeechSound.Rate);
        File.Delete(answer);
        if (hints.Talk is { } talk && !ReferenceEquals(talk, _written))
        {
            WriteModel(talk);
        }

        IEnumerable<string> arguments = hints.Talk is null ? _description.Arguments : _description.Arguments.Concat(_description.ModelArguments);
        bool toFile = false;
        var filled = arguments.Select(a =>
        {
            toFile |= a.Contains("{out}", StringComparison.Ordinal);
            return a.Replace("{wav}", wav, StringComparison.Ordinal).Replace("{out}", answer, StringComparison.Ordinal)
                .Replace("{lm}", Path.Combine(_folder, "talk.lm"), StringComparison.Ordinal).Replace("{dict}", Path.Combine(_folder, "talk.dict"), StringComparison.Ordinal);
        }).ToList();
        string output = Run(filled, cancel);
        if (toFile)
        {
            output = File.Exists(answer) ? File.ReadAllText(answer) : throw new RecogniserException($"{Name} wrote no answer.");
        }

        return Parse(output);
    }

    /// <summary>Writes talk.lm and talk.dict into a folder, for this or any other recogniser that takes them.</summary>
    public static void WriteModel(TalkModel talk, string folder, Func<string, string> sounds)
    {
        ArgumentNullException.ThrowIfNull(talk);
        using (var lm = new StreamWriter(Path.Combine(folder, "talk.lm"), false, new UTF8Encoding(false)))
        {
            talk.Model.WriteArpa(lm);
        }

        using var dictionary = new StreamWriter(Path.Combine(folder, "talk.dict"), false, new UTF8Encoding(false));
        using var own = File.Exists(DebianDictionary) ? new StreamReader(DebianDictionary) : null;
        PronunciationTable.Write(talk.Words, own, sounds, dictionary);
    }

    public void Dispose()
    {
        try
        {
            Directory.Delete(_folder, recursive: true);
        }
        catch (IOException)
        {
            // A temporary folder that is in use goes with the machine's own clean-up.
        }
    }

    /// <summary>Words of an answer in the described form; lines that state no word with times are passed over.</summary>
    internal IReadOnlyList<RecognisedWord> Parse(string answer)
    {
        if (_description.Answer == "words")
        {
            return WordLines(answer);
        }

        string name = "answer." + _description.Answer;
        using var stream = new MemoryStream(Encoding.UTF8.GetBytes(answer));
        var outing = OutingFolder.Read("answer", [new OutingFile(name, () => new MemoryStream(stream.ToArray()))]);
        if (outing.Value?.Captions.FirstOrDefault() is not { } track)
        {
            return [];
        }

        var words = new List<RecognisedWord>();
        foreach (var cue in track.Cues)
        {
            if (cue.Words.Count > 0)
            {
                words.AddRange(cue.Words.Select(w => new RecognisedWord(w.Start.Seconds, w.End.Seconds, w.Text, w.Probability, w.Alternatives)));
                continue;
            }

            string[] texts = cue.Text.Split(' ', StringSplitOptions.RemoveEmptyEntries);
            double step = (cue.End.Seconds - cue.Start.Seconds) / Math.Max(1, texts.Length);
            words.AddRange(texts.Select((t, i) => new RecognisedWord(cue.Start.Seconds + i * step, cue.Start.Seconds + (i + 1) * step, t, null)));
        }

        return words;
    }

    private static List<RecognisedWord> WordLines(string answer)
    {
        var words = new List<RecognisedWord>();
        foreach (string line in answer.Split('\n'))
        {
            string[] f = line.Split(' ', StringSplitOptions.RemoveEmptyEntries);
            if (f.Length == 4 && Number(f[1]) is { } start && Number(f[2]) is { } end && Number(f[3]) is { } p && end >= start)
            {
                // "<sil>", "[NOISE]", "<s>" are no words; "two(2)" is a second way to say "two".
                string text = f[0];
                int bracket = text.IndexOf('(', StringComparison.Ordinal);
                text = bracket > 0 ? text[..bracket] : text;
                if (text[0] is not ('<' or '[' or '+'))
                {
                    words.Add(new RecognisedWord(start, end, text, Math.Clamp(p, 0, 1)));
                }
            }
        }

        return words;
    }

    private static double? Number(string s) => double.TryParse(s, NumberStyles.Float, CultureInfo.InvariantCulture, out double v) && double.IsFinite(v) ? v : null;

    private void WriteModel(TalkModel talk)
    {
        WriteModel(talk, _folder, _sounds);
        _written = talk;
    }

    private string Run(List<string> arguments, CancellationToken cancel)
    {
        var start = new ProcessStartInfo(arguments[0]) { RedirectStandardOutput = true, RedirectStandardError = true, UseShellExecute = false };
        foreach (string a in arguments.Skip(1))
        {
            start.ArgumentList.Add(a);
        }

        try
        {
            using var process = Process.Start(start) ?? throw new RecogniserException($"{Name} could not be started.");
            using var kill = cancel.Register(() =>
            {
                try
                {
                    process.Kill(entireProcessTree: true);
                }
                catch (InvalidOperationException)
                {
                    // It had just ended.
                }
            });
            var error = process.StandardError.ReadToEndAsync(CancellationToken.None);
            string output = process.StandardOutput.ReadToEnd();
            process.WaitForExit();
            cancel.ThrowIfCancellationRequested();
            if (process.ExitCode != 0)
            {
                string last = error.Result.Split('\n', StringSplitOptions.RemoveEmptyEntries).LastOrDefault() ?? "it said nothing";
                throw new RecogniserException(string.Create(CultureInfo.InvariantCulture, $"{Name} ended with code {process.ExitCode}: {last.Trim()}"));
            }

            return output;
        }
        catch (System.ComponentModel.Win32Exception e)
        {
            throw new RecogniserException(Check() is { Ready: false } missing ? missing.Sentence : $"{Name} could not be started: {e.Message}", e);
        }
    }

    private static string? Find(string program)
    {
        if (program.Contains('/', StringComparison.Ordinal))
        {
            return File.Exists(program) ? program : null;
        }

        return (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator, StringSplitOptions.RemoveEmptyEntries)
            .Select(d => Path.Combine(d, program)).FirstOrDefault(File.Exists);
    }
}
