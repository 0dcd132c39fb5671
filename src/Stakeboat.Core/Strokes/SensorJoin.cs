using Stakeboat.Core.Signals;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Strokes;

/// <summary>How the satellite clock lies on the motion log's, found from what the two sensors share.</summary>
/// <param name="Offset">Sensor seconds = satellite seconds + Offset at the anchor.</param>
/// <param name="Drift">s per s.</param>
/// <param name="Anchor">Satellite seconds.</param>
/// <param name="Sign">+1 or -1: which way the motion axis points.</param>
/// <param name="Correlation">Of speed changes, at the best lag, in [0, 1].</param>
/// <param name="Strength">The same weighed by how much of the track's speed changes lie in the overlap.</param>
internal readonly record struct JoinedClocks(double Offset, double Drift, double Anchor, double OffsetSd, double DriftSd, int Sign, double Correlation, double Strength);

/// <summary>
/// Puts a track on the motion log's clock: first by correlating changes of speed over all lags, which also tells which way the axis
/// points; then by the greatest evidence of the fusion itself as the fixes' clock is moved, whose curvature gives the spread.
/// </summary>
internal static class SensorJoin
{
    private const double Hz = 4;
    private const int MostTops = 8;

    /// <summary>
    /// Correlation of slow speed changes over all lags; the likeliest first, none where the two do not overlap for 30 s at any lag. Where the clocks are
    /// <paramref name="given"/> they stand, and only the axis' sign is sought.
    /// </summary>
    public static List<JoinedClocks> Coarse(EvenMotion m, double[] forward, TrackPath track, ClockMap<SatelliteClock, SensorClock>? given)
    {
        double trackSpan = track.Seconds[^1] - track.Seconds[0];
        int nt = (int)(trackSpan * Hz) + 1;
        int nm = (int)((m.Count - 1) * m.Step * Hz) + 1;
        if (nt < 30 * Hz || nm < 30 * Hz)
        {
            return [];
        }

        // Satellite speed on an even grid, its acceleration; motion averaged to the same grid.
        var v = new double[nt];
        int k = 0;
        for (int i = 0; i < nt; i++)
        {
            double t = track.Seconds[0] + (i / Hz);
            while (k + 2 < track.Count && track.Seconds[k + 1] <= t)
            {
                k++;
            }

            double f = Math.Clamp((t - track.Seconds[k]) / (track.Seconds[k + 1] - track.Seconds[k]), 0, 1);
            v[i] = track.SmoothSpeed[k] + (f * (track.SmoothSpeed[k + 1] - track.SmoothSpeed[k]));
        }

        var a = new double[nm];
        for (int i = 0; i < nm; i++)
        {
            int from = (int)Math.Round((i - 0.5) / Hz / m.Step);
            int to = Math.Max(from + 1, (int)Math.Round((i + 0.5) / Hz / m.Step));
            double s = 0;
            int n = 0;
            for (int j = Math.Max(0, from); j < Math.Min(m.Count, to); j++)
            {
                s += forward[j];
                n++;
            }

            a[i] = n > 0 ? s / n : 0;
        }

        var gained = new double[nm];
        double mean = 0;
        for (int i = 0; i < nm; i++)
        {
            mean += a[i] / nm;
        }

        for (int i = 1; i < nm; i++)
        {
            gained[i] = gained[i - 1] + ((a[i] - mean) / Hz);
        }

        var band = Butterworth.BandPass(2, 0.03, 0.18, Hz);
        var x = SectionFilter.ZeroPhase(band, v);
        var y = SectionFilter.ZeroPhase(band, gained);
        if (given is { } known)
        {
            // The clocks are given: only the sign is sought.
            double first = known.Map(Instant<SatelliteClock>.FromSeconds(track.Seconds[0])).Seconds;
            int lag = (int)Math.Round(first * Hz);
            double dot = 0;
            double ex = 0;
            double ey = 0;
            for (int i = Math.Max(0, -lag); i < Math.Min(nt, nm - lag); i++)
            {
                dot += x[i] * y[i + lag];
                ex += x[i] * x[i];
                ey += y[i + lag] * y[i + lag];
            }

            double r = ex * ey > 0 ? dot / Math.Sqrt(ex * ey) : 0;
            return [new JoinedClocks(first - track.Seconds[0], known.Drift, track.Seconds[0], known.SdAt(Instant<SatelliteClock>.FromSeconds(track.Seconds[0])), known.DriftSd, r < 0 ? -1 : 1, Math.Abs(r), Math.Abs(r))];
        }

        int maxLag = Math.Max(nt, nm) - 1;
        var c = Correlation.Cross(x, y, maxLag, (int)Math.Max(30 * Hz, 0.35 * Math.Min(nt, nm)));

        // Strength of the overlap counts too: a quiet stretch laid on a quiet stretch proves nothing.
        double total = 0;
        foreach (double q in x)
        {
            total += q * q;
        }

        var energy = new double[nt + 1];
        for (int i = 0; i < nt; i++)
        {
            energy[i + 1] = energy[i] + (x[i] * x[i]);
        }

        var strength = new double[c.Length];
        for (int i = 0; i < c.Length; i++)
        {
            int lag = i - maxLag;
            int from = Math.Max(0, -lag);
            int to = Math.Min(nt, nm - lag);
            strength[i] = to > from && total > 0 ? Math.Abs(c[i]) * Math.Sqrt((energy[to] - energy[from]) / total) : 0;
        }

        // The tops, each better than all within two seconds of it.
        int apart = (int)(2 * Hz);
        var tops = new List<int>();
        for (int i = 0; i < c.Length; i++)
        {
            bool highest = strength[i] > 0.3;
            for (int o = Math.Max(0, i - apart); highest && o <= Math.Min(c.Length - 1, i + apart); o++)
            {
                highest = o == i || strength[o] < strength[i] || (strength[o] == strength[i] && o > i);
            }

            if (highest)
            {
                tops.Add(i);
            }
        }

        if (tops.Count == 0)
        {
            int best = 0;
            for (int i = 1; i < c.Length; i++)
            {
                best = strength[i] > strength[best] ? i : best;
            }

            if (strength[best] <= 0)
            {
                return [];
            }

            tops.Add(best);
        }

        tops.Sort((p, q) => strength[q].CompareTo(strength[p]));
        var found = new List<JoinedClocks>();
        foreach (int i in tops.Take(MostTops))
        {
            double shift = 0;
            if (i > 0 && i < c.Length - 1)
            {
                double s = Math.Sign(c[i]);
                shift = Correlation.Parabola(s * c[i - 1], s * c[i], s * c[i + 1]).Shift;
            }

            double offset = ((i - maxLag + shift) / Hz) - track.Seconds[0];
            found.Add(new JoinedClocks(offset, 0, track.Seconds[0], 0.5, 0, Math.Sign(c[i]), Math.Abs(c[i]), strength[i]));
        }

        return found;
    }

