using Stakeboat.Core.Units;

namespace Stakeboat.Core.Strokes;

/// <summary>What fixes slower than 4 Hz say of the rate.</summary>
/// <param name="Given">Rates that no mirror image contests.</param>
/// <param name="Folded">The lower of a rate and its mirror image where both or only the higher make sense: not a rate by itself, but another source may unfold it.</param>
internal sealed record SlowRateFindings(IReadOnlyList<RatePoint> Given, IReadOnlyList<RatePoint> Folded);

/// <summary>
/// The rate from slow fixes: the line of greatest power in the speed of half a minute (Lomb 1976), followed through the outing. Fixes at
/// F Hz show a rate r and its mirror image 60F - r alike: which of them was rowed is told by the way made in a stroke, and where that
/// leaves both, or only one above 27 F strokes/min, no rate is given.
/// </summary>
internal static class SlowRates
{
    private const double Window = 32;
    private const double Hop = 2;
    private const double GridStep = 0.01;

    /// <summary>Share of the speed's variance that a single line must explain: noise alone reaches 0.4 in one window of 32 fixes in two hundred.</summary>
    private const double LeastShare = 0.4;

    /// <summary>Slower than this nobody rows at a rate, m/s.</summary>
    private const double LeastSpeed = 1.5;

    /// <summary>No crew rows at more than 30 strokes/min with shorter strokes, m (my judgement, no source).</summary>
    private const double ShortestStroke = 6;

    /// <summary>Share of the fixes' own Nyquist rate up to which a rate is given: 27 of 30 strokes/min at 1 Hz.</summary>
    private const double BelowNyquist = 0.9;

    public static SlowRateFindings Find(TrackPath track, double zero, List<SensorIssue> issues)
    {
        double fold = 60 * track.Hz;
        double top = Math.Min(LocalPeriod.HighestRate, BelowNyquist * 0.5 * fold);
        var none = new SlowRateFindings([], []);
        double span = track.Seconds[^1] - track.Seconds[0];
        if (top < 1.3 * LocalPeriod.LowestRate || span < Window)
        {
            issues.Add(new SensorIssue(top < 1.3 * LocalPeriod.LowestRate ? SensorIssueKind.RateRefusedAliasing : SensorIssueKind.RateNotResolved, Value: track.Hz));
            return none;
        }

        // The grid goes on to the fold itself, so that a line between the last rate that is given and the fold is seen for what it is.
        var grid = new List<double>();
        for (double r = LocalPeriod.LowestRate; r <= Math.Min(LocalPeriod.HighestRate, 0.5 * fold); r *= 1 + GridStep)
        {
            grid.Add(r);
        }

        var rates = grid.ToArray();
        var ripple = Ripple(track);
        int windows = (int)((span - Window) / Hop) + 1;
        var shares = new double[windows][];
        var speeds = new double[windows];
        var counts = new int[windows];
        var first = new int[windows];
        var past = new int[windows];
        int a = 0;
        int b = 0;
        for (int w = 0; w < windows; w++)
        {
            double from = track.Seconds[0] + (w * Hop);
            while (track.Seconds[a] < from)
            {
                a++;
            }

            while (b < track.Count && track.Seconds[b] <= from + Window)
            {
                b++;
            }

            counts[w] = b - a;
            for (int i = a; i < b; i++)
            {
                speeds[w] = Math.Max(speeds[w], track.SmoothSpeed[i]);
            }

            shares[w] = new double[rates.Length];
            (first[w], past[w]) = (a, b);
        }

        Shares(track.Seconds, ripple, rates, first, past, shares);

        var path = RatePath.Best(shares, rates, 0.03, 0.05);
        var given = new List<RatePoint>();
        var folded = new List<RatePoint>();
        int ambiguous = 0;
        int refused = 0;
        int lost = 0;
        double lowest = double.NaN;
        for (int w = 0; w < windows; w++)
        {
            if (speeds[w] < LeastSpeed || counts[w] < 0.6 * Window * track.Hz)
            {
                continue;
            }

            double share = shares[w][path[w]];
            if (share < LeastShare)
            {
                lost++;
                continue;
            }

            double rate = Top(shares[w], rates, path[w]);
            double mirror = fold - rate;

            // sd of a line's frequency (Rife and Boorstyn 1974): sqrt(6/n) noise/(pi T A), the noise all that the line does not explain; and the rate's own change within the window.
            double noise = Math.Sqrt((1 - share) / Math.Max(share, 0.05) / 2);
            double sd = Math.Max(0.3, 60 * Math.Sqrt(6.0 / counts[w]) * noise / (Math.PI * Window) * 1.5);
            var at = SensorAnalysis.At(track.Seconds[0] - zero + (w * Hop) + (0.5 * Window));
            var point = new RatePoint(at, new Estimate(rate, sd), RateSource.SlowFixes);
            bool low = rate <= top && Plausible(rate, speeds[w]);
            bool high = mirror <= LocalPeriod.HighestRate && Plausible(mirror, speeds[w]);
            if (low && !high)
            {
                given.Add(point);
                continue;
            }

            if (low)
            {
                ambiguous++;
                lowest = double.IsNaN(lowest) ? rate : lowest;
            }
            else
            {
                refused++;
            }

            folded.Add(point);
        }

        if (refused > 0)
        {
            issues.Add(new SensorIssue(SensorIssueKind.RateRefusedAliasing, Value: track.Hz, Count: refused));
        }

        if (ambiguous > 0)
        {
            issues.Add(new SensorIssue(SensorIssueKind.RateAmbiguousAliasing, Value: lowest, Count: ambiguous));
        }

        if (lost > 0 && lost > given.Count + folded.Count)
        {
            issues.Add(new SensorIssue(SensorIssueKind.RateNotResolved, Value: track.Hz, Count: lost));
        }

        return new SlowRateFindings(given, folded);
    }

