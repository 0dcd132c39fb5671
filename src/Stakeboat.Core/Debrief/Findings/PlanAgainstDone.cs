using Stakeboat.Core.Calls;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief.Findings;

/// <summary>Segments and cues of the plan against what was rowed and said.</summary>
internal static class PlanAgainstDone
{
    public static IEnumerable<Finding> Find(DebriefFacts f)
    {
        foreach (var segment in f.Segments)
        {
            if (f.Metres is not { } metres || segment.ToMetres - segment.FromMetres < 20)
            {
                continue;
            }

            double? from = segment.FromMetres <= 0.5 ? f.Go?.Mean : metres.FirstReaches(segment.FromMetres);
            double? to = metres.FirstReaches(segment.ToMetres - 1e-6) ?? (f.Distance is { } d && segment.ToMetres >= d - 1 ? f.Finish?.Mean : null);
            if (from is not { } a || to is not { } b || b - a < 2)
            {
                continue;
            }

            var evidence = new[] { new Evidence(a, b, null) };
            if (segment.Seconds is { } planned && f.MetresMeasured && metres.At(a + 0.01) is { } ma && metres.At(b - 0.01) is { } mb)
            {
                double v = (segment.ToMetres - segment.FromMetres) / (b - a);
                double sd = Math.Sqrt((ma.Sd * ma.Sd + mb.Sd * mb.Sd) / (v * v) + 0.01);
                double late = b - a - planned;
                yield return Finding.From(FindingKind.SegmentTime, new Estimate(late, sd), 1, 0.3 * Math.Abs(late), segment.Name, evidence, planned);
            }

            if (segment.Rate is { } rate && f.Rate is { } curve && curve.Average(a, b) is { } rowed)
            {
                double off = rowed - rate;
                // The published slope of speed on rate is about 0.4 % a stroke a minute; what the crew can do about it is a part: a tenth.
                double worth = 0.1 * 0.004 * Math.Abs(off) * (b - a);
                yield return Finding.From(FindingKind.SegmentRate, new Estimate(off, 0.3), 1, worth, segment.Name, evidence, rate);
            }
        }

        foreach (var cue in f.Cues)
        {
            // Only bursts can be told from other talk with any certainty.
            if (cue.AtMetres is not { } at || cue.Strokes is null || f.Metres is not { } metres || metres.FirstReaches(at) is not { } t || f.Calls.Count == 0)
            {
                continue;
            }

            bool heard = f.Calls.Any(c => c.Call is MoveCall && Math.Abs(c.At.Seconds - t) < 20);
            if (!heard)
            {
                yield return Sample.Counted(FindingKind.CueMissed, at, 1, 0.1, cue.Text, [new Evidence(t - 10, t + 15, null)]);
            }
        }
    }
}
