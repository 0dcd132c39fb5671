using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Motion;

/// <summary>What a log of numbers held, and how it was taken to be laid out.</summary>
public sealed record LogFile(MotionLog? Motion, Track? Track, LogLayout Layout);

/// <summary>
/// Logs of numbers as phone sensor loggers write them. There is no standard, so everything is guessed from names and numbers, each guess is said
/// as a note, and a <see cref="LogCorrection"/> overrules it.
/// </summary>
public static class LogReader
{
    /// <summary>Standard gravity, m/s² (3rd CGPM 1901).</summary>
    public const double StandardGravity = 9.80665;

    private const int SampleBytes = 1 << 15;

    public static Reading<LogFile> Read(Stream stream, string name, LogCorrection? correction = null)
    {
        ArgumentNullException.ThrowIfNull(stream);
        var log = new IssueLog(name);
        var head = new byte[SampleBytes];
        int have = stream.ReadAtLeast(head, SampleBytes, throwOnEndOfStream: false);
        var sample = head.AsSpan(0, have);
        int mark = sample.StartsWith((ReadOnlySpan<byte>)[0xEF, 0xBB, 0xBF]) ? 3 : 0;
        var guess = LogGuess.From(sample[mark..], correction);
        if (guess is null)
        {
            log.Error("", "This is no table of numbers with a time in it.", "Export the log as CSV with a line of column names.");
            return log.Reading<LogFile>(null);
        }

        long bytes = stream.CanSeek ? stream.Length : have;
        var (target, arrays) = Targets(guess.Roles);
        int expected = (int)Math.Clamp((bytes / Math.Max(guess.BytesPerRow, 2) * 1.02) + 16, 16, bytes + 16);
        var scan = new LogScan(guess.Separator, guess.DecimalMark, target, arrays.Count, arrays.IndexOf(ColumnRole.Time), guess.Calendar, expected);
        scan.Run(new HeadThenRest(head.AsMemory(mark, have - mark), stream), guess.FirstLine);
        Complain(scan, log);
        if (scan.Rows == 0)
        {
            log.Error("", "Not one row has a time.", "Say which column is the time.");
            return log.Reading<LogFile>(null);
        }

        var columns = new LogData(arrays, scan.Take());
        var layout = LogUnits.Settle(guess, columns, correction, log);
        return log.Reading(Assemble(columns, layout, name, correction?.FlipSigns ?? false, log));
    }

    private static LogFile? Assemble(LogData data, LogLayout layout, string name, bool flip, IssueLog log)
    {
        MotionLog? motion = LogMotion.From(data, layout, name, flip, log);
        Track? track = LogTrack.From(data, layout, name, log);
        if (motion is null && track is null)
        {
            log.Error("", "There are neither three axes of acceleration nor latitude and longitude.", "Say which columns they are.");
            return null;
        }

        return new LogFile(motion, track, layout);
    }

    private static (int[] Target, List<ColumnRole> Arrays) Targets(ColumnRole[] roles)
    {
        var arrays = new List<ColumnRole>();
        var target = new int[roles.Length];
        for (int c = 0; c < roles.Length; c++)
        {
            target[c] = -1;
            if (roles[c] != ColumnRole.None && !arrays.Contains(roles[c]))
            {
                target[c] = arrays.Count;
                arrays.Add(roles[c]);
            }
        }

        return (target, arrays);
    }

    private static void Complain(LogScan scan, IssueLog log)
    {
        if (scan.BadRows > 0)
        {
            log.Add(Severity.Warning, IssueLog.Line(scan.FirstBadLine), "A row has no time that can be read.", "It was left out.", scan.BadRows);
        }

        if (scan.BadFields > 0)
        {
            log.Add(Severity.Warning, IssueLog.Line(scan.FirstBadField), "A field is no number.", "It was taken as missing.", scan.BadFields);
        }

        if (scan.LongLines > 0)
        {
            log.Add(Severity.Warning, "", "A line is longer than 64 kB.", "It was left out.", scan.LongLines);
        }
    }
}

/// <summary>Columns by role.</summary>
internal sealed class LogData(List<ColumnRole> roles, double[][] arrays)
{
    public int Rows => arrays[0].Length;

    public double[]? this[ColumnRole role] => roles.IndexOf(role) is int i and >= 0 ? arrays[i] : null;
}
