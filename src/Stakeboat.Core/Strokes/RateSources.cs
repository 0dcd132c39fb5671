using Stakeboat.Core.Units;

namespace Stakeboat.Core.Strokes;

/// <summary>Where a rate came from.</summary>
public enum RateSource
{
    Motion,
    FastFixes,
    SlowFixes,
    Sound,
    Counts,
    Spoken,
}

/// <summary>A rate at one moment from one source. All instants that are merged must lie on one clock.</summary>
/// <param name="Seconds">On whichever clock the caller put all sources on.</param>
public readonly record struct RateReading(double Seconds, Estimate Rate, RateSource Source);

/// <summary>Several sources' word on the rate at one moment.</summary>
/// <param name="Rate">Precision-weighted over the sources that agree.</param>
/// <param name="Agreeing">Sources in the mean, after their octaves were set right.</param>
/// <param name="Disagreeing">Sources left out because no octave or alias of theirs fits, with what they said.</param>
/// <param name="Changed">Sources whose reading was halved, doubled or unfolded, with what they had said.</param>
public sealed record MergedRate(
    double Seconds, Estimate Rate, IReadOnlyList<RateSource> Agreeing, IReadOnlyList<RateReading> Disagreeing, IReadOnlyList<RateReading> Changed);

/// <summary>Merges rates of several sources by precision after a vote on octaves and aliases.</summary>
public static class RateVote
{
    /// <summary>Weights of the vote, most trusted first (order by the sources' nature: inertial, counted, heard, seen slowly).</summary>
    private static double Weight(RateSource s) => s switch
    {
        RateSource.Motion => 4,
        RateSource.Counts => 2.5,
        RateSource.FastFixes => 2.5,
        RateSource.Spoken => 2,
        RateSource.Sound => 1.5,
        _ => 1,
    };

    /// <summary>
    /// One rate from readings of one moment. Each reading offers itself, its half and its double (counts and sound: a coxswain may count
    /// every second stroke, a knock may come twice), and for slow fixes its alias 60 f - r. The candidate with the greatest weight within
    /// 3 sd (at least 1.5 strokes/min) wins; ties go to the least changed.
    /// </summary>
    /// <param name="fixHz">Rate of the slow fixes, Hz.</param>
    public static MergedRate? At(double seconds, IReadOnlyList<RateReading> readings, double fixHz = 1)
    {
        ArgumentNullException.ThrowIfNull(readings);
        if (readings.Count == 0)
        {
            return null;
        }

        double best = double.NegativeInfinity;
        double winner = 0;
        foreach (var r in readings)
        {
            foreach (double candidate in Offers(r, fixHz))
            {
                double score = 0;
                foreach (var other in readings)
                {
                    double fit = 0;
                    foreach (double offer in Offers(other, fixHz))
                    {
                        double z = (offer - candidate) / Tolerance(other, offer);
                        if (Math.Abs(z) <= 1)
                        {
                            double own = offer == other.Rate.Mean ? 1 : 0.55;
                            fit = Math.Max(fit, own * (1 - (0.3 * z * z)));
                        }
                    }

                    score += Weight(other.Source) * fit;
                }

                if (score > best + 1e-9)
                {
                    best = score;
                    winner = candidate;
                }
            }
        }

        double precision = 0;
        double sum = 0;
        double chi = 0;
        var agreeing = new List<RateSource>();
        var disagreeing = new List<RateReading>();
        var changed = new List<RateReading>();
        var used = new List<(double Value, double Sd)>();
        foreach (var r in readings)
        {
            double nearest = double.NaN;
            foreach (double offer in Offers(r, fixHz))
            {
                if (Math.Abs(offer - winner) <= Tolerance(r, offer)
                    && (double.IsNaN(nearest) || Math.Abs(offer - winner) < Math.Abs(nearest - winner)))
                {
                    nearest = offer;
                }
            }

            if (double.IsNaN(nearest))
            {
                disagreeing.Add(r);
                continue;
            }

            double sd = Math.Max(1e-3, r.Rate.Sd * nearest / r.Rate.Mean);
            agreeing.Add(r.Source);
            used.Add((nearest, sd));
            precision += 1 / (sd * sd);
            sum += nearest / (sd * sd);
            if (nearest != r.Rate.Mean)
            {
                changed.Add(r);
            }
        }

        double mean = sum / precision;
        foreach (var (value, sd) in used)
        {
            chi += (value - mean) * (value - mean) / (sd * sd);
        }

        // Sources that lie apart by more than they claim widen the result (Birge 1932).
        double birge = used.Count > 1 ? Math.Max(1, Math.Sqrt(chi / (used.Count - 1))) : 1;
        return new MergedRate(seconds, new Estimate(mean, birge / Math.Sqrt(precision)), agreeing, disagreeing, changed);
    }