    /// <summary>
    /// ln-likelihood of parts of the track with its clock joined in a stated way, at the best shift near it: what settles between lags that
    /// correlate alike. Levels are rough ones.
    /// </summary>
    public static double Plausibility(EvenMotion m, double[] forward, TrackPath track, JoinedClocks clocks)
    {
        var fixes = new double[track.Count];
        for (int i = 0; i < fixes.Length; i++)
        {
            fixes[i] = track.Seconds[i] + clocks.Offset;
        }

        var fusion = new HullFusion(fixes, track.Along, track.Speed, forward, m.Missing, m.Step);
        var rough = new HullLevels(0.05, 1e-4, 0.5, 1, track.HasSpeed ? 0.2 : 0.15);
        int per = Math.Min(fixes.Length / 3, (int)(120 * Math.Clamp(track.Hz, 0.3, 3)));
        double best = double.NegativeInfinity;
        for (int k = -6; k <= 6; k++)
        {
            double sum = 0;
            for (int part = 0; part < 3; part++)
            {
                int middle = (int)(fixes.Length * ((2L * part) + 1) / 6);
                int from = Math.Clamp(middle - (per / 2), 0, fixes.Length - per);
                sum += fusion.Evidence(rough, 3, 0.2 * k, from, from + per);
            }

            best = Math.Max(best, sum);
        }

        return best;
    }

