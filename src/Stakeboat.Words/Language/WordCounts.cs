namespace Stakeboat.Words.Language;

/// <summary>How often words, pairs and triples were seen; counts may be fractions, because a line with a crew's name is shared among the crews of a race.</summary>
public sealed class WordCounts(Vocabulary vocabulary)
{
    public Vocabulary Vocabulary => vocabulary;

    internal Dictionary<int, double> Single { get; } = [];

    internal Dictionary<long, double> Pair { get; } = [];

    internal Dictionary<long, double> Triple { get; } = [];

    /// <summary>Counts a sentence, with its begin and end.</summary>
    /// <param name="weight">How many times it counts; positive.</param>
    public void Add(IReadOnlyList<string> sentence, double weight = 1)
    {
        ArgumentNullException.ThrowIfNull(sentence);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(weight);
        int before = -1, last = 0;
        for (int i = 0; i <= sentence.Count; i++)
        {
            int w = i < sentence.Count ? vocabulary.Add(sentence[i]) : 1;
            Single[w] = Single.GetValueOrDefault(w) + weight;
            long pair = GramKey.Pair(last, w);
            Pair[pair] = Pair.GetValueOrDefault(pair) + weight;
            if (before >= 0)
            {
                long triple = GramKey.Triple(before, last, w);
                Triple[triple] = Triple.GetValueOrDefault(triple) + weight;
            }

            (before, last) = (last, w);
        }
    }
}