    /// <summary>A merged curve each <paramref name="step"/> s from readings of any moment; a reading speaks for ±<paramref name="reach"/> s around it.</summary>
    public static IReadOnlyList<MergedRate> Curve(IReadOnlyList<RateReading> readings, double step = 2, double reach = 3, double fixHz = 1)
    {
        ArgumentNullException.ThrowIfNull(readings);
        var sorted = new RateReading[readings.Count];
        var keys = new double[readings.Count];
        for (int i = 0; i < sorted.Length; i++)
        {
            sorted[i] = readings[i];
            keys[i] = sorted[i].Seconds;
        }

        Array.Sort(keys, sorted);
        var curve = new List<MergedRate>();
        if (sorted.Length == 0)
        {
            return curve;
        }

        int a = 0;
        var near = new List<RateReading>();
        for (double t = sorted[0].Seconds; t <= sorted[^1].Seconds + 1e-9; t += step)
        {
            while (a < sorted.Length && sorted[a].Seconds < t - reach)
            {
                a++;
            }

            near.Clear();
            for (int source = 0; source <= (int)RateSource.Spoken; source++)
            {
                if (Mean(sorted, a, t, reach, (RateSource)source) is { } mean)
                {
                    near.Add(mean);
                }
            }

            if (At(t, near, fixHz) is { } merged)
            {
                curve.Add(merged);
            }
        }

        return curve;
    }

    /// <summary>One reading for a source around an instant. What scatters inside the reach is the rate's own change, so the sd is not divided by more than two strokes' worth.</summary>
    private static RateReading? Mean(RateReading[] sorted, int from, double t, double reach, RateSource source)
    {
        double sw = 0;
        double s = 0;
        int n = 0;
        for (int i = from; i < sorted.Length && sorted[i].Seconds <= t + reach; i++)
        {
            if (sorted[i].Source == source)
            {
                double w = 1 / (sorted[i].Rate.Sd * sorted[i].Rate.Sd);
                sw += w;
                s += w * sorted[i].Rate.Mean;
                n++;
            }
        }

        return n == 0 ? null : new RateReading(t, new Estimate(s / sw, Math.Sqrt(Math.Max(1 / sw, 0.5 * n / sw))), source);
    }

    /// <summary>Three sds of what is offered (a half has half the sd), at least 1.5 strokes/min.</summary>
    private static double Tolerance(RateReading r, double offer) => Math.Max(1.5, 3 * r.Rate.Sd * Math.Min(1, offer / r.Rate.Mean));

    private static double[] Offers(RateReading r, double fixHz)
    {
        double v = r.Rate.Mean;
        return r.Source switch
        {
            RateSource.SlowFixes => [v, (60 * fixHz) - v],
            RateSource.Sound or RateSource.Counts => [v, 2 * v, 0.5 * v],
            _ => [v],
        };
    }
}

