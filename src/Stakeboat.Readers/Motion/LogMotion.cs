using System.Globalization;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Readers.Motion;

/// <summary>Turns columns into a motion log: seconds, m/s², rad/s, order of time, holes.</summary>
internal static class LogMotion
{
    public static double SecondsPer(TimeUnit unit) => unit switch
    {
        TimeUnit.Milliseconds => 1e-3,
        TimeUnit.Microseconds => 1e-6,
        TimeUnit.Nanoseconds => 1e-9,
        _ => 1,
    };

    public static MotionLog? From(LogData data, LogLayout layout, string name, bool flip, IssueLog log)
    {
        if (data[ColumnRole.AccelerationX] is not { } x || data[ColumnRole.AccelerationY] is not { } y || data[ColumnRole.AccelerationZ] is not { } z)
        {
            return null;
        }

        var seconds = data[ColumnRole.Time]!;
        if (data[ColumnRole.Latitude] is not null)
        {
            seconds = (double[])seconds.Clone(); // the fixes of the same rows need the column too
        }

        var rotation = new[] { data[ColumnRole.RotationX], data[ColumnRole.RotationY], data[ColumnRole.RotationZ] };
        bool gyro = Array.TrueForAll(rotation, r => r is not null);
        double[][] columns = gyro ? [seconds, x, y, z, rotation[0]!, rotation[1]!, rotation[2]!] : [seconds, x, y, z];

        // Rows of other sensors have no acceleration.
        int kept = 0, empty = 0;
        for (int i = 0; i < seconds.Length; i++)
        {
            if (double.IsNaN(x[i]) || double.IsNaN(y[i]) || double.IsNaN(z[i]))
            {
                empty++;
                continue;
            }

            if (kept != i)
            {
                foreach (var c in columns)
                {
                    c[kept] = c[i];
                }
            }

            kept++;
        }

        if (kept < 2)
        {
            return null;
        }

        if (empty > 0)
        {
            log.Add(Severity.Note, "", "A row has no acceleration.", "It was left out of the motion log.", empty);
        }

        kept = LogOrder.Sort(columns, kept, SecondsPer(layout.Time), log);
        Scale(seconds, kept, SecondsPer(layout.Time));
        double unit = (layout.Acceleration == AccelerationUnit.StandardGravity ? LogReader.StandardGravity : 1) * (flip ? -1 : 1);
        foreach (var a in (double[][])[x, y, z])
        {
            Scale(a, kept, unit);
        }

        if (gyro && layout.RotationInDegrees)
        {
            foreach (var r in rotation)
            {
                Scale(r!, kept, Math.PI / 180);
            }
        }

        for (int c = 0; c < columns.Length; c++)
        {
            if (columns[c].Length != kept)
            {
                Array.Resize(ref columns[c], kept);
            }
        }

        Holes(columns[0], log);
        return new MotionLog(name, columns[0], columns[1], columns[2], columns[3],
            gyro ? columns[4] : null, gyro ? columns[5] : null, gyro ? columns[6] : null, layout.HasGravity);
    }

    private static void Scale(double[] a, int n, double by)
    {
        if (by != 1)
        {
            for (int i = 0; i < n; i++)
            {
                a[i] *= by;
            }
        }
    }

    private static void Holes(double[] t, IssueLog log)
    {
        double step = LogUnits.MedianStep(t), longest = 0;
        int holes = 0;
        for (int i = 1; i < t.Length; i++)
        {
            double d = t[i] - t[i - 1];
            if (d > Math.Max(10 * step, 0.5))
            {
                holes++;
                longest = Math.Max(longest, d);
            }
        }

        if (holes > 0)
        {
            log.Add(Severity.Note, "", string.Create(CultureInfo.InvariantCulture, $"Samples are missing for more than ten steps; the longest hole has {longest:0.##} s."), "Nothing was put into the hole.", holes);
        }
    }
}
