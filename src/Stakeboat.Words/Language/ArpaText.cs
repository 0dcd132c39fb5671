using System.Globalization;

namespace Stakeboat.Words.Language;

/// <summary>
/// A model as back-off n-grams in the ARPA form (base-10 logarithms). The back-off weight of a history makes its distribution add up to
/// one: (1 - sum of P over words written after it) / (1 - sum of the shorter history's P over the same words). What is not written is got
/// through the back-off weight: exactly for one interpolated model, nearly for a mixture.
/// </summary>
internal static class ArpaText
{
    public static void Write(IWordModel model, TextWriter o)
    {
        var words = model.Vocabulary.Words;
        long[] pairs = [.. model.Pairs.Distinct().Order()], triples = [.. model.Triples.Distinct().Order()];
        var known = pairs.ToHashSet();

        // A triple's own history must be written too, or its back-off weight has no place.
        long[] missing = [.. triples.Select(t => GramKey.Pair(GramKey.Before(t), GramKey.Last(t))).Where(p => !known.Contains(p)).Distinct()];
        pairs = [.. pairs.Concat(missing).Order()];
        known.UnionWith(missing);
        o.Write(string.Create(CultureInfo.InvariantCulture, $"\\data\\\nngram 1={words.Count}\nngram 2={pairs.Length}\nngram 3={triples.Length}\n\n\\1-grams:\n"));

        var single = new double[words.Count];
        for (int w = 1; w < words.Count; w++)
        {
            single[w] = model.P(w, -1, -1);
        }

        var pairP = new Dictionary<long, double>(pairs.Length);
        var sum1 = new (double Long, double Short)[words.Count];
        foreach (long k in pairs)
        {
            int last = GramKey.Last(k), word = GramKey.Word(k);
            double p = model.P(word, last, -1);
            pairP[k] = p;
            sum1[last] = (sum1[last].Long + p, sum1[last].Short + single[word]);
        }

        double Weight((double Long, double Short) s) => Math.Max(1e-9, 1 - s.Long) / Math.Max(1e-9, 1 - s.Short);
        double Backed(int word, int last) => pairP.TryGetValue(GramKey.Pair(last, word), out double p) ? p : Weight(sum1[last]) * single[word];
        var sum2 = new Dictionary<long, (double Long, double Short)>();
        var tripleP = new double[triples.Length];
        for (int i = 0; i < triples.Length; i++)
        {
            long k = triples[i];
            int before = GramKey.Before(k), last = GramKey.Last(k), word = GramKey.Word(k);
            tripleP[i] = model.P(word, last, before);
            long h = GramKey.Pair(before, last);
            var s = sum2.GetValueOrDefault(h);
            sum2[h] = (s.Long + tripleP[i], s.Short + Backed(word, last));
        }

        for (int w = 0; w < words.Count; w++)
        {
            o.Write(string.Create(CultureInfo.InvariantCulture, $"{Math.Log10(w == 0 ? 1e-99 : single[w]):0.0000} {words[w]} {Math.Log10(Weight(sum1[w])):0.0000}\n"));
        }

        o.Write("\n\\2-grams:\n");
        foreach (long k in pairs)
        {
            double bow = sum2.TryGetValue(k, out var s) ? Weight(s) : 1;
            o.Write(string.Create(CultureInfo.InvariantCulture, $"{Math.Log10(pairP[k]):0.0000} {words[GramKey.Last(k)]} {words[GramKey.Word(k)]} {Math.Log10(bow):0.0000}\n"));
        }

        o.Write("\n\\3-grams:\n");
        for (int i = 0; i < triples.Length; i++)
        {
            long k = triples[i];
            o.Write(string.Create(CultureInfo.InvariantCulture, $"{Math.Log10(tripleP[i]):0.0000} {words[GramKey.Before(k)]} {words[GramKey.Last(k)]} {words[GramKey.Word(k)]}\n"));
        }

        o.Write("\n\\end\\\n");
    }
}
