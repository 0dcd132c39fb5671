using Stakeboat.Core.Calls;
using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Debrief.Findings;

/// <summary>
/// Did the boat answer a technical call? Mean speed of strokes 3 to 5 after it and of strokes 6 to 10 after it, each against the five strokes
/// before it. The rule (answer within 3 to 5 strokes, held 5 and more) is coaching practice; the test is a paired Student's t over the calls.
/// It shows what followed, not what was caused: plans put such calls where something changes anyway.
/// Each topic is a question of its own put to the same race, so the intervals are widened for the number of topics asked
/// (<see cref="FalseDiscovery"/>, rate 10 %): a topic is told from zero only where the false discovery rate over all topics allows it.
/// </summary>
internal static class TechnicalCalls
{
    /// <summary>Fewer calls on a topic than this are not asked about.</summary>
    private const int LeastCases = 3;

    /// <summary>Share of false ones among the topics that are told from zero: as the 90 % intervals elsewhere.</summary>
    private const double Rate = 0.10;

    public static IEnumerable<Finding> Find(DebriefFacts f)
    {
        if (f.Strokes.Count < 20 || f.RaceSpeed is not { } v)
        {
            yield break;
        }

        var byTopic = new Dictionary<string, List<(double Answer, double Held, Evidence E)>>();
        for (int i = 0; i < f.Calls.Count; i++)
        {
            var c = f.Calls[i];
            if (c.Call is not TechniqueCall t || c.Confidence < 0.5 || !f.InRace(c.At.Seconds))
            {
                continue;
            }

            int next = NextStroke(f.Strokes, c.At.Seconds);
            // The first 20 strokes are the start: speed rises whatever is said.
            if (next < 25 || MeanSpeed(f.Strokes, next - 5, next) is not { } before || MeanSpeed(f.Strokes, next + 2, next + 5) is not { } answer
                || MeanSpeed(f.Strokes, next + 5, next + 10) is not { } held)
            {
                continue;
            }

            string topic = t.Topic.ToString();
            if (!byTopic.TryGetValue(topic, out var list))
            {
                byTopic[topic] = list = [];
            }

            list.Add((answer - before, held - before, new Evidence(c.At.Seconds - 3, c.At.Seconds + 15, i)));
        }

        var asked = byTopic.Where(t => t.Value.Count >= LeastCases).ToList();
        int discoveries = FalseDiscovery.Discoveries([.. asked.Select(t => Chance([.. t.Value.Select(c => c.Answer)]))], Rate);
        foreach (var (topic, cases) in asked)
        {
            double level = FalseDiscovery.IntervalLevel(discoveries, asked.Count, Rate);
            if (Sample.Of([.. cases.Select(c => c.Answer)], level) is not { } s)
            {
                continue;
            }

            double held = cases.Sum(c => c.Held) / cases.Count;
            // Ten strokes of about 16 s at this change of speed, once for each case.
            double worth = Math.Abs(s.Mean) / v * 16 * cases.Count;
            bool clear = s.Mean - s.Half > 0 || s.Mean + s.Half < 0;
            yield return Sample.Finding(FindingKind.TechnicalCalls, s, clear ? worth : 0.05 * worth, topic, [.. cases.Take(5).Select(c => c.E)], held) with { Tried = asked.Count };
        }
    }

    /// <summary>Chance of a mean at least as far from zero where nothing changes (Student's t, two-sided).</summary>
    private static double Chance(double[] changes)
    {
        double mean = changes.Average(), variance = changes.Sum(c => (c - mean) * (c - mean)) / (changes.Length - 1);
        return variance > 0 ? 1 - StudentT.Within(Math.Abs(mean) / Math.Sqrt(variance / changes.Length), changes.Length - 1) : mean == 0 ? 1 : 0;
    }

    private static int NextStroke(IReadOnlyList<StrokeFact> strokes, double t)
    {
        int lo = 0, hi = strokes.Count;
        while (lo < hi)
        {
            int mid = (lo + hi) / 2;
            if (strokes[mid].T > t)
            {
                hi = mid;
            }
            else
            {
                lo = mid + 1;
            }
        }

        return lo;
    }

    /// <summary>Mean over strokes [from, to), or null where one of them has no speed, is doubtful, or lies more than 4 s from its neighbour.</summary>
    private static double? MeanSpeed(IReadOnlyList<StrokeFact> strokes, int from, int to)
    {
        if (from < 0 || to > strokes.Count)
        {
            return null;
        }

        double sum = 0;
        for (int i = from; i < to; i++)
        {
            if (strokes[i].Speed is not { } s || strokes[i].Quality < 0.3 || (i > from && strokes[i].T - strokes[i - 1].T > 4))
            {
                return null;
            }

            sum += s;
        }

        return sum / (to - from);
    }
}
