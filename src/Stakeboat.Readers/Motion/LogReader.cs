using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Motion;

/// <summary>What a log of numbers held, and how it was taken to be laid out.</summary>
/// <param name="Turning">A gyroscope's rates where the file has no acceleration to put them to.</param>
public sealed record LogFile(MotionLog? Motion, Track? Track, LogLayout Layout, TurningLog? Turning = null);

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
        if (TextInput.IsUtf16(head.AsSpan(0, have)))
        {
            // Twice the size of what it says: turned into UTF-8 first, whole.
            var utf8 = new MemoryStream(System.Text.Encoding.UTF8.GetBytes(TextInput.Read(new HeadThenRest(head.AsMemory(0, have), stream), log, 512 << 20)), false);
            return Read(utf8, name, correction, log);
        }

        Stream whole = new HeadThenRest(head.AsMemory(0, have), stream);
        return Read(head.AsSpan(0, have), whole, stream, stream.CanSeek ? stream.Length : have, name, correction, log);
    }

    private static Reading<LogFile> Read(MemoryStream utf8, string name, LogCorrection? correction, IssueLog log)
    {
        var head = new byte[(int)Math.Min(SampleBytes, utf8.Length)];
        utf8.ReadExactly(head);
        return Read(head, new HeadThenRest(head, utf8), utf8, utf8.Length, name, correction, log);
    }

    private static Reading<LogFile> Read(ReadOnlySpan<byte> sample, Stream whole, Stream rest, long bytes, string name, LogCorrection? correction, IssueLog log)
    {
        int mark = sample.StartsWith((ReadOnlySpan<byte>)[0xEF, 0xBB, 0xBF]) ? 3 : 0;
        var guess = LogGuess.From(sample[mark..], correction, name);
        if (guess is null)
        {
            log.Error("", "This is no table of numbers with a time in it.", "Export the log as CSV with a line of column names.");
            return log.Reading<LogFile>(null);
        }

        var (target, arrays) = Targets(guess.Roles);
        int expected = rest is { CanSeek: true } ? Lines(sample, rest, guess) : (int)Math.Clamp((bytes / Math.Max(guess.BytesPerRow, 2) * 1.02) + 16, 16, bytes + 16);
        var scan = new LogScan(guess, target, arrays.Count, arrays.IndexOf(ColumnRole.Time), arrays.IndexOf(ColumnRole.Date), expected);
        scan.Run(whole, guess.FirstLine);
        Complain(scan, log);
        if (scan.Rows == 0)
        {
            log.Error("", "Not one row has a time.", "Say which column is the time.");
            return log.Reading<LogFile>(null);
        }

        var columns = new LogData(arrays, scan.Take());
        Dates(columns, guess, log);
        var layout = LogUnits.Settle(guess, columns, correction, log);
        return log.Reading(Assemble(columns, layout, name, correction?.FlipSigns ?? false, log));
    }

    // Counted before they are read, so that each column is made once and of its own length: nothing is kept beside the samples.
    private static int Lines(ReadOnlySpan<byte> sample, Stream rest, LogGuess guess)
    {
        byte end = (byte)(guess.LoneReturns ? '\r' : '\n');
        long lines = sample.Count(end), back = rest.Position;
        bool open = sample.Length > 0 && sample[^1] != end;
        byte[] buffer = System.Buffers.ArrayPool<byte>.Shared.Rent(1 << 17);
        int n;
        while ((n = rest.Read(buffer, 0, buffer.Length)) > 0)
        {
            lines += buffer.AsSpan(0, n).Count(end);
            open = buffer[n - 1] != end;
        }

        System.Buffers.ArrayPool<byte>.Shared.Return(buffer);
        rest.Position = back;
        return (int)Math.Clamp(lines + (open ? 1 : 0) - (guess.FirstLine - 1), 1, Array.MaxLength / 2);
    }

    // A date of its own is added to the time of day; without one the time runs on across midnight.
    private static void Dates(LogData data, LogGuess guess, IssueLog log)
    {
        if (!guess.OrderIsCertain)
        {
            log.Warn(IssueLog.Line(guess.FirstLine), "Whether the day or the month comes first in the dates cannot be told.", "The day was taken to come first.");
        }

        if (!guess.ClockOfDay)
        {
            return;
        }

        var time = data[ColumnRole.Time]!;
        var date = data[ColumnRole.Date];
        double before = double.NegativeInfinity, days = 0;
        for (int i = 0; i < time.Length; i++)
        {
            if (date is not null && !double.IsNaN(date[i]))
            {
                time[i] += date[i];
            }
            else
            {
                days += time[i] < before - 43200 ? 86400 : 0;
                before = time[i];
                time[i] += days;
            }
        }

        if (date is null)
        {
            log.Note("", "The times have no date.", "They count from midnight; the day is unknown.");
        }
    }

    private static LogFile? Assemble(LogData data, LogLayout layout, string name, bool flip, IssueLog log)
    {
        MotionLog? motion = LogMotion.From(data, layout, name, flip, log);
        Track? track = LogTrack.From(data, layout, name, log);
        TurningLog? turning = motion is null ? TurningLog.From(data, layout, name, log) : null;
        if (motion is null && track is null && turning is null)
        {
            log.Error("", "There are neither three axes of acceleration nor latitude and longitude.", "Say which columns they are.");
            return null;
        }

        return new LogFile(motion, track, layout, turning);
    }

    private static (int[] Target, List<ColumnRole> Arrays) Targets(ColumnRole[] roles)
    {
        var arrays = new List<ColumnRole>();
        var target = new int[roles.Length];
        for (int c = 0; c < roles.Length; c++)
        {
            target[c] = -1;
            if (roles[c] is not (ColumnRole.None or ColumnRole.Sensor) && !arrays.Contains(roles[c]))
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

        if (scan.OtherSensors > 0)
        {
            log.Add(Severity.Warning, "", "A row names another sensor than the accelerometer.", "It was left out.", scan.OtherSensors);
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
