using System.Text;

namespace Stakeboat.Core.Calls.Sounds;

/// <summary>
/// Sounds of a word that no table holds, from its letters: rules tried in order at each letter, longest first, after the usual teaching of
/// English spelling; non-rhotic and rhotic readings are kept near each other by cheap r. Written for this program; compared with a
/// speech synthesiser's table in the tests.
/// </summary>
public static class LetterToSound
{
    // grapheme, sounds, condition: "" any, "^" start only, "$" end only, "e" a vowel letter e i y follows, "v" a vowel follows, "c" a consonant or end follows.
    private static readonly (string Letters, string Sounds, string When)[] Rules =
    [
        ("tional", "S@n@l", ""), ("tion", "S@n", ""), ("sion", "Z@n", ""), ("ssion", "S@n", ""), ("cious", "S@s", ""), ("tious", "S@s", ""), ("cial", "S@l", ""),
        ("ture", "C@r", "$"), ("sure", "Z@r", "$"), ("ough", "o", ""), ("augh", "O", ""), ("eigh", "E", ""), ("igh", "Y", ""), ("aigh", "E", ""),
        ("wr", "r", "^"), ("kn", "n", "^"), ("gn", "n", "^"), ("ps", "s", "^"), ("wh", "w", ""), ("qu", "kw", ""), ("tch", "C", ""), ("dge", "j", ""),
        ("sch", "sk", ""), ("sh", "S", ""), ("ch", "C", ""), ("ph", "f", ""), ("th", "T", ""), ("ck", "k", ""), ("ng", "N", "$"), ("ng", "N", "c"), ("nk", "Nk", ""),
        ("gh", "g", "^"), ("gh", "", ""), ("mb", "m", "$"), ("mn", "m", "$"), ("lm", "m", "$"), ("lk", "k", "$"), ("alk", "Ok", ""), ("all", "Ol", ""), ("sc", "s", "e"), ("cc", "ks", "e"), ("xc", "ks", "e"),
        ("bb", "b", ""), ("cc", "k", ""), ("dd", "d", ""), ("ff", "f", ""), ("gg", "g", ""), ("ll", "l", ""), ("mm", "m", ""), ("nn", "n", ""), ("pp", "p", ""), ("rr", "r", ""), ("ss", "s", ""), ("tt", "t", ""), ("zz", "z", ""),
        ("aire", "er", ""), ("air", "er", ""), ("are", "er", "$"), ("ear", "Ir", ""), ("eer", "Ir", ""), ("oor", "Or", ""), ("oar", "Or", ""), ("our", "Wr", ""), ("ore", "Or", ""), ("ier", "Ir", ""), ("ure", "yUr", "$"), ("ire", "Yr", ""),
        ("ar", "Ar", "c"), ("or", "Or", "c"), ("er", "R", "c"), ("ir", "R", "c"), ("ur", "R", "c"), ("yr", "R", "c"), ("war", "wOr", "c"), ("wor", "wR", "c"), ("wa", "wA", "c"),
        ("eau", "o", ""), ("ai", "E", ""), ("ay", "E", ""), ("au", "O", ""), ("aw", "O", ""), ("ea", "I", ""), ("ee", "I", ""), ("ei", "E", ""), ("ey", "I", "$"), ("ey", "E", ""), ("eu", "yU", ""), ("ew", "U", ""),
        ("ie", "Y", "$"), ("ie", "I", ""), ("oa", "o", ""), ("oe", "o", ""), ("oi", "J", ""), ("oy", "J", ""), ("oo", "U", ""), ("ou", "W", ""), ("ow", "o", "$"), ("ow", "W", ""), ("ue", "U", ""), ("ui", "U", ""), ("uy", "Y", ""),
        ("ed", "d", "$"), ("es", "z", "$"), ("le", "@l", "$"), ("re", "@r", "$"), ("e", "", "$"), ("y", "I", "$"), ("y", "y", "^"), ("s'", "s", "$"), ("'s", "z", "$"), ("'", "", ""),
        ("c", "s", "e"), ("g", "j", "e"), ("a", "@", "$"), ("o", "o", "$"), ("i", "I", "$"), ("u", "U", "$"),
        ("a", "a", ""), ("b", "b", ""), ("c", "k", ""), ("d", "d", ""), ("e", "e", ""), ("f", "f", ""), ("g", "g", ""), ("h", "h", ""), ("i", "i", ""), ("j", "j", ""), ("k", "k", ""), ("l", "l", ""), ("m", "m", ""),
        ("n", "n", ""), ("o", "A", ""), ("p", "p", ""), ("q", "k", ""), ("r", "r", ""), ("s", "s", ""), ("t", "t", ""), ("u", "V", ""), ("v", "v", ""), ("w", "w", ""), ("x", "ks", ""), ("y", "i", ""), ("z", "z", ""),
    ];

    private static readonly Dictionary<char, (string Letters, string Sounds, string When)[]> ByFirst =
        Rules.GroupBy(r => r.Letters[0]).ToDictionary(g => g.Key, g => g.OrderByDescending(r => r.Letters.Length).ToArray());

    /// <summary>Sounds of one written word in the letters of <see cref="Phones"/>.</summary>
    public static string Of(string word)
    {
        ArgumentNullException.ThrowIfNull(word);
        var sounds = new StringBuilder(word.Length + 2);
        int i = 0;
        while (i < word.Length)
        {
            char c = word[i];
            if (IsPlainVowel(c) && i + 2 < word.Length && IsConsonant(word[i + 1]) && word[i + 2] == 'e' && word[i + 1] is not ('x' or 'r')
                && (i + 3 == word.Length || (i + 4 == word.Length && word[i + 3] is 's' or 'd') || word[i + 3] == '\''))
            {
                sounds.Append(c switch { 'a' => "E", 'e' => "I", 'i' or 'y' => "Y", 'o' => "o", _ => "U" });
                i++;
                continue;
            }

            bool done = false;
            if (ByFirst.TryGetValue(c, out var rules))
            {
                foreach (var (letters, said, when) in rules)
                {
                    if (string.CompareOrdinal(word, i, letters, 0, letters.Length) != 0)
                    {
                        continue;
                    }

                    int after = i + letters.Length;
                    char next = after < word.Length ? word[after] : '\0';
                    bool fits = when switch
                    {
                        "^" => i == 0,
                        "$" => after == word.Length && (i > 0 || letters.Length > 1),
                        "e" => next is 'e' or 'i' or 'y',
                        "v" => IsPlainVowel(next),
                        "c" => !IsPlainVowel(next),
                        _ => true,
                    };
                    if (when == "$" && letters is "e" or "es" or "ed" && !HasVowel(sounds))
                    {
                        fits = false;
                    }

                    if (fits)
                    {
                        sounds.Append(said);
                        i = after;
                        done = true;
                        break;
                    }
                }
            }

            if (!done)
            {
                i++;
            }
        }

        return sounds.ToString();
    }

    private static bool HasVowel(StringBuilder s)
    {
        for (int k = 0; k < s.Length; k++)
        {
            if (Phones.IsVowel(s[k]))
            {
                return true;
            }
        }

        return false;
    }

    private static bool IsPlainVowel(char c) => c is 'a' or 'e' or 'i' or 'o' or 'u' or 'y';

    private static bool IsConsonant(char c) => char.IsAsciiLetter(c) && !IsPlainVowel(c);
}
