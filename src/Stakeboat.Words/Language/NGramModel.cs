using System.Globalization;
using System.Text;

namespace Stakeboat.Words.Language;

/// <summary>A language model of word triples: a mixture of models with weights that add up to one, its perplexity, and its ARPA text.</summary>
public sealed class NGramModel : IWordModel
{
    private readonly (IWordModel Model, double Weight)[] _parts;

    /// <param name="parts">Models over one vocabulary, and their weights.</param>
    public NGramModel(params (IWordModel Model, double Weight)[] parts)
    {
        ArgumentNullException.ThrowIfNull(parts);
        if (parts.Length == 0 || Math.Abs(parts.Sum(p => p.Weight) - 1) > 1e-9 || parts.Any(p => p.Weight < 0 || p.Model.Vocabulary != parts[0].Model.Vocabulary))
        {
            throw new ArgumentException("The parts of a mixture share one vocabulary, and their weights add up to one.", nameof(parts));
        }

        _parts = parts;
    }

    public Vocabulary Vocabulary => _parts[0].Model.Vocabulary;

    public IEnumerable<long> Pairs => _parts.SelectMany(p => p.Model.Pairs);

    public IEnumerable<long> Triples => _parts.SelectMany(p => p.Model.Triples);

    /// <summary>Every word that can be heard.</summary>
    public IEnumerable<string> Words => Vocabulary.Words.Skip(2);

    public bool Knows(string word) => Vocabulary.Of(word) >= 0;

    public double P(int word, int last, int before)
    {
        double p = 0;
        foreach (var (model, weight) in _parts)
        {
            p += weight * model.P(word, last, before);
        }

        return p;
    }

    /// <summary>Probability of a word after up to two words; an unknown word has the uniform share of one more word.</summary>
    public double Probability(string word, string? previous, string? beforeThat) =>
        P(Vocabulary.Of(word), previous is null ? -1 : Vocabulary.Of(previous), beforeThat is null ? -1 : Vocabulary.Of(beforeThat));

    /// <summary>exp of the mean negative log probability of the words and ends of the sentences; unknown words are left out and counted.</summary>
    public (double Perplexity, int Unknown) PerplexityOf(IEnumerable<IReadOnlyList<string>> sentences)
    {
        double log = 0;
        int n = 0, unknown = 0;
        foreach (double[] parts in Chances(sentences))
        {
            if (parts.Length == 0)
            {
                unknown++;
                continue;
            }

            log += Math.Log(_parts.Select((p, i) => p.Weight * parts[i]).Sum());
            n++;
        }

        return (n == 0 ? double.NaN : Math.Exp(-log / n), unknown);
    }

    /// <summary>The weights that make sentences left out most likely, by expectation maximisation (Jelinek and Mercer 1980).</summary>
    public IReadOnlyList<double> BestWeights(IEnumerable<IReadOnlyList<string>> sentences)
    {
        double[][] seen = [.. Chances(sentences).Where(p => p.Length > 0)];
        double[] weights = [.. _parts.Select(_ => 1.0 / _parts.Length)];
        for (int round = 0; round < 50; round++)
        {
            var sum = new double[weights.Length];
            foreach (double[] p in seen)
            {
                double all = weights.Select((w, i) => w * p[i]).Sum();
                for (int i = 0; i < sum.Length; i++)
                {
                    sum[i] += weights[i] * p[i] / all;
                }
            }

            weights = [.. sum.Select(s => s / seen.Length)];
        }

        return weights;
    }

    /// <summary>Writes the model as back-off n-grams in the ARPA form.</summary>
    public void WriteArpa(TextWriter o)
    {
        ArgumentNullException.ThrowIfNull(o);
        ArpaText.Write(this, o);
    }

    /// <summary>The model as ARPA text.</summary>
    public string ToArpa()
    {
        using var writer = new StringWriter(new StringBuilder(), CultureInfo.InvariantCulture) { NewLine = "\n" };
        WriteArpa(writer);
        return writer.ToString();
    }

    /// <summary>What each part gives each word and end of the sentences; empty for an unknown word.</summary>
    private IEnumerable<double[]> Chances(IEnumerable<IReadOnlyList<string>> sentences)
    {
        ArgumentNullException.ThrowIfNull(sentences);
        foreach (var s in sentences)
        {
            int before = -1, last = 0;
            for (int i = 0; i <= s.Count; i++)
            {
                int w = i < s.Count ? Vocabulary.Of(s[i]) : 1;
                yield return w < 0 ? [] : [.. _parts.Select(p => p.Model.P(w, last, before))];
                (before, last) = (last, w);
            }
        }
    }
}
