using System.Text;

namespace Stakeboat.Core.Calls.Learned;

/// <summary>What the net is told of each word besides the word itself, and of each crew when a call asks which one is meant.</summary>
internal sealed class EarInput
{
    public const int ExtraCount = 17;
    public const int CrewFeatures = 23;

    /// <summary>A crew named no further back than this many words is near; before that it is merely the one talked of.</summary>
    private const int Near = 25;

    private static readonly string[] Phases = ["before", "race", "practice", "after"];
    private readonly EarContext context;
    private readonly IReadOnlyList<CallToken> tokens;
    private readonly List<Mention>[] mentions;
    private readonly float[] alike;
    private readonly float[] begins;
    private readonly float[] within;
    private readonly float[] us;
    private readonly float[] names;

    public EarInput(IReadOnlyList<CallToken> tokens, EarContext context)
    {
        this.tokens = tokens;
        this.context = context;
        var n = tokens.Count;
        Words = new string[n];
        for (var i = 0; i < n; i++)
        {
            Words[i] = Normal(tokens[i].Text);
        }

        var crews = new List<string>(context.Crews);
        if (!string.IsNullOrEmpty(context.Us))
        {
            crews.Add(context.Us);
        }

        mentions = CrewMentions.Find(Words, crews);
        alike = new float[n];
        begins = new float[n];
        within = new float[n];
        us = new float[n];
        names = new float[n];
        for (var c = 0; c < crews.Count; c++)
        {
            foreach (var m in mentions[c])
            {
                Mark(m, c >= context.Crews.Count);
            }
        }

        MarkNames();
        Spans = SpokenNumbers.Spans(Words);
    }

    public string[] Words { get; }

    public List<NumberSpan> Spans { get; }

    /// <summary>Lower case, straight apostrophes, only letters, digits and ' . : / kept.</summary>
    private static string Normal(string text)
    {
        var clean = true;
        foreach (var c in text)
        {
            clean &= c is (>= 'a' and <= 'z') or (>= '0' and <= '9') or '\'';
        }

        if (clean)
        {
            return text.Trim('\'');
        }

        var s = new StringBuilder(text.Length);
        foreach (var c in text.ToLowerInvariant().Replace('’', '\''))
        {
            if (c is (>= 'a' and <= 'z') or (>= '0' and <= '9') or '\'' or '.' or ':' or '/')
            {
                s.Append(c);
            }
        }

        return s.ToString().Trim('\'', '.', ':', '/');
    }

    private void Mark(Mention m, bool own)
    {
        for (var k = m.Start; k <= m.End; k++)
        {
            if (own)
            {
                us[k] = (float)m.Likeness;
                continue;
            }

            alike[k] = (float)m.Likeness;
            if (k == m.Start)
            {
                begins[k] = 1;
            }
            else
            {
                within[k] = 1;
            }
        }
    }

    private void MarkNames()
    {
        var keys = new List<string>();
        foreach (var name in context.Names)
        {
            var key = SoundKeys.Of(name.ToLowerInvariant());
            if (key.Length >= 2)
            {
                keys.Add(key);
            }
        }

        if (keys.Count == 0)
        {
            return;
        }

        var known = new Dictionary<string, float>(StringComparer.Ordinal);
        for (var i = 0; i < Words.Length; i++)
        {
            if (!known.TryGetValue(Words[i], out var best))
            {
                var key = SoundKeys.Of(CrewMentions.LettersOf(Words[i]));
                double most = 0;
                if (key.Length >= 2)
                {
                    foreach (var k in keys)
                    {
                        most = Math.Max(most, SoundKeys.Alike(key, k));
                    }
                }

                known[Words[i]] = best = most >= .7 ? (float)most : 0;
            }

            names[i] = best;
        }
    }

