using Stakeboat.Core.Calls.Learned;
using Stakeboat.Core.Calls.Words;
using SpokenNumbers = Stakeboat.Core.Calls.Words.SpokenNumbers;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Core.Calls.Context;

/// <summary>Places words inside a cue or block that has no word times: by how long each takes to say, with rests where sentences end.</summary>
internal static class Placement
{
    /// <summary>Seconds of speech of a word: 0.10 s and 0.05 s a letter; common practice, no source (about three words a second).</summary>
    private static double Said(CallToken t) => 0.10 + (0.05 * Math.Min(12, t.Text.Length));

    /// <summary>Appends begin and end of each token from <paramref name="first"/> on.</summary>
    public static void Spread(List<CallToken> tokens, int first, double start, double end, bool block, List<double> from, List<double> to)
    {
        int n = tokens.Count - first;
        if (n == 0)
        {
            return;
        }

        var rest = new double[n];
        double speech = 0, rests = 0;
        for (int k = 0; k < n; k++)
        {
            var t = tokens[first + k];
            speech += Said(t);
            bool number = t.Text.Length > 0 && (char.IsAsciiDigit(t.Text[0]) || SpokenNumbers.Belongs(t.Text));
            bool numberBefore = k > 0 && SpokenNumbers.Begins(tokens[first + k - 1].Text);
            rest[k] = k == 0 ? 0 : t.BreakBefore ? 1 : number && numberBefore ? 0.8 : 0.05;
            rests += rest[k];
        }

        double room = end - start;
        // A cue fits its words; a block is mostly rests. Rests take what speech leaves.
        double tail = block ? 0.04 * room : 0;
        double left = Math.Max(0, room - tail - speech);
        double scale = speech > room - tail ? (room - tail) / speech : rests <= 0 ? (room - tail) / speech : 1;
        double unit = rests > 0 && speech < room - tail ? left / rests : 0;
        double at = start;
        for (int k = 0; k < n; k++)
        {
            at += rest[k] * unit;
            from.Add(at);
            at += Said(tokens[first + k]) * scale;
            to.Add(Math.Min(at, end));
        }
    }

    /// <summary>Standard deviation of a placed call, s: own judgement, not measured.</summary>
    public static double Sd(double length, CaptionTiming timing) =>
        timing == CaptionTiming.Blocks ? Math.Clamp(0.17 * length, 1, 8) : Math.Clamp(0.25 + (0.10 * length), 0.3, 4);
}
