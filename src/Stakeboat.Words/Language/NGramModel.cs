using System.Globalization;
using System.Text;

namespace Stakeboat.Words.Language;

/// <summary>
/// A trigram model of word sequences with interpolated Witten-Bell smoothing (Witten and Bell 1991, method C; in the interpolated form of
/// Chen and Goodman 1998, section 2.6): P(w|h) = (c(hw) + T(h) P(w|h')) / (c(h) + T(h)), T(h) the number of different words seen after h,
/// h' the history without its first word; the unigram is smoothed with the uniform distribution over the vocabulary. Counts may be fractions.
/// </summary>
public sealed class NGramModel
{
    public const string Begin = "<s>", End = "</s>";

    private readonly Dictionary<string, int> _ids = new(StringComparer.Ordinal);
    private readonly List<string> _words = [];
    private readonly Dictionary<int, double> _uni = [];
    private readonly Dictionary<long, double> _bi = [], _tri = [];
    private readonly Dictionary<long, (double Count, int Types)> _after1 = [], _after2 = [];
    private double _uniTotal;
    private int _uniTypes;

    public NGramModel()
    {
        Id(Begin);
        Id(End);
    }

    /// <summary>Words that can be predicted: all but the begin mark.</summary>
    public int VocabularySize => _words.Count - 1;

    public IReadOnlyList<string> Words => _words;

    public bool Knows(string word) => _ids.ContainsKey(word);

    /// <summary>Counts a sentence.</summary>
    /// <param name="weight">How many times it counts; positive.</param>
    public void Add(IReadOnlyList<string> sentence, double weight = 1)
    {
        ArgumentNullException.ThrowIfNull(sentence);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(weight);
        int a = 0, b = 0;
        for (int i = 0; i <= sentence.Count; i++)
        {
            int w = i < sentence.Count ? Id(sentence[i]) : 1;
            Count(a, b, w, weight, i > 0);
            (a, b) = (b, w);
        }
    }

    /// <summary>Makes a word known without counting it.</summary>
    public void AddWord(string word) => Id(word);

    /// <summary>Probability of a word after up to two words; an unknown word has the uniform share of one more word.</summary>
    public double Probability(string word, string? previous, string? beforeThat)
    {
        int w = _ids.GetValueOrDefault(word, -1), b = previous is null ? -1 : _ids.GetValueOrDefault(previous, -1),
            a = beforeThat is null ? -1 : _ids.GetValueOrDefault(beforeThat, -1);
        return P(w, b, a);
    }

    /// <summary>exp of the mean negative log probability of the words and ends of the sentences; unknown words are left out and counted.</summary>
    public (double Perplexity, int Unknown) PerplexityOf(IEnumerable<IReadOnlyList<string>> sentences)
    {
        ArgumentNullException.ThrowIfNull(sentences);
        double log = 0;
        int n = 0, unknown = 0;
        foreach (var s in sentences)
        {
            string? a = null, b = Begin;
            for (int i = 0; i <= s.Count; i++)
            {
                string w = i < s.Count ? s[i] : End;
                if (_ids.ContainsKey(w))
                {
                    log += Math.Log(Probability(w, b, a));
                    n++;
                }
                else
                {
                    unknown++;
                }

                (a, b) = (b, w);
            }
        }

        return (n == 0 ? double.NaN : Math.Exp(-log / n), unknown);
    }

