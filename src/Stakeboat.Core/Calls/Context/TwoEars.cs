using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Calls.Context;

/// <summary>
/// Weighs the written ear and the learned ear together: their calibrated log odds are added where both propose a call of one type at one
/// place, and each stands by its own where the other is silent. Weights from voices that neither had seen (oracles/calls/fuse.py).
/// </summary>
internal static class TwoEars
{
    /// <summary>How far apart, in words, two proposals of one type may end and still be the same call.</summary>
    private const int Reach = 2;
    private const double LearnedWeight = 0.6, Together = 1.25, Least = -0.2, Silent = 0.03, Otherwise = -0.5;

    private sealed record Candidate(double Odds, Reading Reading);

    public static List<Reading> Fuse(List<Reading> written, IReadOnlyList<LearnedCandidate> learned)
    {
        var candidates = new List<Candidate>(written.Count + learned.Count);
        var used = new bool[learned.Count];
        foreach (var r in written)
        {
            int best = -1;
            for (int k = 0; k < learned.Count; k++)
            {
                if (learned[k].Call.GetType() == r.Call.GetType() && Math.Abs(learned[k].Token - r.LastToken) <= Reach && (r.Call is not CountCall || learned[k].Call == r.Call) && (best < 0 || learned[k].Probability > learned[best].Probability))
                {
                    best = k;
                }
            }

            bool agree = best >= 0 && SpokenOf.With(learned[best].Call, null) is var theirs && Alike(theirs, SpokenOf.With(r.Call, null));
            double other = best < 0 ? LogOdds(Silent) : agree ? LogOdds(learned[best].Probability) : Otherwise;
            candidates.Add(new Candidate(LogOdds(r.Probability) + (LearnedWeight * other) + Together, r));
            if (best >= 0)
            {
                used[best] = true;
                if (!agree)
                {
                    candidates.Add(Alone(learned[best]));
                }
            }
        }

        for (int k = 0; k < learned.Count; k++)
        {
            if (!used[k] && learned[k].Call is not SpiritCall)
            {
                candidates.Add(Alone(learned[k]));
            }
        }

        var kept = new List<Reading>();
        foreach (var c in candidates.OrderByDescending(c => c.Odds))
        {
            if (c.Odds < Least || kept.Exists(k => k.Call.GetType() == c.Reading.Call.GetType()
                ? (c.Reading.Call is CountCall ? k.LastToken == c.Reading.LastToken || k.Call == c.Reading.Call : true) && Math.Abs(k.LastToken - c.Reading.LastToken) <= Reach
                : k.LastToken == c.Reading.LastToken))
            {
                continue;
            }

            kept.Add(c.Reading with { Probability = Confidence(c.Odds) });
        }

        kept.Sort((a, b) => a.LastToken.CompareTo(b.LastToken));
        return kept;
    }

    /// <summary>The same in every field that decides.</summary>
    private static bool Alike(Call a, Call b) => (a, b) switch
    {
        (MarginCall x, MarginCall y) => x.Their == y.Their && x.Mirror == y.Mirror && (x.Their is null && !x.Mirror ? x.Side == y.Side || x.Side is null || y.Side is null : x.Our == y.Our)
            && Near(x.Seats, y.Seats, 0.26) && Near(x.Lengths, y.Lengths, 0.13) && Near(x.Metres, y.Metres, 0.3) && x.OpenWater == y.OpenWater,
        (TrendCall x, TrendCall y) => x.Who == y.Who,
        (WantCall, WantCall) or (RivalMoveCall, RivalMoveCall) => true,
        (RateCall x, RateCall y) => Near(x.Spm, y.Spm, 0.5),
        (RateChangeCall x, RateChangeCall y) => x.By == y.By,
        (StrokesToCall x, StrokesToCall y) => x.Strokes == y.Strokes,
        (MoveCall x, MoveCall y) => x.Strokes == y.Strokes,
        (TimeCall x, TimeCall y) => x.Seconds == y.Seconds,
        (SteerCall x, SteerCall y) => x.Side == y.Side,
        _ => a == b,
    };

    private static bool Near(double? a, double? b, double within) => a is { } x && b is { } y ? Math.Abs(x - y) <= within : a is null && b is null;

    private static Candidate Alone(LearnedCandidate c) =>
        new(LearnedWeight * LogOdds(c.Probability), new Reading(c.Token, c.Token, c.Call, 0, [], "learned", LogOdds(c.Probability)));

    private static double LogOdds(double p)
    {
        p = Math.Clamp(p, 0.03, 0.97);
        return Math.Log(p / (1 - p));
    }

    /// <summary>Fitted on what neither ear had seen.</summary>
    private static double Confidence(double odds) => 1 / (1 + Math.Exp(-(-0.61 + (0.79 * odds))));
}
