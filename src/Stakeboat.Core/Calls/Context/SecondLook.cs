using System.Globalization;
using Stakeboat.Core.Calls.Lattice;

namespace Stakeboat.Core.Calls.Context;

/// <summary>
/// Scores the offers that a first look left standing, each beside its rivals and in the course of the talk: what its words compose, what was
/// called before, how far a number is from the last of its kind (counts go up by one, distance only grows, rate and margin move slowly).
/// </summary>
internal static class SecondLook
{
    /// <summary>Log odds at the first look below which an offer is let go.</summary>
    public const double Least = -3.6;

    private const int Own = 27;

    /// <summary>Numbers that are given to the trees for each offer.</summary>
    public const int Size = Own + Composition.Size;

    private const float None = float.NaN;

    /// <summary>Fills <see cref="Offer.Score"/> of those that stand; the others are left out of what is returned.</summary>
    public static List<Offer> Look(WordGraph graph, Evidence evidence, List<Offer> offers, Setting setting, double eagerness, double plain, Trees? trees, Action<Offer, float[]>? numbers)
    {
        var standing = offers.Where(o => o.First > Least).ToList();
        var cover = new Cover(graph, standing.Select(o => (o, o.First + eagerness)), plain);
        var path = cover.Path.Where(e => e.Offer is not null).Select(e => e.Offer!).ToList();
        standing.Sort((a, b) => a.Match.FirstToken.CompareTo(b.Match.FirstToken));
        int longest = standing.Count == 0 ? 0 : standing.Max(o => o.Match.LastToken - o.Match.FirstToken);
        var x = new float[Size];
        int low = 0;
        for (int i = 0; i < standing.Count; i++)
        {
            var o = standing[i];
            while (standing[low].Match.FirstToken < o.Match.FirstToken - longest)
            {
                low++;
            }

            Array.Clear(x);
            float same = None, akin = None, other = None;
            int crowd = 0;
            for (int j = low; j < standing.Count && standing[j].Match.FirstToken <= o.Match.LastToken; j++)
            {
                var q = standing[j];
                if (j == i || !q.Overlaps(o))
                {
                    continue;
                }

                crowd++;
                if (q.Draft.Call == o.Draft.Call)
                {
                    same = float.IsNaN(same) ? (float)q.First : MathF.Max(same, (float)q.First);
                }
                else if (q.Draft.Call.GetType() == o.Draft.Call.GetType())
                {
                    akin = float.IsNaN(akin) ? (float)q.First : MathF.Max(akin, (float)q.First);
                }
                else
                {
                    other = float.IsNaN(other) ? (float)q.First : MathF.Max(other, (float)q.First);
                }
            }

            double share = cover.Share(o, o.First + eagerness);
            (x[0], x[1], x[2], x[3], x[4], x[5]) = ((float)o.First, (float)o.First - akin, (float)o.First - other, same, crowd, (float)Math.Log((share + 1e-4) / (1 - share + 1e-4)));
            Course(o, path, setting, x);
            evidence.Compose(o.Match, x.AsSpan(Own));
            o.Score = trees is null ? o.First : trees.Of(x);
            numbers?.Invoke(o, [.. x]);
        }

        return standing;
    }

    private static void Course(Offer o, List<Offer> path, Setting setting, float[] x)
    {
        var call = o.Draft.Call;
        int rank = 0, follows = 0;
        Offer? position = null, kin = null, prior = null;
        foreach (var p in path)
        {
            if (p.Overlaps(o))
            {
                rank = Math.Max(rank, ReferenceEquals(p, o) ? 4 : p.Draft.Call == call ? 3 : p.Draft.Call.GetType() == call.GetType() ? 2 : 1);
            }
            else if (p.Match.LastToken < o.Match.FirstToken)
            {
                prior = p;
                position = SpokenOf.Speaks(p.Draft.Call) ? p : position;
                kin = p.Draft.Call.GetType() == call.GetType() ? p : kin;
            }
            else if (call is CountCall c && p.Draft.Call is CountCall n && p.Match.FirstToken <= o.Match.LastToken + 8 && n.N == c.N + 1)
            {
                follows = 1;
            }
        }

        var before = position?.Draft.Call ?? setting.LastPosition;
        var last = kin?.Draft.Call ?? setting.LastOf(call.GetType());
        x[6] = rank;
        x[7] = Group(call);
        x[8] = o.Match.Words;
        x[9] = (float)o.Match.Score;
        x[10] = setting.Track ? 1 : 0;
        x[11] = setting.TalkOf is not null ? 2 : setting.Crews.Count == 1 ? 1 : 0;
        x[12] = o.Draft.Crew >= 0 ? 1 : 0;
        x[13] = setting.Phase switch { "before" => 1, "race" => 2, "practice" => 3, "after" => 4, _ => 0 };
        x[14] = before is null ? None : Group(before);
        x[15] = before is null ? None : position is null ? 100 : o.Match.FirstToken - position.Match.LastToken;
        (x[16], x[17]) = before is MarginCall b && call is MarginCall m ? Compare(b, m) : (None, None);
        x[18] = last is null ? None : kin is null ? 100 : o.Match.FirstToken - kin.Match.LastToken;
        x[19] = Step(call, last);
        x[20] = call is CountCall ? follows : None;
        x[21] = prior is null ? None : Group(prior.Draft.Call);
        x[22] = prior is null ? None : o.Match.FirstToken - prior.Match.LastToken;
        x[23] = call is MarginCall { Side: { } side } ? side switch { Side.Ahead => 1, Side.Behind => -1, _ => 0 } : call is TrendCall t ? t.Who == Who.Us ? 1 : -1 : None;
        x[24] = call switch { MarginCall q => (float)(q.Seats ?? q.Lengths ?? q.Metres ?? double.NaN), RateCall q => (float)q.Spm, CountCall q => q.N, StrokesToCall q => q.Strokes, DistanceCall q => (float)q.Metres, TimeCall q => (float)q.Seconds, MoveCall q => q.Strokes ?? None, TrendCall q => (float)(q.Seats ?? double.NaN), RateChangeCall q => (float)q.By, _ => None };
        x[25] = (float)o.ByHand;
        x[26] = Kin(call);
    }

