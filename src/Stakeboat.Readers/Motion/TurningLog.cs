using Stakeboat.Core.Measurement;

namespace Stakeboat.Readers.Motion;

/// <summary>A gyroscope's file, for loggers that write a file for each sensor. Device frame, rad/s, seconds on the log's own clock.</summary>
public sealed record TurningLog(string Name, double[] Seconds, double[] X, double[] Y, double[] Z)
{
    internal static TurningLog? From(LogData data, LogLayout layout, string name, IssueLog log)
    {
        if (data[ColumnRole.AccelerationX] is not null || data[ColumnRole.RotationX] is not { } x || data[ColumnRole.RotationY] is not { } y || data[ColumnRole.RotationZ] is not { } z)
        {
            return null;
        }

        double[][] columns = [data[ColumnRole.Time]!, x, y, z];
        int kept = 0;
        double unit = layout.RotationInDegrees ? Math.PI / 180 : 1, second = LogMotion.SecondsPer(layout.Time);
        for (int i = 0; i < columns[0].Length; i++)
        {
            if (double.IsNaN(x[i]) || double.IsNaN(y[i]) || double.IsNaN(z[i]))
            {
                continue;
            }

            columns[0][kept] = columns[0][i];
            for (int c = 1; c < 4; c++)
            {
                columns[c][kept] = columns[c][i] * unit;
            }

            kept++;
        }

        if (kept < 2)
        {
            return null;
        }

        kept = LogOrder.Sort(columns, kept, second, log);
        for (int i = 0; i < kept; i++)
        {
            columns[0][i] *= second;
        }

        for (int c = 0; c < 4; c++)
        {
            Array.Resize(ref columns[c], kept);
        }

        return new TurningLog(name, columns[0], columns[1], columns[2], columns[3]);
    }

    /// <summary>
    /// Puts a gyroscope's file to the accelerometer's log of the same outing, where both run on one clock and overlap by nine tenths: straight lines
    /// between its samples, at the times of the accelerometer. What finds no partner is said.
    /// </summary>
    internal static List<FileContents> Join(List<FileContents> files, Action<ReadingIssue> say)
    {
        foreach (var turning in files.Select(f => f.Turning).OfType<TurningLog>().ToList())
        {
            int at = files.FindIndex(f => f.Motions.Any(m => m.RotationX is null && Overlap(m.Seconds, turning.Seconds) > 0.9));
            if (at < 0)
            {
                say(new ReadingIssue(Severity.Warning, turning.Name, "", "These are turning rates without an acceleration on the same clock.", "They were left out; bring the accelerometer's file of the same recording."));
                continue;
            }

            var joined = files[at].Motions.Select(m => m.RotationX is null && Overlap(m.Seconds, turning.Seconds) > 0.9
                ? m with { RotationX = At(m.Seconds, turning, turning.X), RotationY = At(m.Seconds, turning, turning.Y), RotationZ = At(m.Seconds, turning, turning.Z) } : m);
            files[at] = files[at] with { Motions = [.. joined] };
            say(new ReadingIssue(Severity.Note, turning.Name, "", $"The turning rates run on the clock of {files[at].Name}.", "They were put to its samples, by straight lines between theirs."));
        }

        return files;
    }

    // Share of the first that lies within the second.
    private static double Overlap(double[] a, double[] b)
    {
        double length = a[^1] - a[0];
        return length > 0 ? Math.Max(0, Math.Min(a[^1], b[^1]) - Math.Max(a[0], b[0])) / length : 0;
    }

    private static double[] At(double[] t, TurningLog log, double[] v)
    {
        var values = new double[t.Length];
        int k = 0;
        for (int i = 0; i < t.Length; i++)
        {
            while (k + 2 < log.Seconds.Length && log.Seconds[k + 1] < t[i])
            {
                k++;
            }

            double part = Math.Clamp((t[i] - log.Seconds[k]) / (log.Seconds[k + 1] - log.Seconds[k]), 0, 1);
            values[i] = v[k] + (part * (v[k + 1] - v[k]));
        }

        return values;
    }
}
