using Stakeboat.Core.Measurement;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Debrief.CrewsOwn;

/// <summary>A steady stretch of hard rowing found in an outing's track.</summary>
/// <param name="Outing">Name of the outing.</param>
/// <param name="FromSeconds">Begin of the steady part on the sensor clock, s.</param>
/// <param name="Seconds">Length of the steady part, s: without the first 20 s of getting there and the last 5.</param>
/// <param name="Speed">Mean over ground in the steady part, m/s.</param>
/// <param name="SpeedSd">Of that mean, m/s, from the positions' error.</param>
/// <param name="BearingDegrees">From where it began to where it ended, clockwise from true north.</param>
/// <param name="Rate">Strokes/min; null where no rate was found.</param>
/// <param name="Latitude">Of the middle, degrees.</param>
/// <param name="Longitude">Of the middle, degrees.</param>
/// <param name="WholeMetres">The whole piece, m.</param>
/// <param name="WholeSeconds">The whole piece, s.</param>
/// <param name="Race">It is the outing's race.</param>
public sealed record CrewPiece(
    string Outing, double FromSeconds, double Seconds, double Speed, double SpeedSd, double BearingDegrees, double? Rate, double Latitude, double Longitude,
    double WholeMetres, double WholeSeconds, bool Race)
{
    /// <summary>Metres of the steady part.</summary>
    public double Metres => Speed * Seconds;
}

/// <summary>Finds the pieces from which a crew's own speed can be learned. A piece is steady, straight (chord over way at least 0.97) and 30 s or longer: limits of our own, no source.</summary>
public static class CrewPieces
{
    private const double Getting = 20;
    private const double Easing = 5;
    private const double Least = 30;
    private const double Straight = 0.97;
    private const double Fast = 0.68;

    /// <summary>Pieces of an outing; empty where it has no track.</summary>
    public static IReadOnlyList<CrewPiece> Of(Outing outing)
    {
        ArgumentNullException.ThrowIfNull(outing);
        var list = new List<CrewPiece>();
        if (outing.Tracks.Count == 0)
        {
            return list;
        }

        var track = outing.Tracks.MaxBy(t => t.Fixes.Count)!;
        var found = SensorAnalysis.Analyse(new SensorInput(outing.Motions.Count > 0 ? outing.Motions[0] : null, track, outing.Sheet?.Distance));
        if (found.Hull is not { } hull || found.Satellite is not { } clock)
        {
            return list;
        }

        foreach (var (from, to) in Stretches(hull))
        {
            double a = from + Getting, b = to - Easing;
            if (b - a < Least)
            {
                continue;
            }

            var inside = track.Fixes.Where(f => f.Time is { } t && clock.Map(t).Seconds is var s && s >= a && s <= b).ToArray();
            if (inside.Length < 5)
            {
                continue;
            }

            var (first, last, middle) = (inside[0], inside[^1], inside[inside.Length / 2]);
            var (begin, end) = (hull.At(Instant<SensorClock>.FromSeconds(a)), hull.At(Instant<SensorClock>.FromSeconds(b)));
            double way = end.Metres - begin.Metres;
            if (!Geodesic.TryInverse(first.LatitudeDegrees, first.LongitudeDegrees, last.LatitudeDegrees, last.LongitudeDegrees, out double chord, out double azimuth, out _)
                || chord < Straight * way * (last.Time!.Value.Seconds - first.Time!.Value.Seconds) / (b - a))
            {
                continue;
            }

            double[] rates = [.. found.Rates.Where(r => r.At.Seconds >= a && r.At.Seconds <= b).Select(r => r.Rate.Mean)];
            bool race = found.Race is { } r && r.Start.Mean < b && r.End.Mean > a;
            list.Add(new CrewPiece(
                outing.Name, a, b - a, way / (b - a), Math.Sqrt(begin.MetresSd * begin.MetresSd + end.MetresSd * end.MetresSd) / (b - a), (azimuth + 360) % 360,
                rates.Length >= 5 ? rates.Average() : null, middle.LatitudeDegrees, middle.LongitudeDegrees,
                race ? found.Race!.Metres?.Mean ?? way : hull.At(Instant<SensorClock>.FromSeconds(to)).Metres - hull.At(Instant<SensorClock>.FromSeconds(from)).Metres,
                race ? found.Race!.End.Mean - found.Race.Start.Mean : to - from, race));
        }

        return list;
    }

    /// <summary>Stretches above 0.68 of the outing's fast speed (90th percentile of its 10 s means): a head wind is let pass, paddling is not.</summary>
    private static List<(double From, double To)> Stretches(HullSignal hull)
    {
        var means = new List<double>();
        for (double t = hull.From.Seconds + 5; t + 5 <= hull.To.Seconds; t += 1)
        {
            means.Add((hull.At(Instant<SensorClock>.FromSeconds(t + 5)).Metres - hull.At(Instant<SensorClock>.FromSeconds(t - 5)).Metres) / 10);
        }

        var stretches = new List<(double, double)>();
        if (means.Count == 0)
        {
            return stretches;
        }

        double[] sorted = [.. means.Order()];
        double least = Fast * sorted[(int)(0.9 * (sorted.Length - 1))];
        int begin = -1;
        for (int i = 0; i <= means.Count; i++)
        {
            bool fast = i < means.Count && means[i] > least;
            if (fast && begin < 0)
            {
                begin = i;
            }
            else if (!fast && begin >= 0)
            {
                stretches.Add((hull.From.Seconds + 5 + begin, hull.From.Seconds + 5 + i - 1));
                begin = -1;
            }
        }

        return stretches;
    }
}
