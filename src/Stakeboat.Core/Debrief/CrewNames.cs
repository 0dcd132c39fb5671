namespace Stakeboat.Core.Debrief;

/// <summary>Whether a crew was named in the words of a call, or only understood from the talk before.</summary>
internal static class CrewNames
{
    /// <param name="words">As the caption has them; empty where they are not known, which counts as named.</param>
    /// <param name="crew">Null: none was understood.</param>
    public static bool In(string words, string? crew)
    {
        if (words.Length == 0 || crew is null)
        {
            return true;
        }

        string[] heard = Tokens(words), parts = Tokens(crew);
        return parts.Any(p => heard.Any(h => Alike(p, h)));
    }

    private static string[] Tokens(string text) =>
        [.. text.ToLowerInvariant().Split([' ', '-', ',', '.', '\''], StringSplitOptions.RemoveEmptyEntries).Where(t => t.Length >= 3)];

    /// <summary>Captions mis-hear names: two letters in five may differ, half of them where the beginnings agree and the words are long.</summary>
    private static bool Alike(string a, string b)
    {
        int longer = Math.Max(a.Length, b.Length), distance = Distance(a, b);
        double allowed = longer <= 4 ? 0.25 : a[..2] == b[..2] ? 0.5 : 0.4;
        return distance <= allowed * longer;
    }

    /// <summary>Edits of single letters (Levenshtein 1966).</summary>
    private static int Distance(string a, string b)
    {
        int[] row = [.. Enumerable.Range(0, b.Length + 1)];
        for (int i = 1; i <= a.Length; i++)
        {
            int diagonal = row[0];
            row[0] = i;
            for (int j = 1; j <= b.Length; j++)
            {
                int above = row[j];
                row[j] = Math.Min(Math.Min(above, row[j - 1]) + 1, diagonal + (a[i - 1] == b[j - 1] ? 0 : 1));
                diagonal = above;
            }
        }

        return row[b.Length];
    }
}
