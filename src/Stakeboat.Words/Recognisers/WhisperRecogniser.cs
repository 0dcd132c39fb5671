using System.Buffers.Binary;
using Whisper.net;

namespace Stakeboat.Words.Recognisers;

/// <summary>
/// The embedded recogniser: whisper.cpp through Whisper.net (both MIT). It needs a model file that the person puts into the data folder;
/// nothing is fetched.
/// </summary>
public sealed class WhisperRecogniser(string modelsFolder) : IRecogniser, IDisposable
{
    /// <summary>Name, size and licence of the model files that it takes, best first. Sizes in MB as published (from memory).</summary>
    public static IReadOnlyList<(string File, int Megabytes)> Models { get; } =
        [("ggml-small.en.bin", 466), ("ggml-base.en.bin", 142), ("ggml-tiny.en.bin", 75), ("ggml-small.bin", 466), ("ggml-base.bin", 142)];

    /// <summary>First four bytes of a model file: "ggml" as a little-endian word.</summary>
    private static readonly byte[] Mark = "lmgg"u8.ToArray();

    /// <summary>The smallest quantised model has some 31 MB (from memory).</summary>
    private const long LeastBytes = 25_000_000;

    private WhisperFactory? _factory;

    public string Name => "embedded recogniser";

    /// <summary>The model file that would be used; null where there is none.</summary>
    public string? ModelFile => Models.Select(m => Path.Combine(modelsFolder, m.File)).FirstOrDefault(File.Exists)
        ?? (Directory.Exists(modelsFolder) ? Directory.GetFiles(modelsFolder, "ggml-*.bin").Order(StringComparer.Ordinal).FirstOrDefault() : null);

    public RecogniserState Check()
    {
        if (ModelFile is not { } file)
        {
            var (name, megabytes) = Models[1];
            return new RecogniserState(false, string.Create(System.Globalization.CultureInfo.InvariantCulture,
                $"The embedded recogniser has no model. Put a model file of whisper.cpp, for example {name} ({megabytes} MB, MIT licence), into {modelsFolder} and try again. Nothing is fetched by this program."));
        }

        return Damage(file) is { } damage
            ? new RecogniserState(false, string.Create(System.Globalization.CultureInfo.InvariantCulture,
                $"{file} ({new FileInfo(file).Length / 1e6:0.0} MB) {damage} Replace it in {modelsFolder}, for example by {Models[1].File} of whisper.cpp ({Models[1].Megabytes} MB, MIT licence)."))
            : new RecogniserState(true, $"The embedded recogniser uses {Path.GetFileName(file)}.");
    }

    /// <summary>
    /// What is wrong with a model file, or null. The native library ends the whole process on some damaged files, so the head is checked
    /// first: the mark, then the model's dimensions as whisper.cpp writes them (vocabulary, audio context and state, mel bands; order from memory), and a size
    /// that the smallest published model has.
    /// </summary>
    private static string? Damage(string file)
    {
        using var stream = File.OpenRead(file);
        var head = new byte[4 + 11 * 4];
        int n = stream.ReadAtLeast(head, head.Length, throwOnEndOfStream: false);
        if (n < head.Length || !head.AsSpan(0, 4).SequenceEqual(Mark))
        {
            return "is no model of the embedded recogniser: its first bytes are others.";
        }

        int Field(int i) => BinaryPrimitives.ReadInt32LittleEndian(head.AsSpan(4 + 4 * i));
        bool sane = Field(0) is >= 51864 and <= 51866 && Field(1) == 1500 && Field(2) is 384 or 512 or 768 or 1024 or 1280 && Field(9) is 80 or 128;
        return !sane ? "is damaged, or of a kind that this version does not know: its head makes no sense."
            : stream.Length < LeastBytes ? "was not copied to the end: it is too short for any model." : null;
    }

    /// <summary>Loads the native library; tells whether that works on this machine and which one it is.</summary>
    public static RecogniserState CheckLibrary()
    {
        try
        {
            string info = WhisperFactory.GetRuntimeInfo() ?? "";
            return new RecogniserState(info.Length > 0, info.Length > 0 ? $"The native library is loaded: {info}" : "The native library was not loaded.");
        }
        catch (Exception e) when (e is DllNotFoundException or FileNotFoundException or BadImageFormatException or InvalidOperationException)
        {
            return new RecogniserState(false, $"The native library of the embedded recogniser cannot be loaded on this machine: {e.Message}");
        }
    }

    public IReadOnlyList<RecognisedWord> Recognise(ReadOnlySpan<float> samples, RecogniserHints hints, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(hints);
        var state = Check();
        if (!state.Ready)
        {
            throw new RecogniserException(state.Sentence);
        }

        try
        {
            _factory ??= WhisperFactory.FromPath(ModelFile!);
            using var processor = _factory.CreateBuilder().WithLanguage("en").WithTokenTimestamps().WithProbabilities().WithPrompt(hints.Prompt).Build();
            float[] copy = samples.ToArray();
            return Task.Run(async () =>
            {
                var words = new List<RecognisedWord>();
                await foreach (var segment in processor.ProcessAsync(copy, cancel).ConfigureAwait(false))
                {
                    Append(segment, words);
                }

                return words;
            }, cancel).GetAwaiter().GetResult();
        }
        catch (WhisperModelLoadException e)
        {
            throw new RecogniserException($"{ModelFile} cannot be loaded: it is damaged, or of a kind that this version does not know. Replace it.", e);
        }
    }

    public void Dispose() => _factory?.Dispose();

    /// <summary>Tokens of a segment put together to words: a token that begins with a space begins a word; marks in brackets are no words.</summary>
    private static void Append(SegmentData segment, List<RecognisedWord> words)
    {
        string text = "";
        double start = 0, end = 0, p = 1;
        void Close()
        {
            string word = text.Trim();
            if (word.Length > 0 && word[0] is not ('[' or '(' or '<'))
            {
                words.Add(new RecognisedWord(start, Math.Max(start, end), word, p));
            }

            (text, p) = ("", 1);
        }

        foreach (var token in segment.Tokens ?? [])
        {
            if (token.Text is not { Length: > 0 } t || t.StartsWith("[_", StringComparison.Ordinal))
            {
                continue;
            }

            if (t[0] == ' ' || text.Length == 0)
            {
                Close();
                start = token.Start / 100.0;
            }

            text += t;
            end = token.End / 100.0;
            p = Math.Min(p, token.Probability);
        }

        Close();
    }
}
