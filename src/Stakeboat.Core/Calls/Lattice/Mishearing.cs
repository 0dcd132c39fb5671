using Stakeboat.Core.Calls.Learned;
using Stakeboat.Core.Calls.Sounds;
using Stakeboat.Core.Calls.Words;

namespace Stakeboat.Core.Calls.Lattice;

/// <summary>
/// Proposes what may have been said for each short span of heard tokens: the words as they stand, figures spelt out, words heard for
/// others in training, and words or names of like sound.
/// </summary>
public sealed class Mishearing
{
    /// <summary>log P that a word is heard as it was said; from the bank about four words in five.</summary>
    private const double Kept = -0.22;

    /// <summary>A recogniser's alternative is at most as likely as this against the word that stands, log.</summary>
    private const double LeastDoubt = -0.1;

    private readonly SpeechModel _model;
    private readonly Pronunciations _sounds;
    private readonly SoundIndex _lexicon = new();
    private readonly List<string[]> _entries = [];
    private readonly System.Collections.Concurrent.ConcurrentDictionary<string, List<SoundMatch>> _cache = new(StringComparer.Ordinal);

    public Mishearing(SpeechModel model, Pronunciations sounds, IEnumerable<string> lexicon)
    {
        ArgumentNullException.ThrowIfNull(lexicon);
        (_model, _sounds) = (model, sounds);
        var seen = new HashSet<string>(StringComparer.Ordinal);
        foreach (string phrase in lexicon)
        {
            if (!seen.Add(phrase))
            {
                continue;
            }

            var words = phrase.Split(' ');
            foreach (string s in words.Length == 1 ? sounds.AllOf(phrase) : [string.Concat(words.Select(sounds.Of))])
            {
                _lexicon.Add(s);
                _entries.Add(words);
            }
        }
    }

    /// <summary>How much a unit of sound distance costs in log probability.</summary>
    public double Slope { get; init; } = 4;

    /// <summary>log P of any mis-hearing that no table knows.</summary>
    public double Offset { get; init; } = -3.2;

    public IReadOnlyList<SpanReading> Propose(IReadOnlyList<CallToken> tokens, IReadOnlyList<CrewName> crews, IReadOnlyList<string> names, IReadOnlyList<LearnedWord> own)
    {
        ArgumentNullException.ThrowIfNull(tokens);
        ArgumentNullException.ThrowIfNull(crews);
        ArgumentNullException.ThrowIfNull(names);
        ArgumentNullException.ThrowIfNull(own);
        var found = new List<SpanReading>();
        var people = new HashSet<string>(names.SelectMany(n => n.ToLowerInvariant().Split(' ')), StringComparer.Ordinal);
        var named = new NameIndex(crews, people, _sounds);
        for (int i = 0; i < tokens.Count; i++)
        {
            string text = tokens[i].Text;
            AsTheyStand(found, text, i);
            foreach (var (other, ratio) in tokens[i].Others ?? [])
            {
                // The recogniser's own doubt: as likely against the word that stands as it said, never likelier.
                found.Add(new SpanReading(i, i + 1, other.Split(' ', StringSplitOptions.RemoveEmptyEntries), -1, Kept + Math.Min(LeastDoubt, ratio), false));
            }

            string heard = "";
            string sound = "";
            for (int k = 1; k <= 3 && i + k <= tokens.Count; k++)
            {
                string word = tokens[i + k - 1].Text;
                if (word.Length > 18)
                {
                    break;
                }

                heard = k == 1 ? word : heard + " " + word;
                sound += Sound(word);
                foreach (var w in own)
                {
                    // A crew's own word counts however the captions spelt it.
                    double d = w.Heard == heard ? 0 : Phones.Distance(string.Concat(w.Heard.Split(' ').Select(_sounds.Of)), sound) / Math.Max(3, sound.Length);
                    if (d < 0.2)
                    {
                        found.Add(new SpanReading(i, i + k, w.Said.Split(' '), -1, Math.Log(w.Times / (w.Times + 1.0)) - (14 * d), false));
                    }
                }

                foreach (var (said, logP) in _model.SaidFor(heard))
                {
                    found.Add(new SpanReading(i, i + k, said, -1, logP, false));
                }

                named.Propose(found, tokens, i, k, sound);
                if (sound.Length is >= 2 and <= 22)
                {
                    BySound(found, i, k, heard, sound);
                }
            }
        }

        return found;
    }

    private string Sound(string word)
    {
        if (char.IsAsciiDigit(word[0]))
        {
            var ways = DigitReadings.Of(word);
            return ways.Count > 0 ? string.Concat(ways[^1].Select(_sounds.Of)) : "";
        }

        return _sounds.Of(word);
    }

    private static void AsTheyStand(List<SpanReading> found, string text, int i)
    {
        if (char.IsAsciiDigit(text[0]))
        {
            var ways = DigitReadings.Of(text);
            for (int w = 0; w < ways.Count; w++)
            {
                found.Add(new SpanReading(i, i + 1, ways[w], -1, Kept - (0.7 * w), true));
            }

            if (ways.Count > 0)
            {
                return;
            }
        }

        found.Add(new SpanReading(i, i + 1, [text], -1, Kept, true));
    }

    private void BySound(List<SpanReading> found, int i, int k, string heard, string sound)
    {
        double limit = 0.25 + (0.14 * sound.Length);
        string key = sound;
        if (!_cache.TryGetValue(key, out var near))
        {
            near = _lexicon.Near(sound, Math.Min(limit, 1.7), 10);
            if (_cache.Count < 100_000)
            {
                _cache[key] = near;
            }
        }

        foreach (var m in near)
        {
            var said = _entries[m.Entry];
            if ((said.Length == 1 && k == 1 && said[0] == heard) || (said.Length == k && k > 1 && string.Join(' ', said) == heard))
            {
                continue;
            }

            // A short word has many neighbours: a unit of distance means more there.
            double scaled = m.Distance * (1 + (2.0 / sound.Length));
            double regroup = said.Length == k ? (k > 1 ? -0.8 : 0) : -0.6;
            found.Add(new SpanReading(i, i + k, said, -1, Offset - (Slope * scaled) + regroup, false));
        }
    }
}
