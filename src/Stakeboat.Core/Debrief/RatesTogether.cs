using Stakeboat.Core.Calls;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief;

/// <summary>A stretch in which one source of the rate would not agree with the others, or only as their half, double or mirror image.</summary>
/// <param name="From">On the debrief's clock, s.</param>
/// <param name="Said">What the source said, strokes/min, mean over the stretch.</param>
/// <param name="Merged">What the others came to.</param>
/// <param name="Changed">True where it agreed once halved, doubled or unfolded; false where it was left out.</param>
public sealed record RateDispute(RateSource Source, double From, double To, double Said, double Merged, bool Changed);

/// <summary>Every source's word on the stroke rate, on the debrief's clock, and what they come to together.</summary>
/// <param name="Readings">As each source gave them, in order of time.</param>
/// <param name="Merged">One each two seconds, by precision after the vote on octaves and aliases. Rates that were merely called are not in it: they are compared with it.</param>
/// <param name="Disputes">In order of time.</param>
public sealed record RatesTogether(IReadOnlyList<RateReading> Readings, IReadOnlyList<MergedRate> Merged, IReadOnlyList<RateDispute> Disputes)
{
    /// <summary>Step of the merged curve, s.</summary>
    private const double Step = 2;

    /// <summary>A disagreement shorter than this is not spoken of, s.</summary>
    private const double LeastDispute = 6;

    /// <summary>A window of sound whose rhythm is less clear than this says nothing, strokes/min.</summary>
    private const double Unclear = 2;

    public static readonly RatesTogether None = new([], [], []);

    /// <param name="sound">Rates found in the recording's sound, on its own clock.</param>
    public static RatesTogether Of(
        SensorFindings? sensors, ClockMap<SensorClock, RecordingClock>? map, IReadOnlyList<HeardCall> calls, IReadOnlyList<RateReading> sound, double fixHz)
    {
        var readings = new List<RateReading>();
        if (sensors is not null && map is { } on)
        {
            readings.AddRange(sensors.Rates.Select(r => new RateReading(on.Map(r.At).Seconds, r.Rate, r.Source)));
        }

        readings.AddRange(Counted(calls));
        readings.AddRange(sound.Where(r => r.Rate.Sd < Unclear));
        if (sensors is not null && map is { } folded)
        {
            // A folded rate is no rate by itself: it joins where another source can unfold it.
            var others = readings.Select(r => r.Seconds).Order().ToArray();
            foreach (var r in sensors.Folded)
            {
                double t = folded.Map(r.At).Seconds;
                int i = Array.BinarySearch(others, t);
                i = i >= 0 ? i : ~i;
                if ((i < others.Length && others[i] - t < 3) || (i > 0 && t - others[i - 1] < 3))
                {
                    readings.Add(new RateReading(t, r.Rate, RateSource.SlowFixes));
                }
            }
        }

        var merged = RateVote.Curve(readings, Step, 3, fixHz);
        var said = calls.Where(c => c.Call is RateCall { Sense: RateSense.Now } && c.Confidence >= 0.5)
            .Select(c => new RateReading(c.At.Seconds - ClockAlignment.CallDelay, new Estimate(((RateCall)c.Call).Spm, 1), RateSource.Spoken));
        return new RatesTogether([.. readings.Concat(said).OrderBy(r => r.Seconds)], merged, Dispute(merged));
    }

    /// <summary>A rate from each row of five or more counted strokes: a line through the numbers spoken.</summary>
    public static IReadOnlyList<RateReading> Counted(IReadOnlyList<HeardCall> calls)
    {
        var rates = new List<RateReading>();
        foreach (var row in MovesFromCalls.Rows(calls).Where(r => r.Count >= 5))
        {
            double[] t = [.. row.Select(i => calls[i].At.Seconds)];
            int[] n = [.. row.Select(i => ((CountCall)calls[i].Call).N)];

            // A number is spoken within 0.15 s of its stroke (common practice, no source), and heard as exactly as its words are timed.
            double sd = Math.Sqrt(0.0225 + row.Average(i => calls[i].AtSd * calls[i].AtSd));
            if (CountedRate.Fit(t, n, sd) is { } rate && rate.Rate.Sd < 3)
            {
                rates.Add(rate);
            }
        }

        return rates;
    }

    private static List<RateDispute> Dispute(IReadOnlyList<MergedRate> merged)
    {
        var disputes = new List<RateDispute>();
        foreach (var source in Enum.GetValues<RateSource>())
        {
            foreach (bool changed in (ReadOnlySpan<bool>)[false, true])
            {
                double from = 0, last = double.NegativeInfinity, said = 0, others = 0;
                int n = 0;
                void Close()
                {
                    if (n > 0 && (last - from >= LeastDispute - 1e-9 || source == RateSource.Counts))
                    {
                        disputes.Add(new RateDispute(source, from, last, said / n, others / n, changed));
                    }

                    n = 0;
                }

                foreach (var m in merged)
                {
                    foreach (var r in changed ? m.Changed : m.Disagreeing)
                    {
                        if (r.Source != source)
                        {
                            continue;
                        }

                        if (n == 0 || m.Seconds - last > 3 * Step)
                        {
                            Close();
                            (from, said, others) = (m.Seconds, 0, 0);
                        }

                        last = m.Seconds;
                        said += r.Rate.Mean;
                        others += m.Rate.Mean;
                        n++;
                    }
                }

                Close();
            }
        }

        return [.. disputes.OrderBy(x => x.From)];
    }
}
