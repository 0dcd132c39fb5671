using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Calls.Context;

/// <summary>
/// Weighs the written ear and the learned ear together: how likely a proposal is right given what each ear says of it. Weights fitted on
/// voices that neither had seen (oracles/ear/fuse.py).
/// </summary>
internal static class TwoEars
{
    /// <summary>How far apart, in words, two proposals of one type may end and still be the same call.</summary>
    private const int Reach = 2;

    private static readonly Lazy<Fusion> Weights = new(Fusion.Load);

    private sealed record Candidate(double Probability, Reading Reading);

    public static List<Reading> Fuse(List<Reading> written, IReadOnlyList<LearnedCandidate> learned)
    {
        var weights = Weights.Value;
        var candidates = new List<Candidate>(written.Count + learned.Count);
        // For each learned proposal: whether a written one agrees, and the probability of a written one that does not.
        var agreed = new bool[learned.Count];
        var against = new double?[learned.Count];
        foreach (var r in written)
        {
            int best = Partner(r, learned);
            if (best < 0)
            {
                candidates.Add(new Candidate(weights.WrittenAlone(r.Call, r.Probability), r));
            }
            else if (Alike(r.Call, learned[best].Call))
            {
                agreed[best] = true;
                candidates.Add(new Candidate(weights.Agreed(r.Call, r.Probability, learned[best].Probability), r));
            }
            else
            {
                against[best] = r.Probability;
                candidates.Add(new Candidate(weights.WrittenAgainst(r.Call, r.Probability, learned[best].Probability), r));
            }
        }

        for (int k = 0; k < learned.Count; k++)
        {
            var c = learned[k];
            if (!agreed[k] && c.Call is not SpiritCall)
            {
                double p = against[k] is { } other ? weights.LearnedAgainst(c.Call, c.Probability, other) : weights.LearnedAlone(c.Call, c.Probability);
                candidates.Add(new Candidate(p, new Reading(c.Token, c.Token, c.Call, 0, [], "learned", Math.Log(c.Probability / (1 - c.Probability)))));
            }
        }

        return Choose(candidates, Fusion.Bar);
    }

    private static int Partner(Reading r, IReadOnlyList<LearnedCandidate> learned)
    {
        int best = -1;
        for (int k = 0; k < learned.Count; k++)
        {
            if (learned[k].Call.GetType() == r.Call.GetType() && Math.Abs(learned[k].Token - r.LastToken) <= Reach && (r.Call is not CountCall || learned[k].Call == r.Call)
                && (best < 0 || learned[k].Probability > learned[best].Probability))
            {
                best = k;
            }
        }

        return best;
    }

    /// <summary>Likeliest first: one call of a type within reach, one call at a word; counts may follow each other word by word.</summary>
    private static List<Reading> Choose(List<Candidate> candidates, double bar)
    {
        var kept = new List<Reading>();
        foreach (var c in candidates.OrderByDescending(c => c.Probability))
        {
            if (c.Probability < bar)
            {
                break;
            }

            if (!kept.Exists(k => k.Call.GetType() == c.Reading.Call.GetType()
                ? (c.Reading.Call is not CountCall || k.LastToken == c.Reading.LastToken || k.Call == c.Reading.Call) && Math.Abs(k.LastToken - c.Reading.LastToken) <= Reach
                : k.LastToken == c.Reading.LastToken))
            {
                kept.Add(c.Reading with { Probability = c.Probability });
            }
        }

        kept.Sort((a, b) => a.LastToken.CompareTo(b.LastToken));
        return kept;
    }

    /// <summary>The same in every field that decides, the crew aside.</summary>
    private static bool Alike(Call a, Call b) => (a, b) switch
    {
        (MarginCall x, MarginCall y) => x.Their == y.Their && x.Mirror == y.Mirror && (x.Their is null && !x.Mirror || x.Our == y.Our) && x.Side == y.Side
            && Near(x.Seats, y.Seats, 0.26) && Near(x.Lengths, y.Lengths, 0.13) && Near(x.Metres, y.Metres, 0.3) && x.OpenWater == y.OpenWater,
        (TrendCall x, TrendCall y) => x.Who == y.Who,
        (WantCall, WantCall) or (RivalMoveCall, RivalMoveCall) => true,
        (RateCall x, RateCall y) => Near(x.Spm, y.Spm, 0.5),
        (RateChangeCall x, RateChangeCall y) => x.By == y.By,
        (PaceCall x, PaceCall y) => Near(x.SecPer500, y.SecPer500, 0.5),
        (StrokesToCall x, StrokesToCall y) => x.Strokes == y.Strokes,
        (MoveCall x, MoveCall y) => x.Strokes == y.Strokes,
        (TimeCall x, TimeCall y) => x.Seconds == y.Seconds,
        (SteerCall x, SteerCall y) => x.Side == y.Side,
        _ => a == b,
    };

    private static bool Near(double? a, double? b, double within) => a is { } x && b is { } y ? Math.Abs(x - y) <= within : a is null && b is null;
}
