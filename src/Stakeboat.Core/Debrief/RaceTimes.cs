using Stakeboat.Core.Calls;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief;

/// <summary>Where an instant of the race was taken from.</summary>
public enum TimeSource
{
    /// <summary>A person said it.</summary>
    Given,

    /// <summary>From what the coxswain said.</summary>
    Heard,

    /// <summary>From the sensors.</summary>
    Rowed,

    /// <summary>The published time added to, or taken from, the other end.</summary>
    Result,

    /// <summary>From the calls of distance alone.</summary>
    Reckoned,
}

/// <summary>An instant on the debrief's clock (s) with its standard deviation and source.</summary>
public readonly record struct TimeFound(Estimate At, TimeSource Source);

/// <summary>The start and the finish of a race on the debrief's clock.</summary>
/// <param name="Go">The word "go"; null where no race was found.</param>
/// <param name="Finish">Our bow ball on the line.</param>
public sealed record RaceTimes(TimeFound? Go, TimeFound? Finish)
{
    /// <summary>
    /// The first word of a start sequence follows "go" by 0.3 to 1.1 s in the seven labelled races: mean 0.7, sd 0.35 s.
    /// </summary>
    private const double StartWordDelay = 0.7, StartWordSd = 0.35;

    /// <summary>The first order after the line follows it by 1.0 to 4.3 s there: mean 2.2, sd 1.2 s.</summary>
    private const double AfterLineDelay = 2.2, AfterLineSd = 1.2;

    private static readonly RaceTimes None = new(null, null);

    /// <param name="calls">In order of time, on the debrief's clock.</param>
    /// <param name="sensorGo">Start of the race in the sensors, mapped to the debrief's clock; null where there is none.</param>
    /// <param name="sensorFinish">Its end; likewise.</param>
    public static RaceTimes Find(IReadOnlyList<HeardCall> calls, RaceSheet? sheet, ResultSheet? result, Estimate? sensorGo, Estimate? sensorFinish)
    {
        double? distance = sheet?.Distance?.Metres ?? result?.Distance?.Metres;
        double? own = OwnTime(sheet, result);
        TimeFound? go = sheet?.GoAt is { } given ? new TimeFound(new Estimate(given.Seconds, 0.3), TimeSource.Given) : null;
        if (go is null)
        {
            go = Best(Heard(calls, distance, own), sensorGo is { } s ? new TimeFound(s, TimeSource.Rowed) : null) ?? Reckoned(calls, distance);
        }

        if (go is not { } g)
        {
            return None;
        }

        TimeFound? finish = own is { } time ? new TimeFound(new Estimate(g.At.Mean + time, Math.Sqrt(g.At.Sd * g.At.Sd + 0.01)), TimeSource.Result) : null;
        finish ??= Best(sensorFinish is { } f && f.Mean > g.At.Mean + 30 ? new TimeFound(f, TimeSource.Rowed) : null, HeardFinish(calls, g.At.Mean, distance));
        return new RaceTimes(g, finish);
    }

    /// <summary>Our published time over the whole distance, s.</summary>
    private static double? OwnTime(RaceSheet? sheet, ResultSheet? result)
    {
        if (sheet is null || result is null)
        {
            return null;
        }

        var row = result.Rows.FirstOrDefault(r => string.Equals(r.Crew, sheet.Us.Name, StringComparison.OrdinalIgnoreCase));
        if (row is null || row.Times.Count == 0)
        {
            return null;
        }

        var last = row.Times[^1];
        double? length = sheet.Distance?.Metres ?? result.Distance?.Metres;
        return length is null || Math.Abs(last.Mark.Metres - length.Value) < 1 ? last.Time.Seconds : null;
    }

    /// <summary>The start word that the most race-like talk follows. A later start wins a tie: practice starts come first.</summary>
    private static TimeFound? Heard(IReadOnlyList<HeardCall> calls, double? distance, double? own)
    {
        double length = own ?? (distance is { } d ? d / 5 : 400);
        TimeFound? best = null;
        double bestScore = 0;

        // Where no length of a race is known, a practice start with rates after it must not pass for one.
        double least = distance is null && own is null ? 10 : 2;
        foreach (var c in calls)
        {
            if (c.Call is not ShiftCall { To: RhythmChange.Start })
            {
                continue;
            }

            double t = c.At.Seconds, score = 2 * c.Confidence;
            foreach (var o in calls)
            {
                double after = o.At.Seconds - t;
                if (after <= 0 || after > 1.15 * length + 15)
                {
                    continue;
                }

                // Marks that fit the clock speak for this start; racing rates and positions do so mildly; orders to stop speak against.
                score += o.Confidence * o.Call switch
                {
                    DistanceCall { Sense: DistanceSense.Gone } g => Fits(g.Metres, after, distance, length) ? 3 : -1,
                    DistanceCall { Sense: DistanceSense.Left } l when distance is { } all => Fits(all - l.Metres, after, distance, length) ? 3 : -1,
                    RateCall { Spm: >= 28 } => 1,
                    MarginCall or RivalMoveCall or MoveCall or TrendCall => 0.5,
                    ShiftCall { To: RhythmChange.Settle or RhythmChange.Lengthen } when after < 70 => 1,
                    CommandCall { Do: Deed.Stop or Deed.HoldWater or Deed.Back } when after < 0.8 * length => -4,
                    _ => 0,
                };
            }

            if (score >= bestScore && score > least)
            {
                bestScore = score;
                double sd = Math.Sqrt(c.AtSd * c.AtSd + StartWordSd * StartWordSd);
                best = new TimeFound(new Estimate(t - StartWordDelay, sd), TimeSource.Heard);
            }
        }

        return best;
    }