    /// <summary>Change of a number against the last call of its type.</summary>
    private static float Step(Call call, Call? last) => (call, last) switch
    {
        (CountCall a, CountCall b) => a.N - b.N,
        (RateCall a, RateCall b) => (float)(a.Spm - b.Spm),
        (PaceCall a, PaceCall b) => (float)(a.SecPer500 - b.SecPer500),
        (DistanceCall a, DistanceCall b) => a.Sense == b.Sense ? (float)(a.Metres - b.Metres) : None,
        (TimeCall a, TimeCall b) => (float)(a.Seconds - b.Seconds),
        (StrokesToCall a, StrokesToCall b) => a.Strokes - b.Strokes,
        _ => None,
    };

    /// <summary>Types and, of positions, frames: neighbours in the list are near in meaning.</summary>
    private static int Group(Call call) => call switch
    {
        MarginCall { Mirror: true } => 0,
        MarginCall { Their: not null, Our: "cox" } => 1,
        MarginCall { Their: not null } => 2,
        MarginCall { Seats: not null } => 3,
        MarginCall { OpenWater: true } => 5,
        MarginCall { Lengths: not null } => 4,
        MarginCall { Metres: not null } => 6,
        MarginCall { Side: Side.Level } => 8,
        MarginCall => 7,
        TrendCall { Seats: not null } => 9,
        TrendCall => 10,
        WantCall => 11,
        RivalMoveCall => 12,
        MoveCall => 13,
        ShiftCall => 14,
        CountCall => 15,
        StrokesToCall => 16,
        RateCall => 17,
        RateChangeCall => 18,
        PaceCall => 19,
        DistanceCall => 20,
        TimeCall => 21,
        CommandCall => 22,
        SteerCall => 23,
        TechniqueCall => 24,
        ConditionsCall => 25,
        _ => 26,
    };

    private static float Kin(Call call) => call switch
    {
        RateCall q => (int)q.Sense,
        DistanceCall q => (int)q.Sense,
        TimeCall q => (int)q.Sense,
        StrokesToCall q => (int)q.To,
        ShiftCall q => (int)q.To,
        CommandCall q => (int)q.Do + (q.Who == "all" ? 0 : 20),
        SteerCall q => (int)q.How + (q.Side == SteerSide.None ? 0 : 10),
        TechniqueCall q => (int)q.Topic,
        ConditionsCall q => (int)q.What,
        WantCall q => q.Their is null ? 0 : 1,
        MarginCall q => q.Our switch { "bow" => 1, "stern" => 2, "boat" => 3, _ => 0 },
        _ => None,
    };

    /// <summary>How a margin stands to the one called before: by how many of its own units it differs, and whether the side is the same.</summary>
    private static (float Step, float Side) Compare(MarginCall b, MarginCall m)
    {
        float side = m.Side is null || b.Side is null ? 0 : m.Side == b.Side ? 1 : -1;
        if (m.Mirror != b.Mirror || (m.Their is null) != (b.Their is null))
        {
            return (None, side);
        }

        if (m.Mirror)
        {
            return (Seat(m.Our, b.Our), side);
        }

        if (m.Their is not null)
        {
            return (Seat(m.Their, b.Their!), m.Our == b.Our ? 1 : -1);
        }

        return (m.Seats is { } s && b.Seats is { } bs ? (float)(s - bs) : m.Lengths is { } l && b.Lengths is { } bl ? (float)(4 * (l - bl)) : None, side);
    }

    private static float Seat(string a, string b) =>
        int.TryParse(a, CultureInfo.InvariantCulture, out int x) && int.TryParse(b, CultureInfo.InvariantCulture, out int y) ? x - y : a == b ? 0 : 9;
}
