namespace Stakeboat.Words.Language;

/// <summary>The probability of a word after up to two words.</summary>
public interface IWordModel
{
    Vocabulary Vocabulary { get; }

    /// <summary>P(word | before, last); -1 for a history word that is unknown or not there. Adds up to one over all words but the begin mark.</summary>
    /// <param name="word">Number of the word; -1: unknown.</param>
    /// <param name="last">The word right before it.</param>
    /// <param name="before">The word before that.</param>
    double P(int word, int last, int before);

    /// <summary>Pairs (last, word) for which the model knows more than its single words say, keyed last * 2^21 + word.</summary>
    IEnumerable<long> Pairs { get; }

    /// <summary>Triples (before, last, word) likewise, keyed before * 2^42 + last * 2^21 + word.</summary>
    IEnumerable<long> Triples { get; }
}

/// <summary>Keys of word pairs and triples.</summary>
internal static class GramKey
{
    private const int Bits = 21;

    public const long Mask = (1 << Bits) - 1;

    public static long Pair(int last, int word) => ((long)last << Bits) | (uint)word;

    public static long Triple(int before, int last, int word) => ((long)before << (2 * Bits)) | ((long)last << Bits) | (uint)word;

    public static int Word(long key) => (int)(key & Mask);

    public static int Last(long key) => (int)((key >> Bits) & Mask);

    public static int Before(long key) => (int)(key >> (2 * Bits));
}
