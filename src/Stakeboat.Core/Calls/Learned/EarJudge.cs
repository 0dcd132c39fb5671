namespace Stakeboat.Core.Calls.Learned;

/// <summary>Puts proposals for one call at neighbouring words together and gives each a calibrated probability.</summary>
internal static class EarJudge
{
    /// <summary>Words within which two proposals of one type may be one call whose place is in doubt.</summary>
    private const int Reach = 3;

    /// <summary>Candidates less likely than this are left out.</summary>
    private const double Least = .02;

    private sealed class Group(EarProposal best)
    {
        public EarProposal Best { get; } = best;

        public double Present { get; set; } = best.Present;
    }

    /// <param name="calibration">Slope on the logit of presence, slope on the log of the fields, then an offset for each type.</param>
    public static IReadOnlyList<LearnedCandidate> Candidates(List<EarProposal> proposals, float[] calibration)
    {
        // In stretches with no proposal for a while between them, so that long streams stay linear.
        var result = new List<LearnedCandidate>();
        var from = 0;
        for (var i = 1; i <= proposals.Count; i++)
        {
            if (i == proposals.Count || proposals[i].Token - proposals[i - 1].Token > Reach || (i - from > 400 && proposals[i].Token != proposals[i - 1].Token))
            {
                Stretch(proposals.GetRange(from, i - from), calibration, result);
                from = i;
            }
        }

        return result;
    }

    private static void Stretch(List<EarProposal> proposals, float[] calibration, List<LearnedCandidate> result)
    {
        proposals.Sort((a, b) => b.Present != a.Present ? b.Present.CompareTo(a.Present) : a.Token != b.Token ? a.Token.CompareTo(b.Token) : a.Type.CompareTo(b.Type));
        var groups = new List<Group>();
        foreach (var p in proposals)
        {
            Group? home = null;
            foreach (var g in groups)
            {
                if (g.Best.Type == p.Type && Math.Abs(g.Best.Token - p.Token) <= Reach && OneCall(g, p))
                {
                    home = g;
                    break;
                }
            }

            if (home is null)
            {
                groups.Add(new Group(p));
            }
            else
            {
                home.Present = Math.Min(.995, home.Present + p.Present);
            }
        }

        var first = result.Count;
        foreach (var g in groups)
        {
            var probability = Calibrated(g, calibration);
            if (probability >= Least)
            {
                result.Add(new LearnedCandidate(g.Best.Token, g.Best.Call, probability));
            }
        }

        result.Sort(first, result.Count - first, Comparer<LearnedCandidate>.Create(
            (a, b) => a.Token != b.Token ? a.Token.CompareTo(b.Token) : b.Probability.CompareTo(a.Probability)));
    }

    /// <summary>Counted strokes, positions, commands and focus words may truly follow each other closely; the rest do not.</summary>
    private static bool OneCall(Group g, EarProposal p)
    {
        if (g.Best.Type is not (EarType.Count or EarType.Margin or EarType.Command or EarType.Technique))
        {
            return true;
        }

        return SameMeaning(g.Best.Call, p.Call) || (g.Present + p.Present < 1.05 && g.Best.Type != EarType.Count);
    }

    private static bool SameMeaning(Call a, Call b) => (a, b) switch
    {
        (MarginCall x, MarginCall y) => (x with { Mirror = y.Mirror }) == y,
        _ => a == b,
    };

    private static double Calibrated(Group g, float[] calibration)
    {
        var p = Math.Clamp(g.Present, 1e-6, 1 - 1e-6);
        var x = (calibration[0] * Math.Log(p / (1 - p))) + (calibration[1] * Math.Log(Math.Max(g.Best.Fields, 1e-9))) + calibration[2 + (int)g.Best.Type];
        return 1 / (1 + Math.Exp(-x));
    }
}
