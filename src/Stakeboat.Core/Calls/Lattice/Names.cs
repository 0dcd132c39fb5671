using Stakeboat.Core.Calls.Learned;
using Stakeboat.Core.Calls.Sounds;

namespace Stakeboat.Core.Calls.Lattice;

/// <summary>A crew that may be spoken of, with the ways in which its name may be shortened.</summary>
/// <param name="Index">Its place in the list of crews.</param>
public sealed record CrewName(int Index, string Name, int? Lane)
{
    private static readonly HashSet<string> Tails = new(StringComparer.Ordinal)
    {
        "state", "school", "college", "grammar", "girls", "boys", "ladies", "women", "masters", "hall", "tech", "academy", "prep", "high", "frosh",
        "novice", "second", "four", "lodge", "rowing", "club", "university",
    };

    /// <summary>The name in lower case and its shorter forms, longest first.</summary>
    public IReadOnlyList<string[]> Forms
    {
        get
        {
            var words = Name.ToLowerInvariant().Replace('\u2019', '\'').Split([' ', '-'], StringSplitOptions.RemoveEmptyEntries);
            var forms = new List<string[]> { words };
            if (words.Length > 1 && Tails.Contains(words[^1]))
            {
                forms.Add(words[..^1]);
            }

            if (words.Length > 1 && words[0].Length >= 4 && words[0] is not ("saint" or "north" or "south" or "east" or "west" or "little" or "great" or "blue" or "four" or "five" or "dark" or "grey" or "gray" or "dead" or "open" or "port" or "stern" or "long"))
            {
                forms.Add(words[..1]);
            }

            if (words.Length > 2)
            {
                forms.Add(words[..2]);
            }

            return forms;
        }
    }
}

/// <summary>Hears the names of crews and people, however they were spelt.</summary>
internal sealed class NameIndex
{
    private readonly List<(string Sounds, int Crew, double Cost, int Words, string Text)> _forms = [];
    private readonly List<(string Sounds, string Name)> _people = [];
    private readonly HashSet<string> _names;

    public NameIndex(IReadOnlyList<CrewName> crews, HashSet<string> people, Pronunciations sounds)
    {
        _names = people;
        foreach (var c in crews)
        {
            int rank = 0;
            foreach (var form in c.Forms)
            {
                string s = string.Concat(form.Select(sounds.Of));
                double cost = rank++ == 0 ? 0 : 1.6;
                string text = string.Join(' ', form);
                _forms.Add((s, c.Index, cost, form.Length, text));
                _forms.Add((s + "z", c.Index, cost + 0.3, form.Length, text + "'s"));
            }
        }

        foreach (string p in people)
        {
            _people.Add((sounds.Of(p), p));
        }
    }

    public void Propose(List<SpanReading> found, IReadOnlyList<CallToken> tokens, int i, int k, string sound)
    {
        string heard = string.Join(' ', Enumerable.Range(i, k).Select(t => tokens[t].Text));
        var best = new Dictionary<int, double>();
        foreach (var (s, crew, cost, _, text) in _forms)
        {
            double logP;
            if (text == heard || text.Replace("'", "", StringComparison.Ordinal) == heard)
            {
                logP = -0.2 - cost;
            }
            else
            {
                if (Math.Abs(s.Length - sound.Length) > 4 || s.Length < 3)
                {
                    continue;
                }

                double d = Phones.Distance(s, sound);
                double relative = d / s.Length;
                if (relative > 0.36)
                {
                    continue;
                }

                logP = -1.2 - cost - (14 * relative);
            }

            if (!best.TryGetValue(crew, out double before) || logP > before)
            {
                best[crew] = logP;
            }
        }

        foreach (var (crew, logP) in best)
        {
            found.Add(new SpanReading(i, i + k, [SpeechModel.Crew], crew, logP, false));
        }

        if (k != 1)
        {
            return;
        }

        foreach (var (s, name) in _people)
        {
            double d = name == heard ? 0 : Phones.Distance(s, sound);
            if (d / Math.Max(2, s.Length) < 0.25)
            {
                found.Add(new SpanReading(i, i + 1, [SpeechModel.Name], -1, -0.5 - (12 * d / Math.Max(2, s.Length)), name == heard));
                break;
            }
        }
    }
}
