using System.Text;
using Stakeboat.Core.Calls.Sounds;

namespace Stakeboat.Words.Language;

/// <summary>
/// A pronunciation dictionary for a recogniser that takes one: `word PHONE PHONE ...`, a second way to say it as `word(2) ...`.
/// Words that the recogniser's own dictionary has keep its pronunciation; the rest (names, code words) get the sounds that the ear of
/// this program gives them, in the 39 phones of the CMU set.
/// </summary>
public static class PronunciationTable
{
    /// <param name="words">What must be pronounced.</param>
    /// <param name="own">The recogniser's dictionary, one pronunciation a line; null for none.</param>
    /// <param name="sounds">Sounds of a word in the letters of <see cref="Phones"/>.</param>
    public static void Write(IEnumerable<string> words, TextReader? own, Func<string, string> sounds, TextWriter o)
    {
        ArgumentNullException.ThrowIfNull(words);
        ArgumentNullException.ThrowIfNull(sounds);
        ArgumentNullException.ThrowIfNull(o);
        var wanted = new SortedSet<string>(words, StringComparer.Ordinal);
        var done = new HashSet<string>(StringComparer.Ordinal);
        while (own?.ReadLine() is { } line)
        {
            int space = line.IndexOf(' ', StringComparison.Ordinal);
            if (space <= 0)
            {
                continue;
            }

            int bracket = line.IndexOf('(', StringComparison.Ordinal);
            string word = line[..(bracket > 0 && bracket < space ? bracket : space)];
            if (wanted.Contains(word))
            {
                o.Write(line);
                o.Write('\n');
                done.Add(word);
            }
        }

        foreach (string word in wanted)
        {
            if (!done.Contains(word) && Phones(sounds(word)) is { Length: > 0 } phones)
            {
                o.Write(word);
                o.Write(' ');
                o.Write(phones);
                o.Write('\n');
            }
        }
    }

    /// <summary>The CMU phones of sounds written in the letters of <see cref="Core.Calls.Sounds.Phones"/>.</summary>
    public static string Phones(string sounds)
    {
        ArgumentNullException.ThrowIfNull(sounds);
        var text = new StringBuilder(sounds.Length * 3);
        foreach (char c in sounds)
        {
            string phone = c switch
            {
                'a' => "AE", 'A' => "AA", 'V' => "AH", 'O' => "AO", 'u' => "UH", 'U' => "UW", 'i' => "IH", 'I' => "IY", 'e' => "EH", 'E' => "EY",
                'o' => "OW", 'W' => "AW", 'Y' => "AY", 'J' => "OY", '@' => "AH", 'R' => "ER",
                'p' => "P", 'b' => "B", 't' => "T", 'd' => "D", 'k' => "K", 'g' => "G", 'f' => "F", 'v' => "V", 'T' => "TH", 'D' => "DH", 's' => "S",
                'z' => "Z", 'S' => "SH", 'Z' => "ZH", 'h' => "HH", 'm' => "M", 'n' => "N", 'N' => "NG", 'l' => "L", 'r' => "R", 'w' => "W", 'y' => "Y",
                'C' => "CH", 'j' => "JH",
                _ => "",
            };
            if (phone.Length > 0)
            {
                text.Append(text.Length > 0 ? " " : "").Append(phone);
            }
        }

        return text.ToString();
    }
}
