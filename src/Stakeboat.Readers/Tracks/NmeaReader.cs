using System.Globalization;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Tracks;

/// <summary>
/// NMEA 0183: RMC (time, position, knots, course, date), GGA (quality, HDOP, altitude), GLL (position, time) and VTG (course, speed) of the same moment become one fix, whatever
/// the talker. Sentences with a wrong checksum are left out. A date that looks like a roll-over of the satellites' ten-bit week is said, and put right only
/// when asked.
/// </summary>
public static class NmeaReader
{
    /// <summary>1024 weeks, s: how long the satellites' week number lasts.</summary>
    public const double RollOver = 1024 * 7 * 86400.0;

    /// <summary>1 knot, m/s (1852 m an hour exactly).</summary>
    public const double Knot = 1852.0 / 3600;

    private const double Year2006 = 1136073600;

    private sealed class Moment
    {
        public double? Day; // seconds since 1970 of the date's midnight
        public double TimeOfDay = double.NaN;
        public double? Latitude, Longitude, Speed, Course, Altitude, Dilution;
        public bool Void; // RMC status V, or GGA quality 0
        public int Line;
    }

    /// <param name="addRollOvers">Multiples of 1024 weeks to add to every date: the answer to the offer.</param>
    public static Reading<TrackFile> Read(Stream stream, string name, int addRollOvers = 0)
    {
        var log = new IssueLog(name);
        string text = TextInput.Read(stream, log, 256 << 20);
        var moments = new List<Moment>();
        int bad = 0, unchecked_ = 0, firstBad = 0;
        var lines = new LineWalk(text);
        while (lines.Next())
        {
            var s = lines.Current.Trim();
            int dollar = s.IndexOf('$');
            if (dollar < 0)
            {
                continue;
            }

            s = s[dollar..];
            bool? good = Checksum(s, out var body);
            if (good == false)
            {
                bad++;
                firstBad = firstBad == 0 ? lines.Number : firstBad;
                continue;
            }

            unchecked_ += good is null ? 1 : 0;
            Sentence(body, lines.Number, moments);
        }

        Say(log, bad, firstBad, unchecked_);
        return Finish(moments, name, addRollOvers, log);
    }

    /// <summary>XOR of what stands between $ and *, compared with the two hexadecimal digits; null where there are none.</summary>
    public static bool? Checksum(ReadOnlySpan<char> sentence, out ReadOnlySpan<char> body)
    {
        int star = sentence.IndexOf('*');
        body = star < 0 ? sentence[1..] : sentence[1..star];
        if (star < 0)
        {
            return null;
        }

        int x = 0;
        foreach (char c in body)
        {
            x ^= c;
        }

        return star + 3 <= sentence.Length && int.TryParse(sentence.Slice(star + 1, 2), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out int given) && given == x;
    }

    /// <summary>"4807.038", "N" -> 48.1173 degrees.</summary>
    public static bool TryDegrees(ReadOnlySpan<char> value, ReadOnlySpan<char> hemisphere, out double degrees)
    {
        degrees = 0;
        int point = value.IndexOf('.');
        int whole = point < 0 ? value.Length : point;
        if (whole < 3 || !Numbers.TryDouble(value[(whole - 2)..], out double minutes) || minutes is < 0 or >= 60 || !Numbers.TryDouble(value[..(whole - 2)], out double d) || d < 0)
        {
            return false;
        }

        degrees = (d + (minutes / 60)) * (hemisphere is "S" or "W" ? -1 : 1);
        return hemisphere is "N" or "S" or "E" or "W";
    }