    /// <summary>The 17 features of a word's place.</summary>
    public void Extras(int i, Span<float> x)
    {
        x[..ExtraCount].Clear();
        x[0] = alike[i];
        x[1] = begins[i];
        x[2] = within[i];
        x[4] = us[i];
        x[5] = names[i];
        x[6] = tokens[i].BreakBefore ? 1 : 0;
        x[7] = i == 0 || tokens[i].CueIndex != tokens[i - 1].CueIndex ? 1 : 0;
        var phase = context.Phase is null ? -1 : Array.IndexOf(Phases, context.Phase);
        x[9 + (phase < 0 ? 4 : phase)] = 1;
        x[14] = context.Crews.Count > 0 ? 1 : 0;
        x[15] = context.Seats == 4 ? 1 : 0;
    }

    /// <summary>For a call complete at t: a row for "nobody", then one for each crew.</summary>
    public float[][] CrewRows(int t)
    {
        var n = context.Crews.Count;
        var talkOf = context.TalkOf;
        var last = new Mention?[n];
        var next = new Mention?[n];
        var oldest = -1;
        var newest = int.MaxValue;
        for (var k = 0; k < n; k++)
        {
            var list = mentions[k];
            var i = FirstAfter(list, t);
            if (i > 0)
            {
                var m = list[i - 1];
                if (t - m.End <= Near)
                {
                    last[k] = m;
                    newest = Math.Min(newest, t - m.End);
                    // An older mention of the same crew may still be the one talked of.
                    for (var o = i - 2; o >= 0; o--)
                    {
                        if (t - list[o].End > Near)
                        {
                            m = list[o];
                            break;
                        }
                    }
                }

                if (t - m.End > Near && m.End > oldest)
                {
                    oldest = m.End;
                    talkOf = context.Crews[k];
                }
            }

            if (i < list.Count && list[i].Start <= t + 8)
            {
                next[k] = list[i];
            }
        }

        var some = newest < int.MaxValue;
        var rows = new float[n + 1][];
        for (var k = 0; k <= n; k++)
        {
            var f = rows[k] = new float[CrewFeatures];
            if (k == 0)
            {
                f[0] = 1;
                f[22] = talkOf is not null || some ? 1 : 0;
            }
            else
            {
                CrewRow(f, last[k - 1], next[k - 1], t, newest);
                var talked = talkOf is not null && context.Crews[k - 1] == talkOf;
                f[15] = talked && !some ? 1 : 0;
                f[16] = talked ? 1 : 0;
                f[22] = !some && talkOf is null ? 1 : 0;
            }

            f[17 + Math.Min(n, 3)] = n <= 3 ? 1 : 0;
            f[21] = n > 3 ? 1 : 0;
        }

        return rows;
    }

    /// <summary>Where a crew was last named up to word t, else where it is named within eight words after it, else -1.</summary>
    public int Spot(int crew, int t)
    {
        var list = mentions[crew];
        var i = FirstAfter(list, t);
        return i > 0 ? list[i - 1].Start : i < list.Count && list[i].Start <= t + 8 ? list[i].Start : -1;
    }

    private static void CrewRow(float[] f, Mention? last, Mention? next, int t, int newest)
    {
        f[1 + (last is { } b ? Far(t - b.End) : 6)] = 1;
        if (last is { } l)
        {
            f[8] = (float)l.Likeness;
            f[9] = t - l.End == newest ? 1 : 0;
        }

        if (next is { } a)
        {
            f[10 + Math.Min(Far(a.Start - t) - 1, 3)] = 1;
            f[14] = (float)a.Likeness;
        }
    }

    private static int Far(int d) => d <= 0 ? 0 : d <= 2 ? 1 : d <= 5 ? 2 : d <= 10 ? 3 : d <= 25 ? 4 : 5;

    /// <summary>Index of the first mention that starts after t.</summary>
    private static int FirstAfter(List<Mention> list, int t)
    {
        int lo = 0, hi = list.Count;
        while (lo < hi)
        {
            var mid = (lo + hi) / 2;
            if (list[mid].Start <= t)
            {
                lo = mid + 1;
            }
            else
            {
                hi = mid;
            }
        }

        return lo;
    }
}
