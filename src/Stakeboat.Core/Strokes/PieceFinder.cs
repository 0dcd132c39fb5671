using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Strokes;

/// <summary>
/// Stretches of rowing, hard pieces, races, turns. A piece is a stretch above 0.8 of the outing's own fast speed (its 90th percentile)
/// for 30 s or more. A standing start is a piece that came from under 1 m/s. A race is a standing start at a racing rate over a
/// racing distance, or a piece over the distance that the sheet gives. All limits are my judgement, no source.
/// </summary>
internal static class PieceFinder
{
    private const double Hard = 0.8;
    private const double LeastSeconds = 30;
    private const double RacingRate = 27;
    private const double RacingMetres = 400;

    /// <summary>The first stroke of a piece leaves the boat faster by this, m/s.</summary>
    private const double Lifted = 0.2;

    public static (IReadOnlyList<Span> Rowing, IReadOnlyList<Piece> Pieces, Piece? Race) Find(
        IReadOnlyList<Stroke> strokes, FusionResult? fused, double? distance)
    {
        var rowing = Rowing(strokes, fused);
        var pieces = fused is not null ? FromSpeed(strokes, fused, distance) : FromRate(strokes);
        Piece? race = null;
        foreach (var p in pieces)
        {
            if (p.Kind != PieceKind.Piece && (race is null || Better(p, race, distance)))
            {
                race = p;
            }
        }

        return (rowing, pieces, race);
    }

    public static IReadOnlyList<Turn> Turns(TrackPath track, ClockMap<SatelliteClock, SensorClock> map)
    {
        var turns = new List<Turn>();
        int n = track.Count;
        int a = 0;
        int i = 0;
        while (i < n)
        {
            while (track.Seconds[i] - track.Seconds[a] > 90)
            {
                a++;
            }

            double change = track.Heading[i] - track.Heading[a];
            if (Math.Abs(change) > 120 * Math.PI / 180)
            {
                // Follow it to where it stops growing.
                int end = i;
                int k = i;
                while (k < n && track.Seconds[k] - track.Seconds[end] < 20)
                {
                    if (Math.Sign(change) * (track.Heading[k] - track.Heading[end]) > 0.05)
                    {
                        end = k;
                    }

                    k++;
                }

                int start = a;
                while (start < i && Math.Abs(track.Heading[start] - track.Heading[a]) < 0.15)
                {
                    start++;
                }

                double degrees = (track.Heading[end] - track.Heading[a]) * 180 / Math.PI;
                turns.Add(new Turn(
                    new Span(map.Map(Instant<SatelliteClock>.FromSeconds(track.Seconds[start])), map.Map(Instant<SatelliteClock>.FromSeconds(track.Seconds[end]))), degrees));
                i = end + 1;
                a = Math.Min(end, n - 1);
                continue;
            }

            i++;
        }

        return turns;
    }

    private static bool Better(Piece p, Piece than, double? distance)
    {
        if (distance is { } d)
        {
            double Off(Piece x) => x.Metres is { } m ? Math.Abs(m.Mean - d) / d : 1;
            bool near = Off(p) < 0.04;
            bool thanNear = Off(than) < 0.04;
            if (near != thanNear)
            {
                return near;
            }
        }

        return p.Metres is { } a && than.Metres is { } b ? a.Mean > b.Mean : p.End.Mean - p.Start.Mean > than.End.Mean - than.Start.Mean;
    }

