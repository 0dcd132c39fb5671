using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Readers.Tracks;

namespace Stakeboat.Readers.Motion;

/// <summary>Turns columns of latitude and longitude into a track.</summary>
internal static class LogTrack
{
    public static Track? From(LogData data, LogLayout layout, string name, IssueLog log)
    {
        if (data[ColumnRole.Latitude] is not { } latitude || data[ColumnRole.Longitude] is not { } longitude)
        {
            return null;
        }

        var time = data[ColumnRole.Time]!;
        double unit = LogMotion.SecondsPer(layout.Time);
        double? At(ColumnRole role, int row, double least, double most, double by = 1) =>
            data[role] is { } c && !double.IsNaN(c[row]) && c[row] >= least && c[row] <= most ? c[row] * by : null;

        var fixes = new List<Fix>(data[ColumnRole.AccelerationX] is null ? latitude.Length : 0);
        double lastLatitude = double.NaN, lastLongitude = double.NaN;
        int repeated = 0;
        for (int i = 0; i < latitude.Length; i++)
        {
            if (double.IsNaN(latitude[i]) || double.IsNaN(longitude[i]) || !TrackTidy.Position(latitude[i], longitude[i], IssueLog.Record(i + 1), log, out double east))
            {
                continue;
            }

            // A logger that writes every sensor in every row repeats the last fix until a new one comes.
            if (data[ColumnRole.AccelerationX] is not null && latitude[i] == lastLatitude && longitude[i] == lastLongitude)
            {
                repeated++;
                continue;
            }

            lastLatitude = latitude[i];
            lastLongitude = longitude[i];
            fixes.Add(new Fix(Instant<SatelliteClock>.FromSeconds(time[i] * unit), latitude[i], east,
                At(ColumnRole.Altitude, i, -1000, 10000), At(ColumnRole.Speed, i, 0, 400, layout.SpeedInKmh ? 1 / 3.6 : 1), At(ColumnRole.Course, i, 0, 360),
                At(ColumnRole.Dilution, i, 0, 1000), At(ColumnRole.Accuracy, i, 0, 1e6), At(ColumnRole.HeartRate, i, 1, 300), At(ColumnRole.Cadence, i, 0, 300)));
        }

        if (repeated > 0)
        {
            log.Add(Severity.Note, "", "A row repeats the fix of the row before.", "A fix was made only where the position changes.", repeated);
        }

        if (fixes.Count == 0)
        {
            return null;
        }

        if (Math.Abs(time[0] * unit) < 3e8)
        {
            log.Warn("", "The time of the fixes does not count from 1970.", "They were kept on the log's own clock; the day is unknown.");
        }

        TrackTidy.Tidy(fixes, log);
        return new Track(name, fixes);
    }
}
