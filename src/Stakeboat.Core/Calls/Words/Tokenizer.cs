using System.Text;
using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Calls.Words;

/// <summary>Cuts caption text into words: lower case, no punctuation but apostrophes inside and what stands between digits.</summary>
public static class Tokenizer
{
    /// <summary>Longest word that is kept whole; what is longer is cut, so that ten megabytes without a blank stay harmless.</summary>
    public const int LongestWord = 40;

    /// <summary>Appends the words of one text.</summary>
    public static void Append(string text, int cue, List<CallToken> into)
    {
        ArgumentNullException.ThrowIfNull(text);
        ArgumentNullException.ThrowIfNull(into);
        var word = new StringBuilder();
        bool broken = true;
        for (int i = 0; i <= text.Length; i++)
        {
            char c = i < text.Length ? text[i] : ' ';
            if (c is '\u2019' or '\u2018' or '`')
            {
                c = '\'';
            }

            bool inside = char.IsLetterOrDigit(c) || (c == '\'' && word.Length > 0 && i + 1 < text.Length && char.IsLetter(text[i + 1]))
                || (c == '\'' && word.Length == 0 && i + 2 < text.Length && char.IsLetter(text[i + 1]))
                || (c is ':' or '.' or ',' && word.Length > 0 && char.IsDigit(word[^1]) && i + 1 < text.Length && char.IsDigit(text[i + 1])
                    && (c != ',' || IsThousands(text, i)));
            if (inside && word.Length < LongestWord)
            {
                if (c != ',')
                {
                    word.Append(char.ToLowerInvariant(c));
                }

                continue;
            }

            if (word.Length > 0)
            {
                into.Add(new CallToken(word.ToString(), broken, cue));
                word.Clear();
                broken = false;
            }

            if (c is '.' or ',' or '!' or '?' or ';' or ':' or '\n' or '\u2026')
            {
                broken = true;
            }
        }
    }

    private static bool IsThousands(string text, int comma) =>
        comma + 3 < text.Length && char.IsDigit(text[comma + 1]) && char.IsDigit(text[comma + 2]) && char.IsDigit(text[comma + 3])
        && (comma + 4 >= text.Length || !char.IsDigit(text[comma + 4]));
}
