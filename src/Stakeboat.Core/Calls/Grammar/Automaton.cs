namespace Stakeboat.Core.Calls.Grammar;

/// <summary>What a pattern learned on its way: a chain of slots, the last one first.</summary>
internal sealed record Slots(string Key, string? Text, double Number, int Token, Slots? Before);

/// <param name="Number">The value as a number; not a number where it is none.</param>
internal readonly record struct SlotSetting(string Slot, string Value, double Number);

/// <summary>One step of the automaton: what it takes and what it sets before taking it.</summary>
internal sealed record Step(char What, string Word, string Kind, string Slot, int To, SlotSetting[] Before);

/// <summary>A rule is complete here, after these settings.</summary>
internal sealed record Ending(int Rule, SlotSetting[] Before);

/// <summary>All patterns of a grammar as one non-deterministic automaton without empty steps (Thompson 1968; closures taken beforehand).</summary>
internal sealed class Automaton
{
    private readonly List<List<(int To, SlotSetting? Set)>> _empty = [];
    private readonly List<List<(TakePart? Take, string? Word, int To)>> _real = [];
    private readonly Dictionary<string, int> _numbers = new(StringComparer.Ordinal);

    public Step[][] Steps { get; }

    /// <summary>Steps of each state by the number of the word that they take.</summary>
    public Dictionary<int, Step[]>[] ByWord { get; }

    /// <summary>Number of a word that some pattern takes; -1 for all others.</summary>
    public int WordNumber(string word) => _numbers.GetValueOrDefault(word, -1);

    public Step[][] Takes { get; }

    public Ending[][] Endings { get; }

    public IReadOnlyList<Rule> Rules { get; }

    public Automaton(IReadOnlyList<Rule> rules)
    {
        Rules = rules;
        int start = New();
        var ends = new Dictionary<int, int>();
        for (int r = 0; r < rules.Count; r++)
        {
            int end = Add(rules[r].Form, start);
            ends[end] = r;
        }

        int n = _empty.Count;
        Steps = new Step[n][];
        Endings = new Ending[n][];
        ByWord = new Dictionary<int, Step[]>[n];
        Takes = new Step[n][];
        for (int s = 0; s < n; s++)
        {
            if (s != start && !IsTarget(s))
            {
                (Steps[s], Endings[s], Takes[s], ByWord[s]) = ([], [], [], []);
                continue;
            }

            var steps = new List<Step>();
            var endings = new List<Ending>();
            Close(s, [], steps, endings, ends, 0);
            Steps[s] = [.. steps];
            Endings[s] = [.. endings];
            Takes[s] = [.. steps.Where(x => x.What != 'w')];
            ByWord[s] = steps.Where(x => x.What == 'w').GroupBy(x => Number(x.Word)).ToDictionary(g => g.Key, g => g.ToArray());
        }
    }

    private int Number(string word)
    {
        if (!_numbers.TryGetValue(word, out int n))
        {
            _numbers[word] = n = _numbers.Count;
        }

        return n;
    }

    private HashSet<int>? _targets;

    private bool IsTarget(int s)
    {
        _targets ??= [.. _real.SelectMany(r => r).Select(r => r.To)];
        return _targets.Contains(s);
    }

    private int New()
    {
        _empty.Add([]);
        _real.Add([]);
        return _empty.Count - 1;
    }

    private int Add(Part part, int from)
    {
        switch (part)
        {
            case WordPart w:
            {
                int to = New();
                _real[from].Add((null, w.Word, to));
                return to;
            }

            case TakePart t:
            {
                int to = New();
                _real[from].Add((t, null, to));
                return to;
            }

            case SetPart s:
            {
                int to = New();
                _empty[from].Add((to, new SlotSetting(s.Slot, s.Value, double.TryParse(s.Value, System.Globalization.NumberStyles.Float, System.Globalization.CultureInfo.InvariantCulture, out double v) ? v : double.NaN)));
                return to;
            }

            case SeriesPart s:
                foreach (var p in s.Parts)
                {
                    from = Add(p, from);
                }

                return from;
            case ChoicePart c:
            {
                int join = New();
                foreach (var p in c.Parts)
                {
                    int begin = New();
                    _empty[from].Add((begin, null));
                    int end = Add(p, begin);
                    _empty[end].Add((join, null));
                }

                return join;
            }

            default:
                throw new FormatException("Unknown part of a pattern.");
        }
    }

    private void Close(int at, SlotSetting[] sets, List<Step> steps, List<Ending> endings, Dictionary<int, int> ends, int depth)
    {
        if (depth > 400)
        {
            throw new FormatException("A pattern turns in a circle.");
        }

        if (ends.TryGetValue(at, out int rule))
        {
            endings.Add(new Ending(rule, sets));
        }

        foreach (var (take, word, to) in _real[at])
        {
            steps.Add(take is null ? new Step('w', word!, "", "", to, sets) : new Step(take.What, "", take.Kind, take.Slot, to, sets));
        }

        foreach (var (to, set) in _empty[at])
        {
            Close(to, set is { } s ? [.. sets, s] : sets, steps, endings, ends, depth + 1);
        }
    }
}
