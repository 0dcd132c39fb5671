using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;

namespace Stakeboat.Words;

/// <summary>
/// Two caption tracks of one recording taken together as evidence (after Fiscus 1997, word by word): words are aligned by their text and
/// time; where both say the same it is surer, where they differ the other's word is kept as an alternative, and what only the second has
/// where the first is silent is put in. Words without times of their own take those of the words that they are aligned with.
/// </summary>
public static class TwoTracks
{
    /// <summary>Taken as the probability of a word of captions that state none (common practice, no source).</summary>
    private const double Unstated = 0.7;

    /// <summary>Words further apart than this are never the same word, s.</summary>
    private const double Reach = 4;

    /// <summary>What only the second track has is put in where the first has no word within this, s.</summary>
    private const double Silent = 1;

    private const double Gap = 0.75, Other = 1, PerSecond = 0.2;

    private sealed record Word(string Text, double Start, double End, double? P, IReadOnlyList<WordAlternative> Others, int Cue, bool Timed)
    {
        public double Middle => 0.5 * (Start + End);
    }

    /// <param name="first">Whose words stand where the two differ and neither is surer.</param>
    public static CaptionTrack Join(CaptionTrack first, CaptionTrack second)
    {
        ArgumentNullException.ThrowIfNull(first);
        ArgumentNullException.ThrowIfNull(second);
        List<Word> a = WordsOf(first), b = WordsOf(second);
        int[] partner = Align(a, b);
        var taken = new bool[b.Count];
        var cues = new List<CaptionCue>();
        var lines = new List<CaptionWord>[first.Cues.Count];
        for (int i = 0; i < a.Count; i++)
        {
            if (partner[i] >= 0)
            {
                taken[partner[i]] = true;
            }

            (lines[a[i].Cue] ??= []).Add(partner[i] < 0 ? Caption(a[i], a[i]) : Both(a[i], b[partner[i]]));
        }

        for (int c = 0; c < lines.Length; c++)
        {
            if (lines[c] is { } words)
            {
                cues.Add(Cue(words, first.Cues[c].Voice));
            }
        }

        // What only the second has: whole runs of its cues in the first one's silence.
        double[] times = [.. a.Select(w => w.Middle).Order()];
        foreach (var run in b.Select((w, i) => (Word: w, Free: !taken[i] && Nearest(times, w.Middle) > Silent)).Where(x => x.Free).GroupBy(x => x.Word.Cue))
        {
            cues.Add(Cue([.. run.Select(x => Caption(x.Word, x.Word))], second.Cues[run.Key].Voice));
        }

        return new CaptionTrack(first.Name + " and " + second.Name, CaptionTiming.Words, [.. cues.OrderBy(c => c.Start)]);
    }

    private static CaptionWord Both(Word mine, Word other)
    {
        double p = mine.P ?? Unstated, q = other.P ?? Unstated;
        var time = mine.Timed || !other.Timed ? mine : other;
        if (mine.Text == other.Text)
        {
            return Caption(mine with { P = Math.Round(1 - (1 - p) * (1 - q), 3), Others = mine.Others.Count > 0 ? mine.Others : other.Others }, time);
        }

        // The surer of the two stands; the other is what else it may have been.
        var (stands, less, share) = q > p ? (other, mine, p) : (mine, other, q);
        double sum = p + q;
        return Caption(stands with
        {
            P = Math.Round(Math.Max(p, q) / Math.Max(1, sum), 3),
            Others = [new WordAlternative(less.Text, Math.Round(share / Math.Max(1, sum), 3)), .. stands.Others.Where(o => o.Text != less.Text)],
        }, time);
    }

    private static CaptionWord Caption(Word w, Word time) => new(
        w.Text, Instant<RecordingClock>.FromSeconds(time.Start), Instant<RecordingClock>.FromSeconds(time.End), w.P, w.Others.Count > 0 ? w.Others : null);

    private static CaptionCue Cue(List<CaptionWord> words, string? voice)
    {
        // Times of the other track may cross by a little: words keep their order.
        for (int i = 1; i < words.Count; i++)
        {
            if (words[i].Start < words[i - 1].Start)
            {
                words[i] = words[i] with { Start = words[i - 1].Start, End = words[i].End < words[i - 1].Start ? words[i - 1].Start : words[i].End };
            }
        }

        return new CaptionCue(words[0].Start, words.Max(w => w.End), string.Join(' ', words.Select(w => w.Text)), words, voice);
    }

