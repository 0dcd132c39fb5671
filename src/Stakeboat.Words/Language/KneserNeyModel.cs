namespace Stakeboat.Words.Language;

/// <summary>
/// Interpolated Kneser-Ney smoothing with one discount an order (Kneser and Ney 1995, in the form of Chen and Goodman 1998, section 2.7):
/// P(w|h) = (max(0, c(hw) - D) + sum of what was taken off after h * P(w|h')) / c(h); below the longest order c is the number of different
/// words that were seen before, at the begin of a sentence the plain count; D = n1 / (n1 + 2 n2). Counts are fractions here where a
/// line is shared among crews: a gram seen less than once counts for a kind of history by that fraction, and no more is taken off
/// than it has (our own extension; with whole counts it is the published method).
/// </summary>
public sealed class KneserNeyModel : IWordModel
{
    private const double Once = 1 + 1e-6, Twice = 2 + 1e-6;

    private readonly WordCounts _counts;
    private readonly Dictionary<int, double> _single = [];
    private readonly Dictionary<long, double> _pair = [];
    private readonly Dictionary<int, (double Count, double Taken)> _after1 = [];
    private readonly Dictionary<long, (double Count, double Taken)> _after2 = [];
    private readonly double _total, _taken;

    public KneserNeyModel(WordCounts counts)
    {
        ArgumentNullException.ThrowIfNull(counts);
        _counts = counts;
        foreach (var (k, c) in counts.Triple)
        {
            long pair = GramKey.Pair(GramKey.Last(k), GramKey.Word(k));
            _pair[pair] = _pair.GetValueOrDefault(pair) + Math.Min(1, c);
        }

        foreach (var (k, c) in counts.Pair)
        {
            _single[GramKey.Word(k)] = _single.GetValueOrDefault(GramKey.Word(k)) + Math.Min(1, c);
            if (GramKey.Last(k) == 0)
            {
                _pair[k] = c;
            }
        }

        Discounts = [Discount(_single.Values), Discount(_pair.Values), Discount(counts.Triple.Values)];
        _total = _single.Values.Sum();
        _taken = _single.Values.Sum(c => Math.Min(c, Discounts[0]));
        foreach (var (k, c) in _pair)
        {
            var h = _after1.GetValueOrDefault(GramKey.Last(k));
            _after1[GramKey.Last(k)] = (h.Count + c, h.Taken + Math.Min(c, Discounts[1]));
        }

        foreach (var (k, c) in counts.Triple)
        {
            long history = GramKey.Pair(GramKey.Before(k), GramKey.Last(k));
            var h = _after2.GetValueOrDefault(history);
            _after2[history] = (h.Count + c, h.Taken + Math.Min(c, Discounts[2]));
        }
    }

    /// <summary>What is taken off a count: for single words, pairs, triples.</summary>
    public IReadOnlyList<double> Discounts { get; }

    public Vocabulary Vocabulary => _counts.Vocabulary;

    public IEnumerable<long> Pairs => _pair.Keys;

    public IEnumerable<long> Triples => _counts.Triple.Keys;

    public double P(int word, int last, int before)
    {
        double p = 1.0 / Vocabulary.Predictable;
        if (_total > 0)
        {
            p = (Less(word >= 0 ? _single.GetValueOrDefault(word) : 0, 0) + _taken * p) / _total;
        }

        if (last >= 0 && _after1.TryGetValue(last, out var h1))
        {
            p = (Less(word >= 0 ? _pair.GetValueOrDefault(GramKey.Pair(last, word)) : 0, 1) + h1.Taken * p) / h1.Count;
        }

        if (last >= 0 && before >= 0 && _after2.TryGetValue(GramKey.Pair(before, last), out var h2))
        {
            p = (Less(word >= 0 ? _counts.Triple.GetValueOrDefault(GramKey.Triple(before, last, word)) : 0, 2) + h2.Taken * p) / h2.Count;
        }

        return p;
    }

    private double Less(double count, int order) => Math.Max(0, count - Discounts[order]);

    private static double Discount(IReadOnlyCollection<double> counts)
    {
        double once = counts.Count(c => c <= Once), twice = counts.Count(c => c is > Once and <= Twice);
        return once == 0 ? 0.5 : once / (once + 2 * twice);
    }
}
