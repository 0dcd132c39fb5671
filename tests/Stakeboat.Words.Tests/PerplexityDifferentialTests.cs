using System.Globalization;
using System.Text.Json;
using Stakeboat.Readers;
using Stakeboat.Words.Language;

namespace Stakeboat.Words.Tests;

/// <summary>Perplexities of races left out against those of oracles/words/perplexity.csv: counted anew in Python, and by sphinx_lm_eval from the written file.</summary>
public class PerplexityDifferentialTests
{
    private static string Root
    {
        get
        {
            string root = AppContext.BaseDirectory;
            while (!File.Exists(Path.Combine(root, "Stakeboat.slnx")))
            {
                root = Path.GetDirectoryName(root)!;
            }

            return root;
        }
    }

    private static double Expected(string race, string model) => double.Parse(
        File.ReadLines(Path.Combine(Root, "oracles", "words", "perplexity.csv")).First(l => l.StartsWith($"{race},{model},", StringComparison.Ordinal)).Split(',')[2],
        CultureInfo.InvariantCulture);

    [Theory]
    [InlineData("autumn-lake-8")]
    [InlineData("dual-8")]
    [InlineData("masters-1000")]
    [InlineData("practice-morning")]
    public void BothSmoothingsAgreeWithPython(string race)
    {
        var plain = TalkModel.Lines().Where(l => !l.Words.Any(w => w.StartsWith('<') || w.Contains('<', StringComparison.Ordinal))).ToList();
        var counts = new WordCounts(new Vocabulary());
        foreach (var (_, words) in plain.Where(l => l.Source != race))
        {
            counts.Add(words);
        }

        var held = plain.Where(l => l.Source == race && l.Words.All(w => counts.Vocabulary.Of(w) >= 0)).Select(l => (IReadOnlyList<string>)l.Words).ToList();
        double wb = new NGramModel((new WittenBellModel(counts), 1)).PerplexityOf(held).Perplexity, kn = new NGramModel((new KneserNeyModel(counts), 1)).PerplexityOf(held).Perplexity;
        Assert.Equal(Expected(race, "witten-bell"), wb, 1e-5 * wb);
        Assert.Equal(Expected(race, "kneser-ney"), kn, 1e-5 * kn);
    }

    // The file carries a mixture as back-off n-grams: nearly, not exactly.
    [Theory]
    [InlineData("autumn-lake-8")]
    [InlineData("dual-8")]
    [InlineData("masters-1000")]
    [InlineData("practice-morning")]
    public void TheWholeModelAgreesWithWhatAnotherProgramReadsInItsFile(string race)
    {
        string folder = Path.Combine(Root, "data", "corpus", race);
        var sheet = OutingFolder.Read([Path.Combine(folder, "race.json")]).Value!.Sheet;
        var talk = TalkModel.For(sheet, new HashSet<string> { race }).Model;
        var lines = new List<IReadOnlyList<string>>();
        string last = "";
        foreach (string row in File.ReadLines(Path.Combine(folder, "calls.jsonl")))
        {
            string text = JsonDocument.Parse(row).RootElement.GetProperty("text").GetString()!;
            if (text != last)
            {
                lines.Add(TalkModel.Normal(text));
            }

            last = text;
        }

        double ours = talk.PerplexityOf(lines).Perplexity;
        Assert.Equal(Expected(race, "talk.lm by sphinx_lm_eval"), ours, 0.02 * ours);
    }
}
