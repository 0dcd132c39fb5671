using Stakeboat.Core.Calls.Learned;
using Stakeboat.Core.Calls.Words;
using SpokenNumbers = Stakeboat.Core.Calls.Words.SpokenNumbers;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Core.Calls.Context;

/// <summary>Finds text that nobody in the boat said, or that cannot be calls: invented, repeated, impossible, foreign, figures alone.</summary>
internal static class SettingAside
{
    /// <summary>More words than this a second is no speech; common practice, no source (fast auctioneers reach six).</summary>
    private const double FastestWords = 9;

    /// <summary>A cue with more words than this has no time worth the name.</summary>
    private const int LongestCue = 1500;

    // What recognisers are known to write over silence and music. From general experience; no source.
    private static readonly string[] Invented =
    [
        "thanks for watching", "thank you for watching", "please subscribe", "subscribe to", "like and subscribe", "subtitles by", "captions by", "transcribed by",
        "see you in the next video", "don't forget to subscribe", "translated by", "amara org", "all rights reserved", "thank you very much for watching",
        "see you next time", "copyright", "www", "music playing", "applause",
    ];

    public static List<SetAside> Find(CaptionTrack captions, CallModels models)
    {
        var found = new List<SetAside>();
        var words = new List<CallToken>[captions.Cues.Count];
        int all = 0, figures = 0;
        for (int c = 0; c < words.Length; c++)
        {
            words[c] = [];
            if (captions.Cues[c].Text.Length <= 40 * LongestCue)
            {
                Tokenizer.Append(captions.Cues[c].Text, c, words[c]);
            }

            all += words[c].Count;
            figures += words[c].Count(w => char.IsAsciiDigit(w.Text[0]) || SpokenNumbers.Begins(w.Text));
        }

        bool numbersOnly = all >= 30 && figures > 0.92 * all;
        var foreign = Foreign(words, models);
        int same = 0;
        string before = "";
        for (int c = 0; c < words.Length; c++)
        {
            string text = string.Join(' ', words[c].Select(w => w.Text));
            double length = Math.Max(0.3, captions.Cues[c].End.Seconds - captions.Cues[c].Start.Seconds);
            same = text == before ? same + 1 : 0;
            before = text;
            SetAsideWhy? why = null;
            if (captions.Cues[c].Text.Length > 40 * LongestCue || words[c].Count > LongestCue || (words[c].Count >= 10 && words[c].Count / length > FastestWords))
            {
                why = SetAsideWhy.TooFast;
            }
            else if (numbersOnly && words[c].Count > 0)
            {
                why = SetAsideWhy.NumbersOnly;
            }
            else if (Array.Exists(Invented, i => text == i || (text.Length < i.Length + 30 && text.Contains(i, StringComparison.Ordinal))))
            {
                why = SetAsideWhy.Invented;
            }
            else if ((same >= 2 && words[c].Count >= 4) || Loops(words[c]))
            {
                why = SetAsideWhy.Repeated;
            }
            else if (foreign[c])
            {
                why = SetAsideWhy.OtherLanguage;
            }

            if (why is { } w)
            {
                string shown = captions.Cues[c].Text.Length > 200 ? captions.Cues[c].Text[..200] : captions.Cues[c].Text;
                found.Add(new SetAside(c, captions.Cues[c].Start, captions.Cues[c].End, shown, w));
            }
        }

        return found;
    }

    /// <summary>The same three to eight words six times in one cue.</summary>
    private static bool Loops(List<CallToken> words)
    {
        for (int size = 3; size <= 8 && words.Count >= 6 * size; size++)
        {
            int runs = 0;
            for (int k = size; k + size <= words.Count; k += size)
            {
                bool equal = true;
                for (int j = 0; j < size && equal; j++)
                {
                    equal = words[k + j].Text == words[k + j - size].Text;
                }

                runs = equal ? runs + 1 : 0;
                if (runs >= 5)
                {
                    return true;
                }
            }
        }

        return false;
    }

    /// <summary>Stretches of sixty words of which few are words that coxswains of this language use.</summary>
    private static bool[] Foreign(List<CallToken>[] words, CallModels models)
    {
        const int Window = 60;
        var foreign = new bool[words.Length];
        int at = 0;
        while (at < words.Length)
        {
            int end = at, count = 0, known = 0;
            while (end < words.Length && count < Window)
            {
                foreach (var w in words[end])
                {
                    count++;
                    known += models.Speech.Count(models.Speech.Id(w.Text)) >= 3 || char.IsAsciiDigit(w.Text[0]) ? 1 : 0;
                }

                end++;
            }

            if (count >= 25 && known < 0.30 * count)
            {
                for (int c = at; c < end; c++)
                {
                    foreign[c] = true;
                }
            }

            at = end;
        }

        return foreign;
    }
}