    private static List<Span> Rowing(IReadOnlyList<Stroke> strokes, FusionResult? fused)
    {
        var spans = new List<Span>();
        if (strokes.Count > 0)
        {
            int first = 0;
            for (int i = 1; i <= strokes.Count; i++)
            {
                if (i == strokes.Count || strokes[i].Catch.Seconds - strokes[i - 1].Catch.Seconds > StrokeMeasures.Pause)
                {
                    if (i - first >= 3)
                    {
                        spans.Add(new Span(strokes[first].Catch, SensorAnalysis.At(strokes[i - 1].Catch.Seconds + strokes[i - 1].PeriodSeconds)));
                    }

                    first = i;
                }
            }

            return spans;
        }

        if (fused is not null)
        {
            foreach (var (from, to) in Above(Slow(fused.Hull), 1.5, 4, 10))
            {
                spans.Add(new Span(SensorAnalysis.At(fused.Hull.Start + from), SensorAnalysis.At(fused.Hull.Start + to)));
            }
        }

        return spans;
    }

    /// <summary>Mean speed over 5 s, once a second from the hull's start.</summary>
    private static double[] Slow(HullSignal hull)
    {
        int n = (int)(hull.Step * (hull.Count - 1)) + 1;
        var v = new double[n];
        for (int i = 0; i < n; i++)
        {
            double a = Math.Max(0, i - 2.5);
            double b = Math.Min(n - 1, i + 2.5);
            v[i] = b > a ? (hull.At(SensorAnalysis.At(hull.Start + b)).Metres - hull.At(SensorAnalysis.At(hull.Start + a)).Metres) / (b - a) : 0;
        }

        return v;
    }

    private static List<(double From, double To)> Above(double[] v, double level, int bridge, double least)
    {
        var found = new List<(double, double)>();
        int start = -1;
        int last = -1;
        for (int i = 0; i <= v.Length; i++)
        {
            bool on = i < v.Length && v[i] >= level;
            if (on)
            {
                if (start < 0)
                {
                    start = i;
                }

                last = i;
            }
            else if (start >= 0 && (i == v.Length || i - last > bridge))
            {
                if (last - start >= least)
                {
                    found.Add((start, last));
                }

                start = -1;
            }
        }

        return found;
    }

    private static List<Piece> FromSpeed(IReadOnlyList<Stroke> strokes, FusionResult fused, double? distance)
    {
        var hull = fused.Hull;
        var v = Slow(hull);
        var moving = new List<double>();
        foreach (double x in v)
        {
            if (x > 1.2)
            {
                moving.Add(x);
            }
        }

        if (moving.Count < LeastSeconds)
        {
            return [];
        }

        moving.Sort();
        double fast = moving[(int)(0.9 * (moving.Count - 1))];
        var pieces = new List<Piece>();
        foreach (var (from, to) in Above(v, Hard * fast, 5, LeastSeconds))
        {
            pieces.Add(Describe(strokes, fused, v, fast, hull.Start + from, hull.Start + to, distance));
        }

        return pieces;
    }

    private static Piece Describe(IReadOnlyList<Stroke> strokes, FusionResult fused, double[] v, double fast, double from, double to, double? distance)
    {
        var hull = fused.Hull;
        var start = StartOf(strokes, fused, v, fast, from, out bool standing);
        double s0 = hull.At(SensorAnalysis.At(start.Mean)).Metres;
        double endAt = EaseOf(hull, v, fast, to);
        double s1 = hull.At(SensorAnalysis.At(endAt)).Metres;
        int count = 0;
        double sum = 0;
        int early = 0;
        double earlySum = 0;
        foreach (var s in strokes)
        {
            if (s.Catch.Seconds >= start.Mean - 0.7 && s.Catch.Seconds < endAt)
            {
                count++;
                sum += s.PeriodSeconds;
                if (early < 20)
                {
                    early++;
                    earlySum += s.PeriodSeconds;
                }
            }
        }

        double metres = s1 - s0;
        bool racing = strokes.Count == 0 ? fast > 3.4 : early > 4 && 60 * early / earlySum >= RacingRate;
        bool near = distance is { } d0 && metres > 0.96 * d0;
        var kind = standing && racing && metres >= (distance is { } d1 ? Math.Min(RacingMetres, 0.9 * d1) : RacingMetres) && (distance is null || near)
            ? PieceKind.StandingStart
            : racing && near && metres < 1.25 * distance!.Value ? PieceKind.RollingStart : PieceKind.Piece;
        var end = new Estimate(endAt, 2);
        if (kind == PieceKind.StandingStart && distance is { } d && metres > 0.985 * d)
        {
            double room = Math.Min(hull.To.Seconds, endAt + 60);
            if (hull.WhenAt(s0 + d, SensorAnalysis.At(start.Mean), SensorAnalysis.At(room)) is { } finish)
            {
                double speed = Math.Max(0.5, hull.At(finish).SpeedMps);
                end = new Estimate(finish.Seconds, Math.Sqrt(Square(WaySd(fused, start.Mean, finish.Seconds) / speed) + Square(start.Sd * 0.2)));
                metres = d;
            }
        }

        Estimate? rate = count > 1 ? new Estimate(60 * count / sum, 60 * count / sum * 0.02 / Math.Sqrt(count)) : null;
        double waySd = WaySd(fused, start.Mean, end.Mean);
        return new Piece(kind, start, end, new Estimate(hull.At(SensorAnalysis.At(end.Mean)).Metres - s0, waySd), count, rate,
            Splits(fused, start, end.Mean, 100), Splits(fused, start, end.Mean, 250), Splits(fused, start, end.Mean, 500));
    }