    /// <summary>
    /// Writes the model as back-off n-grams in the ARPA form (base-10 logarithms). The back-off weight of a history makes its
    /// distribution add up to one: (1 - sum of P over words seen after it) / (1 - sum of the shorter history's P over the same words).
    /// </summary>
    public void WriteArpa(TextWriter o)
    {
        ArgumentNullException.ThrowIfNull(o);
        var bi = _bi.Keys.Order().ToArray();
        var tri = _tri.Keys.Order().ToArray();
        o.Write(string.Create(CultureInfo.InvariantCulture, $"\\data\\\nngram 1={_words.Count}\nngram 2={bi.Length}\nngram 3={tri.Length}\n\n\\1-grams:\n"));
        var bow1 = BackOff(bi, k => ((int)(k >> 21), -1, (int)(k & Mask)));
        var bow2 = BackOff(tri, k => ((int)((k >> 21) & Mask), (int)(k >> 42), (int)(k & Mask)));
        for (int w = 0; w < _words.Count; w++)
        {
            double p = w == 0 ? 1e-99 : P(w, -1, -1);
            o.Write(string.Create(CultureInfo.InvariantCulture, $"{Math.Log10(p):0.0000} {_words[w]} {Math.Log10(bow1.GetValueOrDefault(w, 1)):0.0000}\n"));
        }

        o.Write("\n\\2-grams:\n");
        foreach (long k in bi)
        {
            int b = (int)(k >> 21), w = (int)(k & Mask);
            o.Write(string.Create(CultureInfo.InvariantCulture,
                $"{Math.Log10(P(w, b, -1)):0.0000} {_words[b]} {_words[w]} {Math.Log10(bow2.GetValueOrDefault(((long)b << 21) | (uint)w, 1)):0.0000}\n"));
        }

        o.Write("\n\\3-grams:\n");
        foreach (long k in tri)
        {
            int a = (int)(k >> 42), b = (int)((k >> 21) & Mask), w = (int)(k & Mask);
            o.Write(string.Create(CultureInfo.InvariantCulture, $"{Math.Log10(P(w, b, a)):0.0000} {_words[a]} {_words[b]} {_words[w]}\n"));
        }

        o.Write("\n\\end\\\n");
    }

    /// <summary>The model as ARPA text.</summary>
    public string ToArpa()
    {
        var text = new StringBuilder();
        using var writer = new StringWriter(text, CultureInfo.InvariantCulture) { NewLine = "\n" };
        WriteArpa(writer);
        return text.ToString();
    }

    private const long Mask = (1 << 21) - 1;

    private Dictionary<long, double> BackOff(long[] grams, Func<long, (int B, int A, int W)> parts)
    {
        // Histories are keyed as n-grams of their own length: b, or a then b.
        var seen = new Dictionary<long, (double Long, double Short)>();
        foreach (long k in grams)
        {
            var (b, a, w) = parts(k);
            long h = a < 0 ? b : ((long)a << 21) | (uint)b;
            var s = seen.GetValueOrDefault(h);
            seen[h] = (s.Long + P(w, b, a), s.Short + (a < 0 ? P(w, -1, -1) : P(w, b, -1)));
        }

        return seen.ToDictionary(s => s.Key, s => Math.Max(1e-9, 1 - s.Value.Long) / Math.Max(1e-9, 1 - s.Value.Short));
    }

    private int Id(string word)
    {
        if (!_ids.TryGetValue(word, out int id))
        {
            id = _words.Count;
            _ids[word] = id;
            _words.Add(word);
        }

        return id;
    }

    private void Count(int a, int b, int w, double weight, bool hasTwo)
    {
        _uniTotal += weight;
        if (!_uni.TryGetValue(w, out double u))
        {
            _uniTypes++;
        }

        _uni[w] = u + weight;
        Add(_bi, _after1, ((long)b << 21) | (uint)w, b, weight);
        if (hasTwo)
        {
            Add(_tri, _after2, ((long)a << 42) | ((long)b << 21) | (uint)w, ((long)a << 21) | (uint)b, weight);
        }
    }

    private static void Add(Dictionary<long, double> grams, Dictionary<long, (double Count, int Types)> after, long gram, long history, double weight)
    {
        bool known = grams.TryGetValue(gram, out double c);
        grams[gram] = c + weight;
        var h = after.GetValueOrDefault(history);
        after[history] = (h.Count + weight, h.Types + (known ? 0 : 1));
    }

    private double P(int w, int b, int a)
    {
        double uniform = 1.0 / VocabularySize;
        double p = ((w >= 0 ? _uni.GetValueOrDefault(w) : 0) + _uniTypes * uniform) / (_uniTotal + _uniTypes);
        if (b < 0)
        {
            return p;
        }

        if (_after1.TryGetValue(b, out var h1))
        {
            p = ((w >= 0 ? _bi.GetValueOrDefault(((long)b << 21) | (uint)w) : 0) + h1.Types * p) / (h1.Count + h1.Types);
        }

        if (a >= 0 && _after2.TryGetValue(((long)a << 21) | (uint)b, out var h2))
        {
            p = ((w >= 0 ? _tri.GetValueOrDefault(((long)a << 42) | ((long)b << 21) | (uint)w) : 0) + h2.Types * p) / (h2.Count + h2.Types);
        }

        return p;
    }
}
