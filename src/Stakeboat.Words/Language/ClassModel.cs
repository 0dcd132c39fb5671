namespace Stakeboat.Words.Language;

/// <summary>
/// A model of groups of words (Brown et al. 1992): P(w|h) = P(group of w | groups of h) P(w | its group). A number heard in one place makes
/// every number of its group likely there. Words without a group are groups of their own. Within a group one is added to each count.
/// </summary>
public sealed class ClassModel : IWordModel
{
    /// <summary>A triple of groups that was seen less often than this is not spelt out in words: it comes through its pairs.</summary>
    private const double LeastSpeltOut = 1.5;

    private readonly Vocabulary _words;
    private readonly int[] _groupOf;
    private readonly double[] _share;
    private readonly List<int>[] _members;
    private readonly WordCounts _counts;
    private readonly KneserNeyModel _groups;

    /// <param name="words">All words, with none to come later.</param>
    /// <param name="sentences">What is counted, with weights.</param>
    /// <param name="groups">Words of each group.</param>
    public ClassModel(Vocabulary words, IEnumerable<(IReadOnlyList<string> Words, double Weight)> sentences, IEnumerable<IReadOnlyList<string>> groups)
    {
        ArgumentNullException.ThrowIfNull(words);
        ArgumentNullException.ThrowIfNull(sentences);
        ArgumentNullException.ThrowIfNull(groups);
        _words = words;
        var named = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (var group in groups)
        {
            foreach (string word in group)
            {
                named[word] = "#" + group[0];
            }
        }

        var vocabulary = new Vocabulary();
        _groupOf = [.. words.Words.Select(w => vocabulary.Add(named.GetValueOrDefault(w, w)))];
        _counts = new WordCounts(vocabulary);
        var times = new double[words.Words.Count];
        foreach (var (sentence, weight) in sentences)
        {
            _counts.Add([.. sentence.Select(w => named.GetValueOrDefault(w, w))], weight);
            foreach (string w in sentence)
            {
                times[words.Of(w)] += weight;
            }
        }

        _members = [.. vocabulary.Words.Select(_ => new List<int>())];
        for (int w = 0; w < _groupOf.Length; w++)
        {
            _members[_groupOf[w]].Add(w);
        }

        _share = new double[_groupOf.Length];
        foreach (var m in _members)
        {
            double all = m.Sum(w => times[w] + 1);
            foreach (int w in m)
            {
                _share[w] = (times[w] + 1) / all;
            }
        }

        _groups = new KneserNeyModel(_counts);
    }

    public Vocabulary Vocabulary => _words;

    public IEnumerable<long> Pairs =>
        from pair in _groups.Pairs
        from last in _members[GramKey.Last(pair)]
        from word in _members[GramKey.Word(pair)]
        select GramKey.Pair(last, word);

    public IEnumerable<long> Triples =>
        from triple in _counts.Triple
        where triple.Value >= LeastSpeltOut
        from before in _members[GramKey.Before(triple.Key)]
        from last in _members[GramKey.Last(triple.Key)]
        from word in _members[GramKey.Word(triple.Key)]
        select GramKey.Triple(before, last, word);

    public double P(int word, int last, int before) => word < 0
        ? _groups.P(-1, Group(last), Group(before))
        : _groups.P(_groupOf[word], Group(last), Group(before)) * _share[word];

    private int Group(int word) => word < 0 ? -1 : _groupOf[word];
}