    /// <summary>Whether a crew makes so much way in a stroke: long slow strokes reach 14 m, fast ones are shorter (my judgement from steady and racing speeds, no source).</summary>
    private static bool Plausible(double rate, double speed)
    {
        double metres = 60 * speed / rate;
        return metres <= 14.5 - (0.22 * Math.Max(0, rate - 16)) && (rate < 30 || metres >= ShortestStroke);
    }

    /// <summary>Speed less its mean over 9 s around, spikes cut; from the receiver's own speed, else from steps along the path.</summary>
    private static double[] Ripple(TrackPath track)
    {
        int n = track.Count;
        var v = new double[n];
        for (int i = 0; i < n; i++)
        {
            int j = Math.Min(Math.Max(i, 1), n - 1);
            double step = (track.Along[j] - track.Along[j - 1]) / (track.Seconds[j] - track.Seconds[j - 1]);
            v[i] = double.IsNaN(track.Speed[i]) ? step : track.Speed[i];
            v[i] = Math.Clamp(v[i] - track.SmoothSpeed[i], -1.5, 1.5);
        }

        var ripple = new double[n];
        int a = 0;
        int b = 0;
        double sum = 0;
        for (int i = 0; i < n; i++)
        {
            while (b < n && track.Seconds[b] <= track.Seconds[i] + 4.5)
            {
                sum += v[b++];
            }

            while (track.Seconds[a] < track.Seconds[i] - 4.5)
            {
                sum -= v[a++];
            }

            ripple[i] = v[i] - (sum / (b - a));
        }

        return ripple;
    }

    /// <summary>Share of each window's variance that a line of each rate explains: least squares of cosine and sine (Lomb 1976), by running sums over all fixes.</summary>
    private static void Shares(double[] t, double[] x, double[] rates, int[] first, int[] past, double[][] shares)
    {
        int n = t.Length;
        var total = new double[n + 1];
        for (int i = 0; i < n; i++)
        {
            total[i + 1] = total[i] + (x[i] * x[i]);
        }

        var cc = new double[n + 1];
        var cs = new double[n + 1];
        var xc = new double[n + 1];
        var xs = new double[n + 1];
        for (int j = 0; j < rates.Length; j++)
        {
            double omega = 2 * Math.PI * rates[j] / 60;
            for (int i = 0; i < n; i++)
            {
                var (s, c) = Math.SinCos(omega * (t[i] - t[0]));
                cc[i + 1] = cc[i] + (c * c);
                cs[i + 1] = cs[i] + (c * s);
                xc[i + 1] = xc[i] + (x[i] * c);
                xs[i + 1] = xs[i] + (x[i] * s);
            }

            for (int w = 0; w < shares.Length; w++)
            {
                int a = first[w];
                int b = past[w];
                double all = total[b] - total[a];
                double c2 = cc[b] - cc[a];
                double s2 = b - a - c2;
                double both = cs[b] - cs[a];
                double c = xc[b] - xc[a];
                double s = xs[b] - xs[a];
                double det = (c2 * s2) - (both * both);
                shares[w][j] = all > 1e-9 && det > 1e-4 * (b - a) * (b - a)
                    ? Math.Clamp(((s2 * c * c) - (2 * both * c * s) + (c2 * s * s)) / det / all, 0, 1) : 0;
            }
        }
    }

    private static double Top(double[] shares, double[] rates, int at)
    {
        if (at == 0 || at == rates.Length - 1)
        {
            return rates[at];
        }

        var (shift, _) = Signals.Correlation.Parabola(shares[at - 1], shares[at], shares[at + 1]);
        return rates[at] * Math.Pow(1 + GridStep, shift);
    }
}