    /// <summary>When the piece began: for a standing start the first catch that moved the boat, else where the speed rose.</summary>
    private static Estimate StartOf(IReadOnlyList<Stroke> strokes, FusionResult fused, double[] v, double fast, double from, out bool standing)
    {
        var hull = fused.Hull;
        standing = false;
        int i = (int)Math.Round(from - hull.Start);
        int back = Math.Max(0, i - 30);
        int still = -1;
        for (int k = i; k >= back; k--)
        {
            if (v[k] < 1)
            {
                still = k;
                break;
            }
        }

        if (still < 0 && AfterPause(strokes, hull, from) is { } rested)
        {
            return new Estimate(rested, 0.2);
        }

        if (still < 0)
        {
            // Rolling: half way up from the speed before.
            int low = i;
            for (int k = i; k >= Math.Max(0, i - 10); k--)
            {
                if (v[k] < v[low])
                {
                    low = k;
                }
            }

            double half = 0.5 * (v[low] + (Hard * fast));
            int at = low;
            while (at < i && v[at] < half)
            {
                at++;
            }

            return new Estimate(hull.Start + at, 1.5);
        }

        standing = true;
        double rest = hull.Start + still;

        // Last moment before the rise at which the boat lay still, from the fine speed.
        double fine = rest + 6;
        double t = fine;
        double least = 0.35;
        for (; t > Math.Max(hull.Start, rest - 8); t -= 0.1)
        {
            if (hull.At(SensorAnalysis.At(t)).SpeedMps < least && MeanOver(hull, t - 1.2, t) < least)
            {
                break;
            }
        }

        if (AfterPause(strokes, hull, from) is { } catchAfterRest && Math.Abs(catchAfterRest - t) < 4)
        {
            return new Estimate(catchAfterRest, 0.2);
        }

        Stroke? first = null;
        foreach (var s in strokes)
        {
            if (s.Catch.Seconds > t - 1.2 && s.Catch.Seconds < t + 2.5)
            {
                first = s;
                break;
            }
        }

        return first is not null ? new Estimate(Math.Min(first.Catch.Seconds, t), 0.2) : new Estimate(t, 0.4);
    }

