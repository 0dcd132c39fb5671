using Stakeboat.Core.Measurement;
using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Strokes;

/// <summary>
/// Fixes laid along the path that they follow. The path is a robust smoother's, east and north apart; a fix's place along it is the
/// path's length there plus what of the fix's own offset lies in the direction of travel. Raw fixes are never summed: their noise
/// would lengthen the track.
/// </summary>
internal sealed class TrackPath
{
    /// <summary>Satellite seconds of each fix that is used, rising.</summary>
    public required double[] Seconds { get; init; }

    /// <summary>Place along the path, m from the first fix.</summary>
    public required double[] Along { get; init; }

    /// <summary>The receiver's own speed, NaN where it gave none.</summary>
    public required double[] Speed { get; init; }

    /// <summary>Direction of travel, radians from north, clockwise; unwrapped, held where the boat lies still.</summary>
    public required double[] Heading { get; init; }

    /// <summary>Smoothed speed along the heading, m/s, without motion.</summary>
    public required double[] SmoothSpeed { get; init; }

    /// <summary>Median rate of the fixes, Hz.</summary>
    public required double Hz { get; init; }

    public required bool HasSpeed { get; init; }

    public required int WithoutTime { get; init; }

    public int Count => Seconds.Length;

    public static TrackPath? From(Track track)
    {
        var times = new List<double>();
        var east = new List<double>();
        var north = new List<double>();
        var speeds = new List<double>();
        int timeless = 0;
        var plane = Middle(track);
        double last = double.NegativeInfinity;
        foreach (var fix in track.Fixes)
        {
            if (fix.Time is not { } time)
            {
                timeless++;
                continue;
            }

            if (times.Count > 1 && time.Seconds <= last && time.Seconds > times[^2] && last - time.Seconds > 60)
            {
                // The fix before had leapt ahead alone.
                times.RemoveAt(times.Count - 1);
                east.RemoveAt(east.Count - 1);
                north.RemoveAt(north.Count - 1);
                speeds.RemoveAt(speeds.Count - 1);
                last = times[^1];
            }

            if (plane is null || time.Seconds <= last || !double.IsFinite(fix.LatitudeDegrees) || !double.IsFinite(fix.LongitudeDegrees)
                || (fix.LatitudeDegrees == 0 && fix.LongitudeDegrees == 0))
            {
                continue;
            }

            var p = plane.ToPlane(fix.LatitudeDegrees, fix.LongitudeDegrees);
            if (Math.Abs(p.East) + Math.Abs(p.North) > Farthest)
            {
                continue;
            }

            times.Add(time.Seconds);
            east.Add(p.East);
            north.Add(p.North);
            speeds.Add(fix.SpeedMps is { } v && double.IsFinite(v) && v is >= 0 and < 15 ? v : double.NaN);
            last = time.Seconds;
        }

        int n = times.Count;
        if (n < 5)
        {
            return null;
        }

        var t = times.ToArray();
        var steps = new double[n - 1];
        for (int i = 0; i < n - 1; i++)
        {
            steps[i] = t[i + 1] - t[i];
        }

        Array.Sort(steps);
        double step = steps[steps.Length / 2];
        var (e, ve) = Smooth(t, [.. east]);
        var (no, vn) = Smooth(t, [.. north]);
        var heading = Headings(t, ve, vn);
        var along = new double[n];
        double s = 0;
        for (int i = 0; i < n; i++)
        {
            double sin = Math.Sin(heading[i]);
            double cos = Math.Cos(heading[i]);
            if (i > 0)
            {
                double hs = Math.Sin(0.5 * (heading[i] + heading[i - 1]));
                double hc = Math.Cos(0.5 * (heading[i] + heading[i - 1]));
                s += ((e[i] - e[i - 1]) * hs) + ((no[i] - no[i - 1]) * hc);
            }

            along[i] = s + ((east[i] - e[i]) * sin) + ((north[i] - no[i]) * cos);
        }

        var smooth = new double[n];
        int with = 0;
        for (int i = 0; i < n; i++)
        {
            smooth[i] = (ve[i] * Math.Sin(heading[i])) + (vn[i] * Math.Cos(heading[i]));
            with += double.IsNaN(speeds[i]) ? 0 : 1;
        }

        return new TrackPath
        {
            Seconds = t,
            Along = along,
            Speed = [.. speeds],
            Heading = heading,
            SmoothSpeed = smooth,
            Hz = 1 / step,
            HasSpeed = with > n / 2,
            WithoutTime = timeless,
        };
    }