    private static void Sentence(ReadOnlySpan<char> body, int line, List<Moment> moments)
    {
        Span<Range> r = stackalloc Range[32];
        int n = body.Split(r, ',');
        var head = body[r[0]];
        if (head.Length < 5)
        {
            return;
        }

        switch (head[^3..])
        {
            case "RMC" when n >= 10:
                if (Clock(body[r[1]]) is { } t)
                {
                    var m = At(moments, t, line);
                    m.Void |= body[r[2]] is "V";
                    Place(m, body[r[3]], body[r[4]], body[r[5]], body[r[6]]);
                    m.Speed = Numbers.TryDouble(body[r[7]], out double kn) && kn is >= 0 and < 200 ? kn * Knot : m.Speed;
                    m.Course = Numbers.TryDouble(body[r[8]], out double c) && c is >= 0 and <= 360 ? c : m.Course;
                    m.Day = Date(body[r[9]]) ?? m.Day;
                }

                break;
            case "GGA" when n >= 10:
                if (Clock(body[r[1]]) is { } g)
                {
                    var m = At(moments, g, line);
                    m.Void |= body[r[6]] is "0";
                    Place(m, body[r[2]], body[r[3]], body[r[4]], body[r[5]]);
                    m.Dilution = Numbers.TryDouble(body[r[8]], out double h) && h is > 0 and < 99 ? h : m.Dilution;
                    m.Altitude = Numbers.TryDouble(body[r[9]], out double a) && Math.Abs(a) < 10000 ? a : m.Altitude;
                }

                break;
            case "GLL" when n >= 6:
                if (Clock(body[r[5]]) is { } l)
                {
                    var m = At(moments, l, line);
                    m.Void |= n > 6 && body[r[6]] is "V";
                    Place(m, body[r[1]], body[r[2]], body[r[3]], body[r[4]]);
                }

                break;
            case "VTG" when n >= 8 && moments.Count > 0:
                var last = moments[^1];
                last.Course ??= Numbers.TryDouble(body[r[1]], out double v) && v is >= 0 and <= 360 ? v : null;
                last.Speed ??= Numbers.TryDouble(body[r[5]], out double k) && k is >= 0 and < 200 ? k * Knot
                    : Numbers.TryDouble(body[r[7]], out double kmh) && kmh is >= 0 and < 400 ? kmh / 3.6 : null;
                break;
        }
    }

    // Sentences of the same time of day, next to each other, are one moment.
    private static Moment At(List<Moment> moments, double t, int line)
    {
        for (int i = moments.Count - 1; i >= Math.Max(0, moments.Count - 2); i--)
        {
            if (moments[i].TimeOfDay == t)
            {
                return moments[i];
            }
        }

        var m = new Moment { TimeOfDay = t, Line = line };
        moments.Add(m);
        return m;
    }

    private static void Place(Moment m, ReadOnlySpan<char> la, ReadOnlySpan<char> ns, ReadOnlySpan<char> lo, ReadOnlySpan<char> ew)
    {
        if (m.Latitude is null && TryDegrees(la, ns, out double latitude) && TryDegrees(lo, ew, out double longitude))
        {
            m.Latitude = latitude;
            m.Longitude = longitude;
        }
    }

    private static double? Clock(ReadOnlySpan<char> s) =>
        s.Length >= 6 && int.TryParse(s[..6], NumberStyles.None, CultureInfo.InvariantCulture, out int hms) && hms / 10000 < 24 && hms / 100 % 100 < 60 && hms % 100 < 61
        && (s.Length == 6 || (s[6] == '.' && Numbers.TryDouble(s[6..].Length == 1 ? "0" : s[6..], out _)))
            ? (hms / 10000 * 3600) + (hms / 100 % 100 * 60) + (hms % 100) + (s.Length > 7 && Numbers.TryDouble(s[6..], out double f) ? f : 0)
            : null;

    private static double? Date(ReadOnlySpan<char> s)
    {
        if (s.Length != 6 || !int.TryParse(s, NumberStyles.None, CultureInfo.InvariantCulture, out int dmy))
        {
            return null;
        }

        int day = dmy / 10000, month = dmy / 100 % 100, year = dmy % 100;
        year += year >= 80 ? 1900 : 2000;
        return month is >= 1 and <= 12 && day >= 1 && day <= DateTime.DaysInMonth(year, month) ? IsoTime.DaysSince1970(year, month, day) * 86400.0 : null;
    }