    /// <summary>
    /// Offset and drift by evidence. <paramref name="evidence"/> gives ln-likelihood of stretch [from, to) of the fixes with their clock
    /// moved by a shift. Each stretch's best shift and curvature enter a weighted straight line.
    /// </summary>
    public static (double Shift, double Sd, double Drift, double DriftSd, double Anchor) Fine(
        Func<double, int, int, double> evidence, double[] fixes, int per)
    {
        int n = fixes.Length;
        var stretches = new List<(double At, double Shift, double Weight)>();
        int parts = Math.Clamp(n / per, 1, 6);
        int half = (int)Math.Round(Reach / Step);
        var curves = new double[parts][];
        var total = new double[(2 * half) + 1];

        // All stretches together choose the basin: a single one may fit as well one stroke off.
        for (int p = 0; p < parts; p++)
        {
            int from = (int)((long)n * p / parts);
            int to = Math.Min(from + per, (int)((long)n * (p + 1) / parts));
            curves[p] = new double[total.Length];
            for (int i = 0; i < total.Length; i++)
            {
                curves[p][i] = evidence((i - half) * Step, from, to);
                total[i] += curves[p][i];
            }
        }

        int middle = 0;
        for (int i = 1; i < total.Length; i++)
        {
            middle = total[i] > total[middle] ? i : middle;
        }

        for (int p = 0; p < parts; p++)
        {
            int from = (int)((long)n * p / parts);
            int to = Math.Min(from + per, (int)((long)n * (p + 1) / parts));
            if (Stretch(s => evidence(s, from, to), curves[p], half, middle) is { } found)
            {
                stretches.Add((0.5 * (fixes[from] + fixes[to - 1]), found.Shift, 1 / (found.Sd * found.Sd)));
            }
        }

        if (stretches.Count == 0)
        {
            return (0, 0.5, 0, 0, fixes[0]);
        }

        double sw = 0;
        double st = 0;
        double ss = 0;
        foreach (var s in stretches)
        {
            sw += s.Weight;
            st += s.Weight * s.At;
            ss += s.Weight * s.Shift;
        }

        double centre = st / sw;
        double mean = ss / sw;
        double sxx = 0;
        double sxy = 0;
        double chi = 0;
        foreach (var s in stretches)
        {
            sxx += s.Weight * (s.At - centre) * (s.At - centre);
            sxy += s.Weight * (s.At - centre) * (s.Shift - mean);
        }

        // Clocks of phones and watches differ by up to 5e-5 (common practice, no source): the prior of the drift.
        const double Prior = 5e-5;
        double driftWeight = sxx + (1 / (Prior * Prior));
        double drift = stretches.Count > 1 ? sxy / driftWeight : 0;
        double driftSd = 1 / Math.Sqrt(driftWeight);
        foreach (var s in stretches)
        {
            double r = s.Shift - mean - (drift * (s.At - centre));
            chi += s.Weight * r * r;
        }

        double inflate = stretches.Count > 2 ? Math.Max(1, Math.Sqrt(chi / (stretches.Count - 2))) : 1;
        return (mean, inflate / Math.Sqrt(sw), drift, inflate * driftSd, centre);
    }

    private const double Reach = 1.6;
    private const double Step = 0.1;

    private static (double Shift, double Sd)? Stretch(Func<double, double> evidence, double[] e, int half, int middle)
    {
        int low = Math.Max(0, middle - 4);
        int high = Math.Min(e.Length - 1, middle + 4);
        int best = low;
        for (int i = low; i <= high; i++)
        {
            best = e[i] > e[best] ? i : best;
        }

        if (best == low || best == high)
        {
            return null;
        }

        double at = (best - half) * Step;
        double h = 0.03;
        double left = evidence(at - h);
        double right = evidence(at + h);
        double curve = (left - (2 * e[best]) + right) / (h * h);
        if (curve >= 0)
        {
            curve = (e[best - 1] - (2 * e[best]) + e[best + 1]) / (Step * Step);
            (left, right, h) = (e[best - 1], e[best + 1], Step);
        }

        if (curve >= -1)
        {
            return null;
        }

        double shift = Math.Clamp(-(right - left) / (2 * h) / curve, -Step, Step);
        return (at + shift, Math.Sqrt(-1 / curve));
    }
}