/// <summary>Rate from strokes that were counted aloud.</summary>
public static class CountedRate
{
    /// <summary>
    /// Robust line t = t0 + T k through counted numbers k and their instants, by Student-t weights with 4 degrees: rate 60/T,
    /// se(T) = s sqrt(12/(n(n²-1))) for numbers without gaps, and se(rate) = 60/T² se(T). Skipped numbers do no harm, because the line
    /// goes over the number spoken and not over its place. Null for fewer than three counts or a period outside 0.8-8 s.
    /// </summary>
    /// <param name="timeSd">Known sd of a spoken instant, s; where null it is taken from the scatter, at least 0.05 s.</param>
    public static RateReading? Fit(ReadOnlySpan<double> seconds, ReadOnlySpan<int> numbers, double? timeSd = null)
    {
        int n = seconds.Length;
        if (n != numbers.Length)
        {
            throw new ArgumentException("Each counted number needs its instant.", nameof(numbers));
        }

        if (n < 3)
        {
            return null;
        }

        Span<double> w = n <= 128 ? stackalloc double[n] : new double[n];
        w.Fill(1);
        double slope = 0;
        double centreT = 0;
        double sxx = 0;
        double scale = timeSd ?? 0.15;
        for (int round = 0; round < 50; round++)
        {
            double sw = 0;
            double sk = 0;
            double st = 0;
            for (int i = 0; i < n; i++)
            {
                sw += w[i];
                sk += w[i] * numbers[i];
                st += w[i] * seconds[i];
            }

            double mk = sk / sw;
            double mt = st / sw;
            sxx = 0;
            double sxy = 0;
            for (int i = 0; i < n; i++)
            {
                sxx += w[i] * (numbers[i] - mk) * (numbers[i] - mk);
                sxy += w[i] * (numbers[i] - mk) * (seconds[i] - mt);
            }

            if (sxx <= 0)
            {
                return null;
            }

            double last = slope;
            slope = sxy / sxx;
            centreT = mt;
            double chi = 0;
            for (int i = 0; i < n; i++)
            {
                double r = seconds[i] - mt - (slope * (numbers[i] - mk));
                chi += w[i] * r * r;
                double z = r / scale;
                w[i] = 5 / (4 + (z * z));
            }

            if (timeSd is null && n > 3)
            {
                scale = Math.Max(0.05, Math.Sqrt(chi / (n - 2)));
            }

            if (round > 2 && Math.Abs(slope - last) < 1e-12)
            {
                break;
            }
        }

        if (slope is < 0.8 or > 8)
        {
            return null;
        }

        double se = scale / Math.Sqrt(sxx);
        double rate = 60 / slope;
        return new RateReading(centreT, new Estimate(rate, 60 / (slope * slope) * se), RateSource.Counts);
    }

    /// <summary>Plain least squares, for one who wants the textbook's numbers: period, rate and the rate's standard error for a known sd of the instants or, where null, the scatter's own.</summary>
    public static (double Period, double Rate, double StandardError) LeastSquares(ReadOnlySpan<double> seconds, ReadOnlySpan<int> numbers, double? timeSd)
    {
        int n = seconds.Length;
        double mk = 0;
        double mt = 0;
        for (int i = 0; i < n; i++)
        {
            mk += (double)numbers[i] / n;
            mt += seconds[i] / n;
        }

        double sxx = 0;
        double sxy = 0;
        for (int i = 0; i < n; i++)
        {
            sxx += (numbers[i] - mk) * (numbers[i] - mk);
            sxy += (numbers[i] - mk) * (seconds[i] - mt);
        }

        double slope = sxy / sxx;
        double rest = 0;
        for (int i = 0; i < n; i++)
        {
            double r = seconds[i] - mt - (slope * (numbers[i] - mk));
            rest += r * r;
        }

        double s = timeSd ?? Math.Sqrt(rest / (n - 2));
        return (slope, 60 / slope, 60 / (slope * slope) * s / Math.Sqrt(sxx));
    }
}
