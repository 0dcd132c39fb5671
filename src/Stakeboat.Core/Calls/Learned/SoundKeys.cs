using System.Text;

namespace Stakeboat.Core.Calls.Learned;

/// <summary>
/// Letters to a coarse key of sounds, and how alike two keys are: enough to find "Quillbrook" in "quill bro". Our own rules; the
/// training scripts hold the same ones line by line and a differential test holds the two together.
/// </summary>
internal static class SoundKeys
{
    private const string Close = "bpdtgkfvsSmnlrjCSCTtTfTdTskCwvwrgjbvsjdj";

    public static bool IsVowel(char c) => c is 'a' or 'e' or 'i' or 'o' or 'u';

    /// <summary>The key of lower-case text; other characters than a..z are passed over.</summary>
    public static string Of(string text)
    {
        var s = new StringBuilder(text.Length);
        foreach (var c in text)
        {
            if (c is >= 'a' and <= 'z')
            {
                s.Append(c);
            }
        }

        return OfLetters(s.ToString());
    }

    private static string OfLetters(string s)
    {
        var output = new StringBuilder(s.Length);
        var n = s.Length;
        for (var i = 0; i < n;)
        {
            var c = s[i];
            var d = i + 1 < n ? s[i + 1] : '\0';
            if (Letter(c) && !(c == 'y' && i == 0))
            {
                if (output.Length == 0 || !IsVowel(output[^1]))
                {
                    output.Append(c == 'y' ? 'i' : c);
                }

                i++;
                continue;
            }

            if (c == d && c != 'c')
            {
                i++;
                continue;
            }

            var (sound, step) = Consonant(s, i, c, d);
            foreach (var x in sound)
            {
                if (output.Length == 0 || output[^1] != x)
                {
                    output.Append(x);
                }
            }

            i += step;
        }

        return output.ToString();
    }

    private static bool Letter(char c) => IsVowel(c) || c == 'y';

    private static (string Sound, int Step) Consonant(string s, int i, char c, char d) => (c, d) switch
    {
        ('p', 'h') => ("f", 2),
        ('s', 'h') => ("S", 2),
        ('c', 'h') => ("C", 2),
        ('t', 'h') => ("T", 2),
        ('c', 'k') => ("k", 2),
        ('g', 'h') => (i == 0 ? "g" : "", 2),
        ('w', 'h') => ("w", 2),
        ('k', 'n') when i == 0 => ("n", 2),
        ('w', 'r') => ("r", 2),
        ('d', 'g') => ("j", 2),
        ('c', _) => (d is 'e' or 'i' or 'y' ? "s" : "k", 1),
        ('q', _) => ("kw", d == 'u' ? 2 : 1),
        ('x', _) => (i > 0 ? "ks" : "s", 1),
        ('z', _) => ("s", 1),
        ('y', _) => ("j", 1),
        ('h', _) => (i == 0 || !Letter(s[i - 1]) || Letter(d) ? "h" : "", 1),
        ('w', _) => (Letter(d) ? "w" : "", 1),
        _ => (c.ToString(), 1),
    };

    /// <summary>Likeness in [0, 1]: one less the weighted edit distance over the longer key's weight.</summary>
    public static double Alike(string a, string b)
    {
        double wa = 0, wb = 0;
        foreach (var x in a)
        {
            wa += Drop(x);
        }

        foreach (var y in b)
        {
            wb += Drop(y);
        }

        var top = Math.Max(wa, wb);
        if (top <= 0 || Math.Abs(wa - wb) > .5 * top)
        {
            return 0;
        }

        Span<double> before = stackalloc double[64];
        Span<double> now = stackalloc double[64];
        var m = Math.Min(b.Length, 62);
        before[0] = 0;
        for (var j = 0; j < m; j++)
        {
            before[j + 1] = before[j] + Drop(b[j]);
        }

        foreach (var x in a)
        {
            var drop = Drop(x);
            now[0] = before[0] + drop;
            for (var j = 0; j < m; j++)
            {
                var y = b[j];
                now[j + 1] = Math.Min(before[j] + Change(x, y), Math.Min(before[j + 1] + drop, now[j] + Drop(y)));
            }

            now[..(m + 1)].CopyTo(before);
        }

        return Math.Max(0, 1 - (before[m] / top));
    }

    private static double Drop(char x) => IsVowel(x) ? .4 : x is 'h' or 'w' or 'r' ? .5 : .8;

    private static double Change(char x, char y)
    {
        if (x == y)
        {
            return 0;
        }

        var vx = IsVowel(x);
        var vy = IsVowel(y);
        if (vx && vy)
        {
            return .3;
        }

        if (vx || vy)
        {
            return 1.2;
        }

        for (var i = 0; i < Close.Length; i += 2)
        {
            if ((Close[i] == x && Close[i + 1] == y) || (Close[i] == y && Close[i + 1] == x))
            {
                return .45;
            }
        }

        return 1;
    }
}
