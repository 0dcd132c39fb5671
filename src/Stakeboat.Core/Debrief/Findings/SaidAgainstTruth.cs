using Stakeboat.Core.Calls;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief.Findings;

/// <summary>Rates, distances and margins that were called, against what was measured or estimated.</summary>
internal static class SaidAgainstTruth
{
    /// <summary>Calls less sure than this are not held against anybody.</summary>
    private const double LeastConfidence = 0.5;

    /// <summary>A distance call further off than this (m) or a rate call further off than that (strokes/min) is taken as mis-heard.</summary>
    private const double MostMetres = 120, MostSpm = 6;

    public static IEnumerable<Finding> Find(DebriefFacts f)
    {
        foreach (var finding in Rates(f).Concat(Distances(f)).Concat(Margins(f)))
        {
            yield return finding;
        }
    }

    private static IEnumerable<Finding> Rates(DebriefFacts f)
    {
        if (f.Rate is null)
        {
            yield break;
        }

        var errors = new List<double>();
        var evidence = new List<(double Size, Evidence E)>();
        for (int i = 0; i < f.Calls.Count; i++)
        {
            var c = f.Calls[i];
            // A rate is read off the last strokes: compare with three seconds before the call was complete.
            if (c.Confidence >= LeastConfidence && c.Call is RateCall { Sense: RateSense.Now } r && f.InRace(c.At.Seconds)
                && f.Rate.At(c.At.Seconds - 3) is { } rate && rate.Sd < 2)
            {
                if (Math.Abs(r.Spm - rate.Mean) > MostSpm)
                {
                    continue;
                }

                errors.Add(r.Spm - rate.Mean);
                evidence.Add((Math.Abs(r.Spm - rate.Mean), new Evidence(c.At.Seconds - 4, c.At.Seconds, i)));
            }
        }

        if (Sample.Of(errors) is { } s)
        {
            // A stroke a minute is about half a per cent of speed at the published slopes; only what the crew acts on counts: a tenth of it.
            yield return Sample.Finding(FindingKind.RateCalls, s, 0.2 * Math.Abs(s.Mean), "", Largest(evidence));
        }
    }

    private static IEnumerable<Finding> Distances(DebriefFacts f)
    {
        if (f.Metres is null || !f.MetresMeasured)
        {
            yield break;
        }

        var errors = new List<double>();
        var evidence = new List<(double Size, Evidence E)>();
        for (int i = 0; i < f.Calls.Count; i++)
        {
            var c = f.Calls[i];
            if (c.Confidence >= LeastConfidence && c.Call is DistanceCall d && f.InRace(c.At.Seconds)
                && f.Metres.At(c.At.Seconds) is { } own && own.Mean > 20)
            {
                double? gone = d.Sense == DistanceSense.Gone ? d.Metres : f.Distance - d.Metres;
                if (gone is { } g && Math.Abs(g - own.Mean) <= MostMetres)
                {
                    errors.Add(g - own.Mean);
                    evidence.Add((Math.Abs(g - own.Mean), new Evidence(c.At.Seconds - 3, c.At.Seconds, i)));
                }
            }
        }

        if (Sample.Of(errors) is { } s && f.RaceSpeed is { } v)
        {
            // A sprint begun at a wrong mark costs a part of the error's own time: a tenth, our judgement.
            yield return Sample.Finding(FindingKind.DistanceCalls, s, 0.1 * Math.Abs(s.Mean) / v, "", Largest(evidence));
        }
    }

    private static IEnumerable<Finding> Margins(DebriefFacts f)
    {
        foreach (var crew in f.Claims.GroupBy(c => c.Crew))
        {
            if (!f.Margins.TryGetValue(crew.Key, out var curve))
            {
                continue;
            }

            var errors = new List<double>();
            var evidence = new List<(double Size, Evidence E)>();
            foreach (var claim in crew)
            {
                var c = f.Calls[claim.CallIndex];
                if (c.Confidence >= LeastConfidence && curve.At(c.At.Seconds) is { } m)
                {
                    double seats = (claim.ClaimedMetres - m.Mean) / f.Hull.SeatSpacing.Metres;
                    errors.Add(seats);
                    evidence.Add((Math.Abs(seats), new Evidence(c.At.Seconds - 3, c.At.Seconds, claim.CallIndex)));
                }
            }

            if (Sample.Of(errors) is { } s)
            {
                yield return Sample.Finding(FindingKind.MarginCalls, s, 0.05 * Math.Abs(s.Mean), crew.Key, Largest(evidence));
            }
        }
    }

    private static List<Evidence> Largest(List<(double Size, Evidence E)> all) =>
        [.. all.OrderByDescending(e => e.Size).Take(5).Select(e => e.E)];
}