    /// <summary>For each word of the first the word of the second that it is aligned with, or -1: least cost of gaps, differences and time.</summary>
    private static int[] Align(List<Word> a, List<Word> b)
    {
        int n = a.Count, m = b.Count;
        var partner = new int[n];
        Array.Fill(partner, -1);

        // Row i holds the columns whose words lie within reach of word i; the rest cost gaps alone.
        var from = new int[n + 1];
        var cost = new double[n + 1][];
        for (int i = 0, low = 0; i <= n; i++)
        {
            double t = i < n ? a[i].Middle : double.PositiveInfinity;
            while (low < m && b[low].Middle < t - Reach && i < n)
            {
                low++;
            }

            int high = low;
            while (high < m && (i == n || b[high].Middle <= t + Reach))
            {
                high++;
            }

            from[i] = i == 0 ? 0 : Math.Max(from[i - 1], low);
            cost[i] = new double[Math.Max(high, from[i]) - from[i] + 1];
        }

        double At(int i, int j) => j < from[i] ? double.PositiveInfinity : j - from[i] < cost[i].Length ? cost[i][j - from[i]] : cost[i][^1] + Gap * (j - from[i] - cost[i].Length + 1);
        double Pair(int i, int j) => Math.Abs(a[i].Middle - b[j].Middle) is var d && d > Reach ? double.PositiveInfinity : (a[i].Text == b[j].Text ? 0 : Other) + PerSecond * d;
        for (int i = 0; i <= n; i++)
        {
            for (int k = 0; k < cost[i].Length; k++)
            {
                int j = from[i] + k;
                double best = i == 0 ? Gap * j : double.PositiveInfinity;
                best = i > 0 ? Math.Min(best, At(i - 1, j) + Gap) : best;
                best = k > 0 ? Math.Min(best, cost[i][k - 1] + Gap) : best;
                cost[i][k] = i > 0 && j > 0 ? Math.Min(best, At(i - 1, j - 1) + Pair(i - 1, j - 1)) : best;
            }
        }

        for (int i = n, j = m; i > 0;)
        {
            double here = At(i, j);
            if (j > 0 && Close(here, At(i - 1, j - 1) + Pair(i - 1, j - 1)))
            {
                partner[--i] = --j;
            }
            else if (Close(here, At(i - 1, j) + Gap) || j == 0)
            {
                i--;
            }
            else
            {
                j--;
            }
        }

        return partner;
    }

    private static bool Close(double x, double y) => Math.Abs(x - y) < 1e-9;

    private static double Nearest(double[] times, double t)
    {
        int at = Array.BinarySearch(times, t);
        at = at < 0 ? ~at : at;
        double after = at < times.Length ? times[at] - t : double.PositiveInfinity, before = at > 0 ? t - times[at - 1] : double.PositiveInfinity;
        return Math.Min(after, before);
    }

    private static List<Word> WordsOf(CaptionTrack track)
    {
        var words = new List<Word>();
        for (int c = 0; c < track.Cues.Count; c++)
        {
            var cue = track.Cues[c];
            if (cue.Words.Count > 0)
            {
                words.AddRange(cue.Words.Select(w => new Word(Plain(w.Text), w.Start.Seconds, w.End.Seconds, w.Probability, w.Alternatives ?? [], c, true)));
                continue;
            }

            string[] texts = cue.Text.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries);
            double step = Math.Max(0.01, (cue.End.Seconds - cue.Start.Seconds) / Math.Max(1, texts.Length));
            words.AddRange(texts.Select((t, i) => new Word(Plain(t), cue.Start.Seconds + i * step, cue.Start.Seconds + (i + 1) * step, null, [], c, false)));
        }

        return [.. words.Where(w => w.Text.Length > 0).OrderBy(w => w.Middle)];
    }

    private static string Plain(string text) => text.ToLowerInvariant().Trim(' ', '.', ',', '!', '?', ';', ':', '"', '“', '”', '…', '-');
}