    /// <summary>No outing leads farther from its middle, m: such a fix is another place's.</summary>
    private const double Farthest = 100_000;

    /// <summary>A plane about the middle of the fixes, latitude and longitude apart.</summary>
    private static LocalPlane? Middle(Track track)
    {
        var usable = track.Fixes.Where(f => f.Time is not null && double.IsFinite(f.LatitudeDegrees) && double.IsFinite(f.LongitudeDegrees)
            && (f.LatitudeDegrees != 0 || f.LongitudeDegrees != 0)).ToArray();
        if (usable.Length == 0)
        {
            return null;
        }

        double[] lat = [.. usable.Select(f => f.LatitudeDegrees)];
        double[] lon = [.. usable.Select(f => Ellipsoid.LongitudeStep(usable[0].LongitudeDegrees, f.LongitudeDegrees))];
        return new LocalPlane(RobustLocation.Median(lat), usable[0].LongitudeDegrees + RobustLocation.Median(lon));
    }

    /// <summary>Position and speed on one axis: white acceleration of PSD 0.03 m²/s³, fixes of 1.2 m, Student-t with 4 degrees (levels by judgement: only the path's shape is taken from it).</summary>
    private static (double[] Position, double[] Speed) Smooth(double[] t, double[] z)
    {
        int n = t.Length;
        var observations = new Observation[n];
        for (int i = 0; i < n; i++)
        {
            observations[i] = new Observation(i, 0, z[i], 1.44);
        }

        var model = new DriftModel(t, 0.03);
        var run = new StateSmoother(model, [[1, 0]], [RobustLocation.Median(z.AsSpan(0, Math.Min(7, n))), 0], [1e4, 0, 0, 25]).Run(observations, 4, 2);
        var p = new double[n];
        var v = new double[n];
        for (int i = 0; i < n; i++)
        {
            p[i] = run.Mean[2 * i];
            v[i] = run.Mean[(2 * i) + 1];
        }

        return (p, v);
    }

    /// <summary>Course over ground from velocity averaged over 6 s, held from the nearest moving moment where slower than 0.8 m/s.</summary>
    private static double[] Headings(double[] t, double[] ve, double[] vn)
    {
        int n = t.Length;
        var heading = new double[n];
        Array.Fill(heading, double.NaN);
        int a = 0;
        int b = 0;
        double se = 0;
        double sn = 0;
        for (int i = 0; i < n; i++)
        {
            while (b < n && t[b] <= t[i] + 3)
            {
                se += ve[b];
                sn += vn[b];
                b++;
            }

            while (t[a] < t[i] - 3)
            {
                se -= ve[a];
                sn -= vn[a];
                a++;
            }

            double me = se / (b - a);
            double mn = sn / (b - a);
            if ((me * me) + (mn * mn) > 0.64)
            {
                heading[i] = Math.Atan2(me, mn);
            }
        }

        // Hold across stillness from the nearer side in time.
        int lastMoving = -1;
        for (int i = 0; i < n; i++)
        {
            if (!double.IsNaN(heading[i]))
            {
                if (lastMoving < i - 1)
                {
                    for (int k = lastMoving + 1; k < i; k++)
                    {
                        heading[k] = lastMoving >= 0 && t[k] - t[lastMoving] < t[i] - t[k] ? heading[lastMoving] : heading[i];
                    }
                }

                lastMoving = i;
            }
        }

        for (int k = lastMoving + 1; k < n; k++)
        {
            heading[k] = lastMoving >= 0 ? heading[lastMoving] : 0;
        }

        for (int i = 1; i < n; i++)
        {
            double d = heading[i] - heading[i - 1];
            heading[i] -= 2 * Math.PI * Math.Round(d / (2 * Math.PI));
        }

        return heading;
    }
}

/// <summary>Position and speed under white acceleration of a stated PSD (Bar-Shalom, Li and Kirubarajan 2001, 6.2.2).</summary>
internal sealed class DriftModel(double[] seconds, double psd) : IStateModel
{
    public int Size => 2;

    public int Nodes => seconds.Length;

    public void Step(int node, Span<double> f, Span<double> u, Span<double> q)
    {
        double dt = seconds[node + 1] - seconds[node];
        f[0] = 1;
        f[1] = dt;
        f[2] = 0;
        f[3] = 1;
        u.Clear();
        q[0] = psd * dt * dt * dt / 3;
        q[1] = q[2] = psd * dt * dt / 2;
        q[3] = psd * dt;
    }
}