    /// <summary>The first catch after a pause, where the piece followed one within half a minute; not one that moved nothing.</summary>
    private static double? AfterPause(IReadOnlyList<Stroke> strokes, HullSignal hull, double from)
    {
        int i = strokes.Count - 1;
        while (i >= 0 && strokes[i].Catch.Seconds > from + 4)
        {
            i--;
        }

        while (i > 0 && strokes[i].Catch.Seconds - strokes[i - 1].Catch.Seconds <= StrokeMeasures.Pause)
        {
            i--;
        }

        if (i < 0 || strokes[i].Catch.Seconds < from - 30)
        {
            return null;
        }

        // A knock in the rest looks like a catch; the stroke that began the piece left the boat faster.
        while (i + 1 < strokes.Count && strokes[i + 1].Catch.Seconds <= from + 4
            && hull.At(strokes[i + 1].Catch).SpeedMps < hull.At(strokes[i].Catch).SpeedMps + Lifted)
        {
            i++;
        }

        return strokes[i].Catch.Seconds;
    }

    private static double MeanOver(HullSignal hull, double a, double b)
    {
        a = Math.Max(a, hull.Start);
        return b - a > 0.05
            ? (hull.At(SensorAnalysis.At(b)).Metres - hull.At(SensorAnalysis.At(a)).Metres) / (b - a)
            : hull.At(SensorAnalysis.At(b)).SpeedMps;
    }

    private static double EaseOf(HullSignal hull, double[] v, double fast, double to)
    {
        int i = (int)Math.Round(to - hull.Start);
        _ = fast;
        _ = v;
        return hull.Start + i;
    }

    private static List<Piece> FromRate(IReadOnlyList<Stroke> strokes)
    {
        var pieces = new List<Piece>();
        int first = -1;
        for (int i = 0; i <= strokes.Count; i++)
        {
            bool on = i < strokes.Count && strokes[i].Rate.Mean >= RacingRate
                && (first < 0 || i == 0 || strokes[i].Catch.Seconds - strokes[i - 1].Catch.Seconds < StrokeMeasures.Pause);
            if (on)
            {
                first = first < 0 ? i : first;
            }
            else if (first >= 0)
            {
                double seconds = strokes[i - 1].Catch.Seconds + strokes[i - 1].PeriodSeconds - strokes[first].Catch.Seconds;
                if (seconds >= LeastSeconds)
                {
                    int n = i - first;
                    double mean = 60 * n / seconds;
                    pieces.Add(new Piece(PieceKind.Piece, new Estimate(strokes[first].Catch.Seconds, 2), new Estimate(strokes[first].Catch.Seconds + seconds, 2),
                        null, n, new Estimate(mean, mean * 0.02 / Math.Sqrt(n)), [], [], []));
                }

                first = -1;
            }
        }

        return pieces;
    }

    private static List<Split> Splits(FusionResult fused, Estimate start, double end, double every)
    {
        var hull = fused.Hull;
        var splits = new List<Split>();
        double s0 = hull.At(SensorAnalysis.At(start.Mean)).Metres;
        double total = hull.At(SensorAnalysis.At(end)).Metres - s0;
        double last = start.Mean;
        double lastSd = start.Sd;
        double done = 0;
        for (int k = 1; done < total - 0.5; k++)
        {
            double mark = Math.Min(k * every, total);
            if (hull.WhenAt(s0 + mark, SensorAnalysis.At(last), SensorAnalysis.At(end + 1)) is not { } at)
            {
                break;
            }

            double t = at.Seconds;
            double speed = Math.Max(0.3, MeanOver(hull, t - 1, t + 1));
            double here = WaySd(fused, start.Mean, t) / speed;
            double between = WaySd(fused, last, t) / speed;
            double startPart = done == 0 ? start.Sd : 0;
            splits.Add(new Split(done, mark, new Estimate(t - last, Math.Sqrt((between * between) + (startPart * startPart))),
                new Estimate(t - start.Mean, Math.Sqrt((here * here) + Square(start.Sd)))));
            last = t;
            lastSd = here;
            done = mark;
        }

        _ = lastSd;
        return splits;
    }

    /// <summary>Sd of the way made between two instants, m, from the nodes' joint covariance.</summary>
    private static double WaySd(FusionResult fused, double from, double to) => StrokeMeasures.MeanSpeedSd(fused, from, to) * (to - from);

    private static double Square(double x) => x * x;
}
