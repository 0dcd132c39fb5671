using Stakeboat.Core.Calls.Sounds;
using Stakeboat.Words.Language;
using Stakeboat.Words.Recognisers;
using Stakeboat.Readers;

namespace Stakeboat.Words.Tests;

/// <summary>Debian's recogniser for real, on the first half minute of a labelled recording.</summary>
public class PocketsphinxTests
{
    private static string Root()
    {
        string root = AppContext.BaseDirectory;
        while (!File.Exists(Path.Combine(root, "Stakeboat.slnx")))
        {
            root = Path.GetDirectoryName(root)!;
        }

        return root;
    }

    [Fact]
    public void WithOurLanguageModelItHearsTheTrade()
    {
        string folder = Path.Combine(Root(), "data", "corpus", "masters-1000");
        var sheet = OutingFolder.Read([Path.Combine(folder, "race.json")]).Value!.Sheet;
        var talk = TalkModel.For(sheet, new HashSet<string> { "masters-1000" });
        using var recogniser = new CommandRecogniser(CommandDescription.Pocketsphinx, LetterToSound.Of);
        Assert.True(recogniser.Check().Ready, recogniser.Check().Sentence);

        using var stream = File.OpenRead(Path.Combine(folder, "recording.opus"));
        using var sound = Readers.Sound.SoundReader.Open(stream, "recording.opus", Speech.SpeechSound.Rate, 100).Value!;
        var samples = new float[30 * Speech.SpeechSound.Rate];
        int at = 0, n;
        while (at < samples.Length && (n = sound.Read(samples.AsSpan(at))) > 0)
        {
            at += n;
        }

        Speech.SpeechSound.Level(samples);
        var words = recogniser.Recognise(samples, new RecogniserHints(talk, ""), default);
        Assert.True(words.Count > 15, $"{words.Count} words");
        var vocabulary = talk.Words.ToHashSet(StringComparer.Ordinal);
        Assert.All(words, w => Assert.Contains(w.Text, vocabulary));
        Assert.All(words, w => Assert.InRange(w.Start, 0, 30));
    }
}