    private static bool Fits(double metres, double after, double? distance, double length)
    {
        double speed = distance is { } d ? d / length : 5;
        double expected = metres / speed + 2;
        return Math.Abs(after - expected) < 0.15 * expected + 8;
    }

    /// <summary>Where no start was heard: a straight line through the marks that were called, at least two.</summary>
    private static TimeFound? Reckoned(IReadOnlyList<HeardCall> calls, double? distance)
    {
        var marks = new List<(double T, double Metres)>();
        foreach (var c in calls)
        {
            double? gone = c.Call switch
            {
                DistanceCall { Sense: DistanceSense.Gone } g => g.Metres,
                DistanceCall { Sense: DistanceSense.Left } l => distance - l.Metres,
                _ => null,
            };
            if (gone is > 0 && c.Confidence >= 0.4)
            {
                marks.Add((c.At.Seconds, gone.Value));
            }
        }

        // Median of the pairwise slopes and of the intercepts (Theil 1950, Sen 1968): a mis-heard mark does no harm.
        var slopes = new List<double>();
        for (int i = 0; i < marks.Count; i++)
        {
            for (int k = i + 1; k < marks.Count; k++)
            {
                double dx = marks[k].Metres - marks[i].Metres;
                if (dx >= 100)
                {
                    slopes.Add((marks[k].T - marks[i].T) / dx);
                }
            }
        }

        if (slopes.Count == 0)
        {
            return null;
        }

        slopes.Sort();
        double perMetre = slopes[slopes.Count / 2];
        if (perMetre is < 1 / 7.0 or > 1 / 2.5)
        {
            return null;
        }

        var starts = marks.Select(m => m.T - perMetre * m.Metres).Order().ToList();
        double spread = starts.Count > 2 ? 0.7413 * (starts[3 * starts.Count / 4] - starts[starts.Count / 4]) : 4;

        if (spread > 20)
        {
            return null;
        }

        // A standing start loses some 2 s against the line through the later marks.
        return new TimeFound(new Estimate(starts[starts.Count / 2] - 2, Math.Sqrt(9 + spread * spread)), TimeSource.Reckoned);
    }

    /// <summary>The first order that ends the race, or the last counted stroke where no order was heard.</summary>
    private static TimeFound? HeardFinish(IReadOnlyList<HeardCall> calls, double go, double? distance)
    {
        // No boat covers the distance faster than 7 m/s; a race slower than 2.2 m/s is none.
        double earliest = go + (distance is { } d ? d / 7 : 60), latest = go + (distance is { } e ? e / 2.2 : 1800);
        double? lastRace = null;
        foreach (var c in calls)
        {
            double t = c.At.Seconds;
            if (t < earliest || t > latest)
            {
                continue;
            }

            if (c.Call is CountCall or DistanceCall or RateCall or StrokesToCall { To: StrokesTarget.Finish } && c.Confidence >= 0.4)
            {
                lastRace = t;
            }

            if (c.Call is CommandCall { Do: Deed.Stop or Deed.Pressure, Who: "all" } && c.Confidence >= 0.4)
            {
                double sd = Math.Sqrt(c.AtSd * c.AtSd + AfterLineSd * AfterLineSd);
                return new TimeFound(new Estimate(t - AfterLineDelay, sd + (lastRace is null ? 5 : 0)), TimeSource.Heard);
            }
        }

        return lastRace is { } l ? new TimeFound(new Estimate(l + 2, 4), TimeSource.Heard) : null;
    }

    /// <summary>Both where they agree (within three standard deviations), weighted by precision; else the surer one.</summary>
    private static TimeFound? Best(TimeFound? a, TimeFound? b)
    {
        if (a is not { } x || b is not { } y)
        {
            return a ?? b;
        }

        var surer = x.At.Sd <= y.At.Sd ? x : y;
        double vx = x.At.Sd * x.At.Sd, vy = y.At.Sd * y.At.Sd;
        double gap = x.At.Mean - y.At.Mean;
        if (gap * gap > 9 * (vx + vy))
        {
            return surer;
        }

        double v = 1 / (1 / vx + 1 / vy);
        return surer with { At = new Estimate(v * (x.At.Mean / vx + y.At.Mean / vy), Math.Sqrt(v)) };
    }
}
