namespace Stakeboat.Words.Language;

/// <summary>
/// Interpolated Witten-Bell smoothing (Witten and Bell 1991, method C; in the interpolated form of Chen and Goodman 1998, section 2.6):
/// P(w|h) = (c(hw) + T(h) P(w|h')) / (c(h) + T(h)), T(h) the number of different words seen after h, h' the history without its first
/// word; single words are smoothed with the uniform distribution over the vocabulary.
/// </summary>
public sealed class WittenBellModel : IWordModel
{
    private readonly WordCounts _counts;
    private readonly Dictionary<int, (double Count, int Types)> _after1 = [];
    private readonly Dictionary<long, (double Count, int Types)> _after2 = [];
    private readonly double _total;

    public WittenBellModel(WordCounts counts)
    {
        ArgumentNullException.ThrowIfNull(counts);
        _counts = counts;
        _total = counts.Single.Values.Sum();
        foreach (var (k, c) in counts.Pair)
        {
            var h = _after1.GetValueOrDefault(GramKey.Last(k));
            _after1[GramKey.Last(k)] = (h.Count + c, h.Types + 1);
        }

        foreach (var (k, c) in counts.Triple)
        {
            long history = GramKey.Pair(GramKey.Before(k), GramKey.Last(k));
            var h = _after2.GetValueOrDefault(history);
            _after2[history] = (h.Count + c, h.Types + 1);
        }
    }

    public Vocabulary Vocabulary => _counts.Vocabulary;

    public IEnumerable<long> Pairs => _counts.Pair.Keys;

    public IEnumerable<long> Triples => _counts.Triple.Keys;

    public double P(int word, int last, int before)
    {
        int types = _counts.Single.Count;
        double p = ((word >= 0 ? _counts.Single.GetValueOrDefault(word) : 0) + types / (double)Vocabulary.Predictable) / (_total + types);
        if (last < 0)
        {
            return p;
        }

        if (_after1.TryGetValue(last, out var h1))
        {
            p = ((word >= 0 ? _counts.Pair.GetValueOrDefault(GramKey.Pair(last, word)) : 0) + h1.Types * p) / (h1.Count + h1.Types);
        }

        if (before >= 0 && _after2.TryGetValue(GramKey.Pair(before, last), out var h2))
        {
            p = ((word >= 0 ? _counts.Triple.GetValueOrDefault(GramKey.Triple(before, last, word)) : 0) + h2.Types * p) / (h2.Count + h2.Types);
        }

        return p;
    }
}
