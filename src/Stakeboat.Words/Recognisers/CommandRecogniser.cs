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

    public RecogniserState Check() => CheckOf(_description);

    /// <summary>Whether a described command is installed.</summary>
    public static RecogniserState CheckOf(CommandDescription description)
    {
        ArgumentNullException.ThrowIfNull(description);
        string program = description.Arguments[0];
        return Find(program) is null
            ? new RecogniserState(false, description.Name == CommandDescription.Pocketsphinx.Name
                ? $"The recogniser {program} is not installed. On Debian: apt-get install pocketsphinx pocketsphinx-en-us."
                : $"The recogniser's command {program} was not found. Install it, or correct its line in the settings.")
            : new RecogniserState(true, $"{description.Name} is installed.");
    }

    public double SecondsAtOnce => _description.TakesMany ? 60 : 0;

    public IReadOnlyList<RecognisedWord> Recognise(ReadOnlySpan<float> samples, RecogniserHints hints, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(hints);
        if (_description.TakesMany)
        {
            return RecogniseAll([new ReadOnlyMemory<float>(samples.ToArray())], hints, cancel)[0];
        }

        cancel.ThrowIfCancellationRequested();
        string wav = Path.Combine(_folder, "stretch.wav");
        WavFile.Write(wav, samples, SpeechSound.Rate);
        return Parse(Answer(wav, "", hints, cancel));
    }

    public IReadOnlyList<IReadOnlyList<RecognisedWord>> RecogniseAll(IReadOnlyList<ReadOnlyMemory<float>> stretches, RecogniserHints hints, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(stretches);
        ArgumentNullException.ThrowIfNull(hints);
        cancel.ThrowIfCancellationRequested();
        if (!_description.TakesMany)
        {
            return [.. stretches.Select(s => Recognise(s.Span, hints, cancel))];
        }

        string list = Path.Combine(_folder, "list");
        string[] names = [.. stretches.Select((_, i) => string.Create(CultureInfo.InvariantCulture, $"s{i:000}"))];
        File.WriteAllText(list, string.Join('\n', names) + "\n");
        for (int i = 0; i < names.Length; i++)
        {
            WavFile.Write(Sound(names[i], ".wav"), stretches[i].Span, SpeechSound.Rate);
        }

        try
        {
            var words = ParseCtm(Answer("", list, hints, cancel));
            return [.. names.Select(n => Completed(n, words.GetValueOrDefault(n) ?? []))];
        }
        finally
        {
            foreach (string n in names)
            {
                File.Delete(Sound(n, ".wav"));
                File.Delete(Sound(n, ".lat"));
            }
        }
    }

    private string Sound(string name, string extension) => Path.Combine(_folder, name + extension);

    private IReadOnlyList<RecognisedWord> Completed(string name, IReadOnlyList<RecognisedWord> words)
    {
        string file = Sound(name, ".lat");
        if (!File.Exists(file))
        {
            return words;
        }

        using var text = new StreamReader(file);
        var lattice = WordLattice.Read(text);
        return [.. words.Select(lattice.Complete)];
    }

    /// <summary>Runs the command and gives its answer.</summary>
    private string Answer(string wav, string list, RecogniserHints hints, CancellationToken cancel)
    {
        string answer = Path.Combine(_folder, "answer");
        File.Delete(answer);
        if (hints.Talk is { } talk && !ReferenceEquals(talk, _written))
        {
            WriteModel(talk, _folder, _sounds);
            _written = talk;
        }

        IEnumerable<string> arguments = hints.Talk is null ? _description.Arguments : _description.Arguments.Concat(_description.ModelArguments);
        bool toFile = false;
        var filled = arguments.Select(a =>
        {
            toFile |= a.Contains("{out}", StringComparison.Ordinal);
            return a.Replace("{wav}", wav, StringComparison.Ordinal).Replace("{out}", answer, StringComparison.Ordinal)
                .Replace("{list}", list, StringComparison.Ordinal).Replace("{folder}", _folder, StringComparison.Ordinal)
                .Replace("{lm}", Path.Combine(_folder, "talk.lm"), StringComparison.Ordinal).Replace("{dict}", Path.Combine(_folder, "talk.dict"), StringComparison.Ordinal);
        }).ToList();
        string output = Run(filled, cancel);
        return !toFile ? output : File.Exists(answer) ? File.ReadAllText(answer) : throw new RecogniserException($"{Name} wrote no answer.");
    }

    /// <summary>Writes talk.lm and talk.dict into a folder, for this or any other recogniser that takes them.</summary>
    public static void WriteModel(TalkModel talk, string folder, Func<string, string> sounds)
    {
        ArgumentNullException.ThrowIfNull(talk);
        using (var lm = new StreamWriter(Path.Combine(folder, "talk.lm"), false, new UTF8Encoding(false)))
        {
            lm.Write(talk.Arpa);
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
            if (f.Length == 4 && Number(f[1]) is { } start && Number(f[2]) is { } end && Number(f[3]) is { } p && end >= start && WordLattice.Spoken(f[0]) is { Length: > 0 } text)
            {
                words.Add(new RecognisedWord(start, end, text, Math.Clamp(p, 0, 1)));
            }
        }

        return words;
    }

    /// <summary>Words by the name of their sound: lines of <c>name channel start duration word probability</c>.</summary>
    internal static Dictionary<string, List<RecognisedWord>> ParseCtm(string answer)
    {
        var all = new Dictionary<string, List<RecognisedWord>>(StringComparer.Ordinal);
        foreach (string line in answer.Split('\n'))
        {
            string[] f = line.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
            if (f.Length is 5 or 6 && Number(f[2]) is { } start && Number(f[3]) is { } length && length >= 0 && WordLattice.Spoken(f[4]) is { Length: > 0 } text)
            {
                if (!all.TryGetValue(f[0], out var words))
                {
                    all[f[0]] = words = [];
                }

                words.Add(new RecognisedWord(start, Math.Round(start + length, 3), text, f.Length == 6 && Number(f[5]) is { } p ? Math.Clamp(p, 0, 1) : null));
            }
        }

        return all;
    }

    private static double? Number(string s) => double.TryParse(s, NumberStyles.Float, CultureInfo.InvariantCulture, out double v) && double.IsFinite(v) ? v : null;

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