    private static Reading<TrackFile> Finish(List<Moment> moments, string name, int addRollOvers, IssueLog log)
    {
        var placed = moments.Where(m => m.Latitude is not null).ToList();
        bool allVoid = placed.Count > 0 && placed.TrueForAll(m => m.Void);
        if (allVoid)
        {
            log.Warn("", "Every position is marked as not valid.", "They were kept: some programs write that mark always.");
        }
        else if (placed.Exists(m => m.Void))
        {
            log.Add(Severity.Warning, IssueLog.Line(placed.Find(m => m.Void)!.Line), "A position is marked as not valid by the receiver.", "It was left out.", placed.Count(m => m.Void));
            placed.RemoveAll(m => m.Void);
        }

        Days(placed, log);
        var fixes = new List<Fix>(placed.Count);
        foreach (var m in placed)
        {
            if (TrackTidy.Position(m.Latitude!.Value, m.Longitude!.Value, IssueLog.Line(m.Line), log, out double east))
            {
                Instant<SatelliteClock>? time = m.Day is { } d ? Instant<SatelliteClock>.FromSeconds(d + m.TimeOfDay + (addRollOvers * RollOver)) : null;
                fixes.Add(new Fix(time, m.Latitude.Value, east, m.Altitude, m.Speed, m.Course, m.Dilution));
            }
        }

        Offer(fixes, log);
        TrackTidy.Tidy(fixes, log);
        if (fixes.Count == 0)
        {
            log.Error("", "There is not one position with a right checksum.", "Record RMC or GGA sentences.");
            return log.Reading<TrackFile>(null);
        }

        return log.Reading(new TrackFile([new Track(name, fixes)], [], [], []));
    }

    // GGA has no date: it takes that of its neighbours, a day later after midnight.
    private static void Days(List<Moment> moments, IssueLog log)
    {
        int first = moments.FindIndex(m => m.Day is not null);
        if (first < 0)
        {
            if (moments.Count > 0)
            {
                log.Warn("", "No sentence has a date.", "The times of day were counted from an unknown day.");
                moments[0].Day = 0;
                first = 0;
            }
            else
            {
                return;
            }
        }

        for (int i = first - 1; i >= 0; i--)
        {
            moments[i].Day = moments[i + 1].Day - (moments[i].TimeOfDay > moments[i + 1].TimeOfDay + 43200 ? 86400 : 0);
        }

        for (int i = first + 1; i < moments.Count; i++)
        {
            moments[i].Day ??= moments[i - 1].Day + (moments[i].TimeOfDay < moments[i - 1].TimeOfDay - 43200 ? 86400 : 0);
        }
    }

    private static void Offer(List<Fix> fixes, IssueLog log)
    {
        double first = fixes.Count > 0 && fixes[0].Time is { } t ? t.Seconds : double.NaN;
        if (first is > 86400 and < Year2006)
        {
            string Day(double unix) => DateTime.UnixEpoch.AddSeconds(unix).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
            log.Warn("", $"The date is {Day(first)}, before any watch that could have written this: the satellites' week number may have rolled over.",
                $"Nothing was altered. If the outing was on {Day(first + RollOver)} or {Day(first + (2 * RollOver))}, read the file again with one or two roll-overs added.");
        }
    }

    private static void Say(IssueLog log, int bad, int firstBad, int without)
    {
        if (bad > 0)
        {
            log.Add(Severity.Warning, IssueLog.Line(firstBad), "A sentence's checksum is wrong.", "The sentence was left out.", bad);
        }

        if (without > 0)
        {
            log.Add(Severity.Note, "", "A sentence has no checksum.", "It was read all the same.", without);
        }
    }
}
