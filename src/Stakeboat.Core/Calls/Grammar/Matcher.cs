using Stakeboat.Core.Calls.Lattice;
using Stakeboat.Core.Calls.Words;

namespace Stakeboat.Core.Calls.Grammar;

/// <summary>A pattern found in the graph.</summary>
internal sealed record Match(int From, int To, Rule Rule, Slots? Slots, double Score, int FirstToken, int LastToken, int Words);

/// <summary>A number, crew or lane between two points.</summary>
internal sealed record Chunk(int To, char What, NumberKind Kind, double Number, int Crew, int Token, double LogShare, int Words);

/// <summary>Lays all patterns of a grammar along a word graph; words that mean nothing may stand between.</summary>
internal sealed class Matcher(Automaton automaton, IReadOnlySet<string> fillers)
{
    private const int MostThreads = 6000;

    /// <summary>Log share below which a match is no longer followed; offers are made above it only.</summary>
    private const double Hopeless = -6;
    private const double FillerCost = 0.25, StrangerCost = 2.6;

    private readonly record struct Thread(int Point, int State, Slots? Slots, double Score, int Token, int Words, int Skips, int Strangers);

    private sealed class Cache
    {
        public List<Chunk>?[] Chunks = [];

        /// <summary>By point and arc: number of the word in the automaton, and whether it means nothing.</summary>
        public (int Word, bool Filler)[][] Arcs = [];
    }

    public List<Match> All(WordGraph graph, int crews)
    {
        var found = new List<Match>();
        var cache = new Cache { Chunks = new List<Chunk>?[graph.Points], Arcs = new (int, bool)[graph.Points][] };
        foreach (int p in graph.Order)
        {
            var arcs = graph.From(p);
            var numbers = new (int, bool)[arcs.Count];
            for (int k = 0; k < numbers.Length; k++)
            {
                numbers[k] = (automaton.WordNumber(arcs[k].Word), fillers.Contains(arcs[k].Word) || arcs[k].Word == SpeechModel.Name);
            }

            cache.Arcs[p] = numbers;
        }

        var queue = new Queue<Thread>();
        foreach (int start in graph.Order)
        {
            if (graph.From(start).Count == 0)
            {
                continue;
            }

            int firstToken = graph.From(start)[0].Token;
            queue.Clear();
            queue.Enqueue(new Thread(start, 0, null, 0, -1, 0, 0, 0));
            int threads = 0;
            while (queue.Count > 0 && threads++ < MostThreads)
            {
                var t = queue.Dequeue();
                foreach (var e in automaton.Endings[t.State])
                {
                    if (t.Words > 0 && t.Skips == 0)
                    {
                        var rule = automaton.Rules[e.Rule];
                        found.Add(new Match(start, t.Point, rule, Apply(t.Slots, e.Before, t.Token), t.Score, firstToken, t.Token, t.Words));
                    }
                }

                Advance(graph, cache, queue, t);
            }
        }

        return found;
    }

    private void Advance(WordGraph graph, Cache cache, Queue<Thread> queue, Thread t)
    {
        var byWord = automaton.ByWord[t.State];
        var arcs = graph.From(t.Point);
        var numbers = cache.Arcs[t.Point];
        for (int k = 0; k < numbers.Length; k++)
        {
            var arc = arcs[k];
            double score = t.Score + arc.LogShare;
            if (score < Hopeless)
            {
                continue;
            }

            if (numbers[k].Word >= 0 && byWord.TryGetValue(numbers[k].Word, out var steps))
            {
                foreach (var s in steps)
                {
                    queue.Enqueue(new Thread(arc.To, s.To, Apply(t.Slots, s.Before, arc.Token), score, arc.Token, t.Words + 1, 0, t.Strangers));
                }
            }

            if (t.Words > 0 && t.Skips < 3)
            {
                if (numbers[k].Filler)
                {
                    queue.Enqueue(t with { Point = arc.To, Score = score - FillerCost, Skips = t.Skips + 1 });
                }
                else if (t.Strangers == 0 && t.Words >= 2 && arc.LogShare > -1.2)
                {
                    queue.Enqueue(t with { Point = arc.To, Score = score - StrangerCost, Skips = t.Skips + 1, Strangers = 1 });
                }
            }
        }

        if (automaton.Takes[t.State].Length == 0)
        {
            return;
        }

        foreach (var s in automaton.Takes[t.State])
        {
            foreach (var c in Chunks(graph, cache, t.Point))
            {
                if (c.What != s.What || t.Score + c.LogShare < Hopeless || (s.What == '#' && !Fits(s.Kind, c.Kind)))
                {
                    continue;
                }

                var slots = Apply(t.Slots, s.Before, c.Token);
                slots = c.What switch
                {
                    '#' => new Slots(s.Slot, null, c.Number, c.Token, slots),
                    '@' => new Slots(s.Slot == "n" ? "crew" : s.Slot, null, c.Crew, c.Token, slots),
                    _ => slots,
                };
                queue.Enqueue(new Thread(c.To, s.To, slots, t.Score + c.LogShare, c.Token, t.Words + c.Words, 0, t.Strangers));
            }
        }
    }

    private static bool Fits(string wanted, NumberKind kind) => wanted switch
    {
        "n" => kind == NumberKind.Plain,
        "b" => kind is NumberKind.Plain or NumberKind.Brief,
        "d" => kind is NumberKind.Plain or NumberKind.Digits,
        "f" => kind == NumberKind.Fraction,
        "p" => kind == NumberKind.Clock,
        "r" => kind is NumberKind.Range,
        _ => false,
    };

    private static Slots? Apply(Slots? slots, SlotSetting[] sets, int token)
    {
        foreach (var s in sets)
        {
            slots = new Slots(s.Slot, s.Value, s.Number, token, slots);
        }

        return slots;
    }

    private static List<Chunk> Chunks(WordGraph graph, Cache cache, int point)
    {
        if (cache.Chunks[point] is { } known)
        {
            return known;
        }

        var found = new List<Chunk>();
        foreach (var a in graph.From(point))
        {
            if (a.Word == SpeechModel.Crew)
            {
                found.Add(new Chunk(a.To, '@', default, 0, a.Crew, a.Token, a.LogShare, 1));
            }
            else if (a.Word == SpeechModel.Name)
            {
                found.Add(new Chunk(a.To, '~', default, 0, -1, a.Token, a.LogShare, 1));
            }
            else if (SpokenNumbers.Begins(a.Word))
            {
                Numbers(graph, a, [a.Word], a.LogShare, found, 0);
            }
        }

        cache.Chunks[point] = found;
        return found;
    }

    private static void Numbers(WordGraph graph, WordArc last, List<string> words, double share, List<Chunk> found, int depth)
    {
        foreach (var (kind, value) in SpokenNumbers.Read(words))
        {
            // A word that stands there as it was said weighs nothing; guesses pay by their share.
            found.Add(new Chunk(last.To, '#', kind, value, -1, last.Token, share, words.Count));
        }

        if (depth >= SpokenNumbers.Longest || found.Count > 60)
        {
            return;
        }

        foreach (var next in graph.From(last.To))
        {
            if (SpokenNumbers.Belongs(next.Word) && share + next.LogShare > -7)
            {
                words.Add(next.Word);
                Numbers(graph, next, words, share + next.LogShare, found, depth + 1);
                words.RemoveAt(words.Count - 1);
            }
        }
    }
}
