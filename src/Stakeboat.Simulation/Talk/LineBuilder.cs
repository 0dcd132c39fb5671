using Stakeboat.Core.Calls;

namespace Stakeboat.Simulation.Talk;

/// <summary>A piece of a line; its calls are complete at its last word.</summary>
internal readonly record struct Part(string Text, params Call[] Calls);

/// <summary>Gives words their times: a word lasts 0.11 s and 0.045 s a letter at 3.1 words a second, shorter or longer with the tempo. My choice.</summary>
internal sealed class LineBuilder(CoxHabits habits, Dice dice)
{
    private readonly List<SpokenLine> _lines = [];

    public IReadOnlyList<SpokenLine> Lines => _lines;

    /// <summary>When the mouth is free again, s.</summary>
    public double Free { get; private set; }

    /// <summary>Says a line at <paramref name="at"/> or as soon as the mouth is free.</summary>
    public void Say(double at, params Part[] parts)
    {
        double t = Math.Max(at, Free + 0.12), scale = 3.1 / habits.Tempo;
        var words = new List<SpokenWord>();
        var calls = new List<(double, Call)>();
        foreach (var part in parts)
        {
            foreach (string w in part.Text.Split(' ', StringSplitOptions.RemoveEmptyEntries))
            {
                double d = scale * (0.11 + 0.045 * w.Length) * dice.Between(0.9, 1.15);
                words.Add(new SpokenWord(w, Round(t), Round(t + d)));
                t += d + 0.03;
            }

            calls.AddRange(part.Calls.Select(c => (words[^1].End, c)));
            t += 0.1 * scale;
        }

        string text = string.Join(' ', words.Select(w => w.Text));
        _lines.Add(new SpokenLine(words, [.. calls.Select(c => new TrueCall(c.Item1, c.Item2, text))]));
        Free = words[^1].End;
    }

    private static double Round(double t) => Math.Round(t, 2);
}
