using Stakeboat.Core.Line;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Debrief;

/// <summary>The line rowed in the race, on the debrief's clock, with the fixes it was drawn from.</summary>
/// <param name="Rowed">Seconds on the debrief's clock.</param>
/// <param name="Latitude">Degrees, one a sample.</param>
public sealed record LineOfRace(LineRowed Rowed, double[] Latitude, double[] Longitude);

internal static class LineFacts
{
    /// <summary>Fixes thinned to two a second at most, from <paramref name="from"/> to <paramref name="to"/> on the debrief's clock; null where they are too few.</summary>
    public static LineOfRace? Find(Track track, SensorFindings sensors, ClockMap<SensorClock, RecordingClock> map, double from, double to)
    {
        if (sensors.Satellite is not { } satellite)
        {
            return null;
        }

        var t = new List<double>();
        var latitude = new List<double>();
        var longitude = new List<double>();
        foreach (var fix in track.Fixes)
        {
            if (fix.Time is not { } time)
            {
                continue;
            }

            double x = map.Map(satellite.Map(time)).Seconds;
            if (x >= from && x <= to && (t.Count == 0 || x - t[^1] > 0.45))
            {
                t.Add(x);
                latitude.Add(fix.LatitudeDegrees);
                longitude.Add(fix.LongitudeDegrees);
            }
        }

        if (t.Count < 30)
        {
            return null;
        }

        var plane = new LocalPlane(latitude[0], longitude[0]);
        double[] east = new double[t.Count], north = new double[t.Count];
        for (int i = 0; i < t.Count; i++)
        {
            var p = plane.ToPlane(latitude[i], longitude[i]);
            (east[i], north[i]) = (p.East, p.North);
        }

        Despike(east);
        Despike(north);
        double[] seconds = [.. t];
        return LineRowed.Fit(seconds, east, north) is { } rowed ? new LineOfRace(rowed, [.. latitude], [.. longitude]) : null;
    }

    /// <summary>A value more than 6 m off the median of its five neighbours is a spike and takes the median's place.</summary>
    private static void Despike(double[] x)
    {
        var copy = (double[])x.Clone();
        Span<double> five = stackalloc double[5];
        for (int i = 2; i < x.Length - 2; i++)
        {
            copy.AsSpan(i - 2, 5).CopyTo(five);

            // The median of positions follows a moving boat: the middle one of five lies at the middle time.
            five.Sort();
            if (Math.Abs(copy[i] - five[2]) > 6)
            {
                x[i] = five[2];
            }
        }
    }
}
