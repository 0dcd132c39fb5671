using System.Globalization;

namespace Stakeboat.Core.Calls.Lattice;

/// <summary>
/// What coxswains say and how captions mis-hear it, as counts: a model of word pairs with classes (Witten and Bell 1991 interpolation,
/// from memory) and a table of words heard for words said. Trained by oracles/calls/train-speech.py.
/// </summary>
public sealed class SpeechModel
{
    public const string Crew = "<crew>", Name = "<name>", Start = "<s>";
    private const double Unseen = 0.4;
    private readonly Dictionary<string, int> _ids = new(StringComparer.Ordinal);
    private readonly List<string> _words = [];
    private readonly List<int> _uni = [];
    private readonly List<int> _classOf = [];
    private readonly Dictionary<long, int> _pairs = [];
    private readonly Dictionary<long, int> _classPairs = [];
    private readonly Dictionary<int, (int Total, int Kinds)> _after = [];
    private readonly Dictionary<int, (int Total, int Kinds)> _classAfter = [];
    private readonly Dictionary<int, int> _classTotal = [];
    private readonly Dictionary<string, List<(string[] Said, double LogP)>> _heardFor = new(StringComparer.Ordinal);
    private double _total;

    private SpeechModel()
    {
    }

    /// <summary>Distinct words that were said in training.</summary>
    public IReadOnlyList<string> Words => _words;

    public static SpeechModel Load(TextReader text)
    {
        ArgumentNullException.ThrowIfNull(text);
        var m = new SpeechModel();
        var confusions = new List<(string Said, string Heard, int Count, int SaidCount)>();
        while (text.ReadLine() is { } line)
        {
            if (line.Length < 2 || line[0] == '#')
            {
                continue;
            }

            var p = line.Split('\t');
            switch (p[0])
            {
                case "U":
                    m._uni[m.Intern(p[1])] += Int(p[2]);
                    break;
                case "B":
                    m.Pair(m.Intern(p[1]), m.Intern(p[2]), Int(p[3]));
                    break;
                case "C":
                    confusions.Add((p[1], p[2], Int(p[3]), Int(p[4])));
                    break;
                default:
                    break;
            }
        }

        m._total = m._uni.Sum(c => (double)c);
        for (int w = 0; w < m._words.Count; w++)
        {
            m._classTotal[m._classOf[w]] = m._classTotal.GetValueOrDefault(m._classOf[w]) + m._uni[w];
        }

        foreach (var (said, heard, count, saidCount) in confusions)
        {
            if (!m._heardFor.TryGetValue(heard, out var list))
            {
                m._heardFor[heard] = list = [];
            }

            list.Add((said.Split(' '), Math.Log((count - 0.3) / (saidCount + 1.5))));
        }

        return m;
    }

    /// <summary>What may have been said where this was heard, with log P(heard | said).</summary>
    public IReadOnlyList<(string[] Said, double LogP)> SaidFor(string heard) => _heardFor.TryGetValue(heard, out var list) ? list : [];

    /// <summary>Pairs of these words that were said at least so often.</summary>
    public IEnumerable<string> PairsOf(IReadOnlyList<string> words, int least)
    {
        ArgumentNullException.ThrowIfNull(words);
        var known = words.Select(Id).Where(i => i >= 0).ToHashSet();
        foreach (var (key, count) in _pairs)
        {
            int a = (int)(key >> 32), b = (int)(key & 0xffffffff);
            if (count >= least && known.Contains(a) && known.Contains(b))
            {
                yield return _words[a] + " " + _words[b];
            }
        }
    }

    public int Id(string word) => _ids.GetValueOrDefault(word, -1);

    public int Count(int id) => id < 0 ? 0 : _uni[id];

    /// <summary>log P(word | the word before); -1 stands for a word never seen.</summary>
    public double LogP(int before, int word)
    {
        double unigram = word < 0 ? Unseen / (_total * 3) : (_uni[word] + Unseen) / (_total * 1.2);
        if (before < 0)
        {
            return Math.Log(unigram);
        }

        double byClass = unigram;
        if (word >= 0)
        {
            int cb = _classOf[before], cw = _classOf[word];
            var (total, kinds) = _classAfter.GetValueOrDefault(cb);
            if (total > 0)
            {
                double seen = (double)_classPairs.GetValueOrDefault(Key(cb, cw)) / total * _uni[word] / Math.Max(1, _classTotal[cw]);
                double trust = (double)total / (total + kinds);
                byClass = (trust * seen) + ((1 - trust) * unigram);
            }
        }

        var (t, k) = _after.GetValueOrDefault(before);
        if (t == 0)
        {
            return Math.Log(byClass);
        }

        double own = word < 0 ? 0 : (double)_pairs.GetValueOrDefault(Key(before, word)) / t;
        double lambda = (double)t / (t + (1.5 * k));
        return Math.Log((lambda * own) + ((1 - lambda) * byClass));
    }

    private static int Int(string s) => int.Parse(s, NumberStyles.Integer, CultureInfo.InvariantCulture);

    private static long Key(int a, int b) => ((long)a << 32) | (uint)b;

    private int Intern(string word)
    {
        if (_ids.TryGetValue(word, out int id))
        {
            return id;
        }

        id = _words.Count;
        _ids[word] = id;
        _words.Add(word);
        _uni.Add(0);
        _classOf.Add(id);
        string cls = ClassName(word);
        if (cls != word)
        {
            _classOf[id] = Intern(cls);
        }

        return id;
    }

    private static string ClassName(string w) => w switch
    {
        "one" or "two" or "three" or "four" or "five" or "six" or "seven" or "eight" => "<1-8>",
        "nine" or "ten" or "eleven" or "twelve" or "thirteen" or "fourteen" or "fifteen" or "sixteen" or "seventeen" or "eighteen" or "nineteen" => "<9-19>",
        "twenty" or "thirty" or "forty" or "fifty" => "<tens>",
        "they're" => "they're",
        _ => w,
    };

    private void Pair(int a, int b, int count)
    {
        _pairs[Key(a, b)] = _pairs.GetValueOrDefault(Key(a, b)) + count;
        var (t, k) = _after.GetValueOrDefault(a);
        _after[a] = (t + count, k + 1);
        int ca = _classOf[a], cb = _classOf[b];
        bool fresh = !_classPairs.ContainsKey(Key(ca, cb));
        _classPairs[Key(ca, cb)] = _classPairs.GetValueOrDefault(Key(ca, cb)) + count;
        var (ct, ck) = _classAfter.GetValueOrDefault(ca);
        _classAfter[ca] = (ct + count, ck + (fresh ? 1 : 0));
    }
}
