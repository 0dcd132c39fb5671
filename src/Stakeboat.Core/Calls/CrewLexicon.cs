using Stakeboat.Core.Calls.Learned;
using Stakeboat.Core.Calls.Words;

namespace Stakeboat.Core.Calls;

/// <summary>What corrections teach of a crew's own words.</summary>
public static class CrewLexicon
{
    /// <summary>Longest phrase that is learned; longer ones are sentences and teach nothing that comes again.</summary>
    public const int Longest = 3;

    /// <summary>Words heard and what was said, from corrections in which a person typed what was said; counted over repeats.</summary>
    public static IReadOnlyList<LearnedWord> Learn(IEnumerable<CallCorrection> corrections)
    {
        ArgumentNullException.ThrowIfNull(corrections);
        var times = new SortedDictionary<(string Heard, string Said), int>();
        foreach (var c in corrections)
        {
            if (c.Said is null || c.Heard.Length == 0)
            {
                continue;
            }

            var heard = Plain(c.Heard);
            var said = Plain(c.Said);
            // What stands alike at both ends was heard rightly: the middle is what is learned.
            int front = 0;
            while (front < heard.Count && front < said.Count && heard[front] == said[front])
            {
                front++;
            }

            int back = 0;
            while (back < heard.Count - front && back < said.Count - front && heard[^(back + 1)] == said[^(back + 1)])
            {
                back++;
            }

            var h = heard.GetRange(front, heard.Count - front - back);
            var s = said.GetRange(front, said.Count - front - back);
            if (h.Count is >= 1 and <= Longest && s.Count is >= 1 and <= 4)
            {
                var key = (string.Join(' ', h), string.Join(' ', s));
                times[key] = times.GetValueOrDefault(key) + 1;
            }
        }

        return [.. times.Select(p => new LearnedWord(p.Key.Heard, p.Key.Said, p.Value))];
    }

    private static List<string> Plain(string text)
    {
        var tokens = new List<CallToken>();
        Tokenizer.Append(text, 0, tokens);
        return [.. tokens.Select(t => t.Text)];
    }
}
