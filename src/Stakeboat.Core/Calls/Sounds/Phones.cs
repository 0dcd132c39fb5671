namespace Stakeboat.Core.Calls.Sounds;

/// <summary>
/// The sounds of English as single letters, and what it costs to hear one for another. Costs are of our own choosing, after the
/// articulatory features of each sound (place, manner, voice; height and backness of vowels): 0 the same, 1 unlike.
/// <para>Vowels: a trap, A lot, V strut, O thought, u foot, U goose, i kit, I fleece, e dress, E face, o goat, W mouth, Y price, J choice,
/// @ schwa, R nurse. Consonants: T thin, D then, S ship, Z measure, N sing, C church, j judge; the rest as spelt.</para>
/// </summary>
public static class Phones
{
    public const string Vowels = "aAVOuUiIeEoWYJ@R";
    public const string Consonants = "pbtdkgfvTDszSZhmnNlrwyCj";
    private const int Size = 128;
    private static readonly float[] Sub = Build();
    private static readonly float[] Gap = BuildGaps();

    public static float Substitution(char a, char b) => a < Size && b < Size ? Sub[(a * Size) + b] : 1.5f;

    /// <summary>What a sound costs that was added or lost.</summary>
    public static float Insertion(char a) => a < Size ? Gap[a] : 1;

    public static bool IsVowel(char c) => Vowels.Contains(c, StringComparison.Ordinal);

    /// <summary>Weighted edit distance of two sound strings.</summary>
    public static double Distance(ReadOnlySpan<char> a, ReadOnlySpan<char> b)
    {
        Span<float> row = b.Length < 128 ? stackalloc float[b.Length + 1] : new float[b.Length + 1];
        row[0] = 0;
        for (int j = 1; j <= b.Length; j++)
        {
            row[j] = row[j - 1] + Insertion(b[j - 1]);
        }

        foreach (char c in a)
        {
            float diagonal = row[0];
            row[0] += Insertion(c);
            for (int j = 1; j <= b.Length; j++)
            {
                float best = MathF.Min(diagonal + Substitution(c, b[j - 1]), MathF.Min(row[j] + Insertion(c), row[j - 1] + Insertion(b[j - 1])));
                diagonal = row[j];
                row[j] = best;
            }
        }

        return row[b.Length];
    }

    // Vowels as (height 0-3, backness 0-2, where a diphthong ends).
    private static (float Height, float Back, float Glide) V(char c) => c switch
    {
        'I' => (3, 0, 0), 'i' => (2.5f, 0.3f, 0), 'e' => (1.5f, 0.2f, 0), 'E' => (2, 0, 0.5f), 'a' => (0.5f, 0.4f, 0), 'A' => (0, 1.6f, 0),
        'V' => (0.9f, 1.2f, 0), 'O' => (1, 2, 0), 'u' => (2.4f, 1.7f, 0), 'U' => (3, 2, 0), 'o' => (1.7f, 1.8f, 0.8f), 'W' => (0.2f, 1.2f, 1),
        'Y' => (0.2f, 1, -1), 'J' => (1.2f, 1.8f, -1), '@' => (1.4f, 1, 0), 'R' => (1.5f, 1.1f, 0.2f), _ => (1.5f, 1, 0),
    };

    // Consonants as (place 0 lips - 6 throat, manner: 0 stop 1 affricate 2 fricative 3 nasal 4 liquid 5 glide, voice).
    private static (float Place, int Manner, int Voice) C(char c) => c switch
    {
        'p' => (0, 0, 0), 'b' => (0, 0, 1), 't' => (2, 0, 0), 'd' => (2, 0, 1), 'k' => (5, 0, 0), 'g' => (5, 0, 1), 'f' => (0.5f, 2, 0), 'v' => (0.5f, 2, 1),
        'T' => (1.2f, 2, 0), 'D' => (1.2f, 2, 1), 's' => (2, 2, 0), 'z' => (2, 2, 1), 'S' => (3, 2, 0), 'Z' => (3, 2, 1), 'h' => (6, 2, 0),
        'm' => (0, 3, 1), 'n' => (2, 3, 1), 'N' => (5, 3, 1), 'l' => (2, 4, 1), 'r' => (2.8f, 4, 1), 'w' => (0, 5, 1), 'y' => (4, 5, 1),
        'C' => (3, 1, 0), 'j' => (3, 1, 1), _ => (3, 2, 0),
    };

    private static float[] Build()
    {
        var sub = new float[Size * Size];
        Array.Fill(sub, 1.5f);
        foreach (char a in Vowels)
        {
            foreach (char b in Vowels)
            {
                var (p, q) = (V(a), V(b));
                float d = a == b ? 0 : 0.1f + (0.16f * MathF.Abs(p.Height - q.Height)) + (0.12f * MathF.Abs(p.Back - q.Back))
                    + (0.14f * MathF.Abs(p.Glide - q.Glide));
                if (a != b && (a == '@' || b == '@'))
                {
                    d = MathF.Min(d, 0.3f);
                }

                sub[(a * Size) + b] = MathF.Min(d, 0.9f);
            }

            foreach (char b in Consonants)
            {
                float d = (a is 'I' or 'i' && b == 'y') || (a is 'U' or 'u' && b == 'w') || (a is 'R' or '@' && b is 'r' or 'l') || (a is 'O' or 'o' && b is 'l') ? 0.5f : 1.4f;
                sub[(a * Size) + b] = d;
                sub[(b * Size) + a] = d;
            }
        }

        foreach (char a in Consonants)
        {
            foreach (char b in Consonants)
            {
                var (p, q) = (C(a), C(b));
                float manner = p.Manner == q.Manner ? 0 : (p.Manner, q.Manner) switch
                {
                    (0, 1) or (1, 0) or (1, 2) or (2, 1) => 0.3f,
                    (0, 2) or (2, 0) => 0.45f,
                    (4, 5) or (5, 4) => 0.3f,
                    (0, 3) or (3, 0) => 0.5f,
                    _ => 0.75f,
                };
                float d = a == b ? 0 : 0.12f + (0.11f * MathF.Min(3, MathF.Abs(p.Place - q.Place))) + manner + (p.Voice == q.Voice ? 0 : 0.15f);
                sub[(a * Size) + b] = MathF.Min(d, 1.1f);
            }
        }

        return sub;
    }

    private static float[] BuildGaps()
    {
        var gap = new float[Size];
        Array.Fill(gap, 0.8f);
        foreach (char c in Vowels)
        {
            gap[c] = 0.6f;
        }

        (gap['@'], gap['h'], gap['t'], gap['d'], gap['r'], gap['y'], gap['l'], gap['i'], gap['n'], gap['s'], gap['z'], gap['w']) =
            (0.3f, 0.35f, 0.45f, 0.45f, 0.4f, 0.4f, 0.5f, 0.5f, 0.6f, 0.6f, 0.55f, 0.5f);
        return gap;
    }
}
