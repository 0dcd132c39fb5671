using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Strokes;

/// <summary>Something heard on the recording that the sensors saw too.</summary>
/// <param name="Seconds">On the recording's clock.</param>
/// <param name="Value">For a rate: strokes/min. Not used for an onset.</param>
/// <param name="Sd">Of the rate, strokes/min, or of the onset's instant, s.</param>
/// <param name="Delay">How long after the strokes that it speaks of a rate stands, s; a coxswain speaks of a rate some seconds old.</param>
/// <param name="Weight">Share of an independent observation: less where neighbours hear the same strokes.</param>
public readonly record struct HeardMark(double Seconds, double Value, double Sd, double Delay = ClockAlignment.CallDelay, double Weight = 1);

/// <summary>
/// Joins a recording's clock to the sensors': the rates that were called, counted or heard in the boat's own sound laid on the rate that
/// was rowed, and the word of the start laid on the starts that were seen. Every offset gets a likelihood with Student-t errors
/// (4 degrees); its posterior gives offset and spread. Drift is left 0 with the spread that clocks of phones have, 5e-5 (common practice,
/// no source).
/// </summary>
public static class ClockAlignment
{
    /// <summary>A called rate speaks of the strokes up to this long before, s (my judgement, no source).</summary>
    public const double CallDelay = 3;

    private const double Coarse = 0.5;
    private const double Step = 0.1;
    private const double Drift = 5e-5;

    /// <summary>Offsets this far around the best coarse ones are looked at finely, s.</summary>
    private const double Around = 4;

    /// <summary>One offset is meant while others lie no farther from it than this, s, and hold this share.</summary>
    private const double Nearby = 15;

    private const double LeastShare = 0.667;

    /// <summary>A piece that did not come from rest is a start only by courtesy: as unlikely as this many sds.</summary>
    private const double Rolling = 3;

    /// <summary>The map that a person pinned by one pair of instants.</summary>
    public static ClockMap<SensorClock, RecordingClock> Pinned(double sensorSeconds, double recordingSeconds, double sd = 0.1) =>
        new(recordingSeconds - sensorSeconds, 0, sensorSeconds, sd, Drift, "pinned");

    /// <summary>The map by what is shared; null where less than two thirds of the probability lie within 15 s of the likeliest offset.</summary>
    /// <param name="rates">Called, counted or heard rates.</param>
    /// <param name="starts">Instants at which a start was heard ("go", the horn).</param>
    /// <param name="longest">Length of the recording, s: offsets are sought over all overlaps with it.</param>
    public static ClockMap<SensorClock, RecordingClock>? Find(
        SensorFindings sensors, IReadOnlyList<HeardMark> rates, IReadOnlyList<HeardMark> starts, double longest)
    {
        ArgumentNullException.ThrowIfNull(sensors);
        ArgumentNullException.ThrowIfNull(rates);
        ArgumentNullException.ThrowIfNull(starts);
        double end = sensors.Rates.Count > 0 ? sensors.Rates[^1].At.Seconds : 0;
        foreach (var p in sensors.Pieces)
        {
            end = Math.Max(end, p.End.Mean);
        }

        if (end <= 0 || (rates.Count == 0 && starts.Count == 0))
        {
            return null;
        }

        var curve = sensors.Rates.Count > 0 ? Curve(sensors, end) : null;
        double Log(double offset) => (curve is null ? 0 : Rates(curve, rates, offset)) + Starts(sensors, starts, offset);

        // Coarsely everywhere, and at every pairing of a start heard with a start rowed; finely around the best of these.
        var candidates = new List<(double Offset, double Log)>();
        for (double offset = -end; offset <= longest; offset += Coarse)
        {
            candidates.Add((offset, Log(offset)));
        }

        foreach (var s in starts)
        {
            foreach (var p in sensors.Pieces)
            {
                candidates.Add((s.Seconds - p.Start.Mean, Log(s.Seconds - p.Start.Mean)));
            }
        }

        candidates.Sort((a, b) => b.Log.CompareTo(a.Log));
        var cells = new HashSet<long>();
        int reach = (int)(Around / Step);
        foreach (var (offset, log) in candidates)
        {
            if (log < candidates[0].Log - 12 || cells.Count > 6000)
            {
                break;
            }

            long middle = (long)Math.Round(offset / Step);
            for (int k = -reach; k <= reach; k++)
            {
                cells.Add(middle + k);
            }
        }

        double top = double.NegativeInfinity;
        var fine = new List<(double Offset, double Log)>(cells.Count);
        foreach (long cell in cells)
        {
            double log = Log(cell * Step);
            fine.Add((cell * Step, log));
            top = Math.Max(top, log);
        }

        // The mode's own surroundings must hold most of the probability; the tails of its Student-t say nothing of where it lies.
        double mode = fine.MaxBy(f => f.Log).Offset;
        fine.Sort((a, b) => a.Offset.CompareTo(b.Offset));
        double total = 0;
        double near = 0;
        foreach (var (offset, log) in fine)
        {
            double p = Math.Exp(log - top);
            total += p;
            near += Math.Abs(offset - mode) <= Nearby ? p : 0;
        }

        if (near < LeastShare * total)
        {
            return null;
        }

        double Quantile(double share)
        {
            double sum = 0;
            foreach (var (offset, log) in fine)
            {
                sum += Math.Abs(offset - mode) <= Nearby ? Math.Exp(log - top) : 0;
                if (sum >= share * near)
                {
                    return offset;
                }
            }

            return mode;
        }

        double half = 0.5 * (Quantile(0.8413) - Quantile(0.1587));
        return new ClockMap<SensorClock, RecordingClock>(Quantile(0.5), 0, 0.5 * end, Math.Sqrt((half * half) + (Step * Step / 12)), Drift, "correlation");
    }

