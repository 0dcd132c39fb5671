using Stakeboat.Core.Calls.Words;

namespace Stakeboat.Core.Calls.Learned;

/// <summary>Lets the learned ear read lines: those of one run at once, since what one says often hangs on those around it.</summary>
internal static class LearnedLines
{
    /// <summary>Lines of a run that are read together.</summary>
    private const int Most = 14;

    /// <returns>For each line what is proposed at its words; null where there is no such ear.</returns>
    public static IReadOnlyList<LearnedCandidate>[]? Hear(ILearnedEar? ear, bool without, IReadOnlyList<PhraseLine> lines)
    {
        if (ear is null || without)
        {
            return null;
        }

        var heard = new IReadOnlyList<LearnedCandidate>[lines.Count];
        for (int first = 0, next; first < lines.Count; first = next)
        {
            next = first + 1;
            while (next < lines.Count && next - first < Most && lines[first].Run is { } run && lines[next].Run == run)
            {
                next++;
            }

            Stretch(ear, lines, first, next, heard);
        }

        return heard;
    }

    private static void Stretch(ILearnedEar ear, IReadOnlyList<PhraseLine> lines, int first, int next, IReadOnlyList<LearnedCandidate>[] heard)
    {
        var tokens = new List<CallToken>();
        var crews = new List<string>();
        var starts = new int[next - first + 1];
        for (int i = first; i < next; i++)
        {
            Tokenizer.Append(lines[i].Heard, i - first, tokens);
            starts[i - first + 1] = tokens.Count;
            foreach (var c in lines[i].Crews)
            {
                if (!crews.Contains(c))
                {
                    crews.Add(c);
                }
            }
        }

        var found = ear.Read(tokens, new EarContext(null, crews, lines[first].TalkOf, lines[next - 1].Phase, []));
        for (int i = first; i < next; i++)
        {
            int from = starts[i - first], to = starts[i - first + 1];
            heard[i] = Within(found, from, to - from)!;
        }
    }

    /// <summary>What is proposed at some words of a stream, with tokens counted from the first of them.</summary>
    public static IReadOnlyList<LearnedCandidate>? Within(IReadOnlyList<LearnedCandidate>? found, int from, int count) =>
        found is null ? null : [.. found.Where(c => c.Token >= from && c.Token < from + count).Select(c => c with { Token = c.Token - from })];
}
