using System.Text;

namespace Stakeboat.Core.Calls.Learned;

/// <summary>A stretch of words that sounds like a crew's name.</summary>
internal readonly record struct Mention(int Start, int End, double Likeness);

/// <summary>Finds where crews are named, however the captions wrote them.</summary>
internal static class CrewMentions
{
    /// <summary>Likeness from which a stretch counts as a mention.</summary>
    public const double Least = .6;

    private static readonly HashSet<string> Generic =
    [
        "college", "school", "academy", "club", "rowing", "university", "state", "hall", "girls", "boys", "women", "men", "tech", "the", "b", "a", "jv",
        "frosh", "saint", "st",
    ];

    /// <summary>Sound keys of a name: the whole, without generic words, its telling words.</summary>
    public static List<string> Keys(string name)
    {
        var words = new List<string>();
        var word = new StringBuilder();
        foreach (var c in name.ToLowerInvariant())
        {
            if (c == '\'')
            {
                continue;
            }

            if (c is >= 'a' and <= 'z')
            {
                word.Append(c);
            }
            else if (word.Length > 0)
            {
                words.Add(word.ToString());
                word.Clear();
            }
        }

        if (word.Length > 0)
        {
            words.Add(word.ToString());
        }

        var telling = new List<string>();
        foreach (var w in words)
        {
            if (!Generic.Contains(w))
            {
                telling.Add(w);
            }
        }

        var texts = new List<string> { string.Concat(words) };
        if (telling.Count > 0 && telling.Count != words.Count)
        {
            texts.Add(string.Concat(telling));
        }

        if (telling.Count > 1 && telling[0].Length >= 4)
        {
            texts.Add(telling[0]);
        }

        if (telling.Count > 1 && telling[1].Length >= 6)
        {
            texts.Add(telling[1]);
        }

        var keys = new List<string>();
        foreach (var t in texts)
        {
            var k = SoundKeys.Of(t);
            if (k.Length >= 2 && !keys.Contains(k))
            {
                keys.Add(k);
            }
        }

        return keys;
    }

    /// <summary>Per crew its mentions in order; no two overlap over all crews, the likeliest are taken first.</summary>
    public static List<Mention>[] Find(string[] words, IReadOnlyList<string> crews)
    {
        var result = new List<Mention>[crews.Count];
        var keys = new List<string>[crews.Count];
        for (var c = 0; c < crews.Count; c++)
        {
            result[c] = [];
            keys[c] = Keys(crews[c]);
        }

        if (crews.Count == 0)
        {
            return result;
        }

        var clean = new string[words.Length];
        for (var i = 0; i < words.Length; i++)
        {
            clean[i] = LettersOf(words[i]);
        }

        var known = new Dictionary<string, List<(int Crew, double Likeness, double Rank)>>(StringComparer.Ordinal);
        var found = new List<(double Order, int Start, int End, int Crew, double Likeness)>();
        var text = new StringBuilder();
        for (var i = 0; i < words.Length; i++)
        {
            text.Clear();
            for (var j = i; j < Math.Min(i + 4, words.Length); j++)
            {
                if (clean[j].Length == 0)
                {
                    break;
                }

                text.Append(clean[j]);
                if (text.Length > 26)
                {
                    break;
                }

                if (text.Length < 3)
                {
                    continue;
                }

                var span = text.ToString();
                if (!known.TryGetValue(span, out var hits))
                {
                    known[span] = hits = Compare(span, keys);
                }

                foreach (var (crew, likeness, rank) in hits)
                {
                    found.Add((-rank, i, j, crew, likeness));
                }
            }
        }

        found.Sort();
        var taken = new bool[words.Length];
        foreach (var (_, start, end, crew, likeness) in found)
        {
            var free = true;
            for (var k = start; k <= end; k++)
            {
                free &= !taken[k];
            }

            if (free)
            {
                Array.Fill(taken, true, start, end - start + 1);
                result[crew].Add(new Mention(start, end, likeness));
            }
        }

        foreach (var list in result)
        {
            list.Sort((x, y) => x.Start.CompareTo(y.Start));
        }

        return result;
    }

    /// <summary>Letters of a word without a genitive.</summary>
    public static string LettersOf(string word)
    {
        var end = word.EndsWith("'s", StringComparison.Ordinal) ? word.Length - 2 : word.Length;
        var letters = new StringBuilder(end);
        for (var i = 0; i < end; i++)
        {
            if (word[i] is >= 'a' and <= 'z')
            {
                letters.Append(word[i]);
            }
        }

        return letters.ToString();
    }

    private static List<(int Crew, double Likeness, double Rank)> Compare(string span, List<string>[] keys)
    {
        var hits = new List<(int, double, double)>();
        var key = SoundKeys.Of(span);
        if (key.Length < 2)
        {
            return hits;
        }

        for (var c = 0; c < keys.Length; c++)
        {
            foreach (var k in keys[c])
            {
                var s = SoundKeys.Alike(key, k);
                if (k.Length < 4)
                {
                    s -= .15;
                }

                if (s >= Least)
                {
                    hits.Add((c, s, s + (.012 * k.Length)));
                }
            }
        }

        return hits;
    }
}