    /// <summary>Rate rowed on a grid of seconds, NaN in pauses.</summary>
    private static double[] Curve(SensorFindings sensors, double end)
    {
        var curve = new double[(int)end + 2];
        Array.Fill(curve, double.NaN);
        int k = 0;
        var points = sensors.Rates;
        for (int i = 0; i < curve.Length && points.Count > 0; i++)
        {
            while (k + 1 < points.Count && points[k + 1].At.Seconds <= i)
            {
                k++;
            }

            double sum = 0;
            int count = 0;
            for (int j = Math.Max(0, k - 1); j <= Math.Min(points.Count - 1, k + 1); j++)
            {
                if (Math.Abs(points[j].At.Seconds - i) < 4.5)
                {
                    sum += points[j].Rate.Mean;
                    count++;
                }
            }

            curve[i] = count > 0 ? sum / count : double.NaN;
        }

        return curve;
    }

    private static double Rates(double[] curve, IReadOnlyList<HeardMark> rates, double offset)
    {
        double sum = 0;
        foreach (var r in rates)
        {
            double t = r.Seconds - offset - r.Delay;
            double sd = Math.Max(0.7, r.Sd);

            // Where nobody rowed a rate was still called: as unlikely as a miss by four sds.
            double z = 4;
            if (t >= 0 && t < curve.Length - 1)
            {
                double rowed = curve[(int)Math.Round(t)];
                z = double.IsNaN(rowed) ? 4 : Math.Min(4, Math.Abs(r.Value - rowed) / sd);
            }

            sum -= r.Weight * 2.5 * Math.Log(1 + (z * z / 4));
        }

        return sum;
    }

    private static double Starts(SensorFindings sensors, IReadOnlyList<HeardMark> starts, double offset)
    {
        double sum = 0;
        foreach (var s in starts)
        {
            double nearest = 8;
            foreach (var p in sensors.Pieces)
            {
                double penalty = p.Kind == PieceKind.StandingStart || ReferenceEquals(p, sensors.Race) ? 0 : Rolling;
                double z = (s.Seconds - offset - p.Start.Mean) / Math.Sqrt((s.Sd * s.Sd) + (p.Start.Sd * p.Start.Sd) + 0.09);
                nearest = Math.Min(nearest, Math.Sqrt((z * z) + (penalty * penalty)));
            }

            sum -= s.Weight * 2.5 * Math.Log(1 + (nearest * nearest / 4));
        }

        return sum;
    }
}
