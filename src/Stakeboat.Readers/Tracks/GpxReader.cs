using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Tracks;

/// <summary>
/// GPX 1.0 and 1.1. Extensions are known by name space and local name, whatever the prefix: hr, cad (cadence), speed (m/s), course, accuracy. In a name space
/// that is not known they are taken to mean what they are called, and that is said. Times are UTC; one without a zone is taken so and said.
/// </summary>
public static class GpxReader
{
    // Name spaces whose hr, cad, speed and course are beats a minute, a minute, m/s and degrees; GPX's own for files that put them there without one.
    private static readonly string[] s_known =
    [
        "", "http://www.topografix.com/GPX/1/0", "http://www.topografix.com/GPX/1/1", "http://www.garmin.com/xmlschemas/TrackPointExtension/v1",
        "http://www.garmin.com/xmlschemas/TrackPointExtension/v2", "http://www.cluetrust.com/XML/GPXDATA/1/0",
    ];

    public static Reading<TrackFile> Read(Stream stream, string name)
    {
        ArgumentNullException.ThrowIfNull(stream);
        var log = new IssueLog(name);
        var tracks = new List<(string Name, List<Fix> Fixes, bool Route)>();
        var places = new List<NamedPlace>();
        using var walk = new XmlWalk(stream);
        List<Fix>? points = null;
        Fix fix = default;
        string pointKind = "", pointName = "", trackName = "";
        int segment = -1, extensions = 0;
        bool inPoint = false, good = false, sawRoot = false;
        string? space = null;
        while (walk.Next(log, "GPX"))
        {
            var xml = walk.Xml;
            string local = xml.LocalName;
            bool begins = xml.NodeType == System.Xml.XmlNodeType.Element;
            bool empty = begins && xml.IsEmptyElement;
            if (begins)
            {
                sawRoot |= xml.Depth == 0 && local.Equals("gpx", StringComparison.OrdinalIgnoreCase);
                switch (local)
                {
                    case "trk" or "rte" when !inPoint:
                        points = [];
                        tracks.Add(("", points, local == "rte"));
                        trackName = "";
                        segment = local == "rte" ? 0 : -1;
                        break;
                    case "trkseg" when !inPoint:
                        segment++;
                        break;
                    case "trkpt" or "rtept" or "wpt" when !inPoint:
                        inPoint = true;
                        pointKind = local;
                        pointName = "";
                        extensions = 0;
                        good = Point(xml, walk.Line, Math.Max(segment, 0), log, out fix);
                        break;
                    case "extensions" when inPoint:
                        extensions++;
                        break;
                }
            }

            if (begins && !empty)
            {
                continue;
            }

            // An element ends here.
            var text = walk.Text;
            if (!inPoint)
            {
                if (local == "name" && points is not null && trackName.Length == 0)
                {
                    trackName = text.Trim().ToString();
                    tracks[^1] = (trackName, points, tracks[^1].Route);
                }

                continue;
            }

            if (extensions > 0 && local != "extensions" && text.Length > 0 && !ReferenceEquals(xml.NamespaceURI, space))
            {
                space = xml.NamespaceURI; // the reader gives the same object for the same name space
                if (Array.IndexOf(s_known, space) < 0)
                {
                    log.Note(IssueLog.Line(walk.Line), $"The extensions have a name space that is not known: {(space.Length > 80 ? space[..80] : space)}.", "What is called heart rate, cadence, speed (m/s), course or accuracy was taken as such.");
                }
            }

            switch (local)
            {
                case "trkpt" or "rtept" or "wpt" when local == pointKind:
                    inPoint = false;
                    if (!good)
                    {
                        break;
                    }

                    if (pointKind == "wpt")
                    {
                        places.Add(new NamedPlace(pointName, fix.LatitudeDegrees, fix.LongitudeDegrees));
                    }
                    else
                    {
                        if (points is null)
                        {
                            points = [];
                            tracks.Add(("", points, pointKind == "rtept"));
                        }

                        points.Add(fix);
                    }

                    break;
                case "name" when extensions == 0:
                    pointName = text.Trim().ToString();
                    break;
                case "time" when extensions == 0:
                    fix = Time(fix, text, walk.Line, log);
                    break;
                case "ele" when extensions == 0:
                    fix = fix with { AltitudeMetres = Number(text, -1000, 10000, walk.Line, log) };
                    break;
                case "hdop" when extensions == 0:
                    fix = fix with { HorizontalDilution = Number(text, 0, 1000, walk.Line, log) };
                    break;
                case "speed":
                    fix = fix with { SpeedMps = Number(text, 0, 100, walk.Line, log) };
                    break;
                case "course":
                    fix = fix with { CourseDegrees = Number(text, 0, 360, walk.Line, log) };
                    break;
                case "hr" or "heartrate" or "HeartRate" when extensions > 0:
                    fix = fix with { HeartRate = Number(text, 1, 300, walk.Line, log) };
                    break;
                case "cad" or "cadence" or "RunCadence" when extensions > 0:
                    fix = fix with { Cadence = Number(text, 0, 300, walk.Line, log) };
                    break;
                case "accuracy" or "hacc" or "hAcc" when extensions > 0:
                    fix = fix with { AccuracyMetres = Number(text, 0, 100000, walk.Line, log) };
                    break;
                case "extensions":
                    extensions = Math.Max(0, extensions - 1);
                    break;
            }
        }

        if (!sawRoot && tracks.Count == 0)
        {
            log.Error(IssueLog.Line(1), "This is no GPX file.", "Export the track again from the watch or phone.");
            return log.Reading<TrackFile>(null);
        }

        return Finish(tracks, places, name, log);
    }

    private static Reading<TrackFile> Finish(List<(string Name, List<Fix> Fixes, bool Route)> tracks, List<NamedPlace> places, string name, IssueLog log)
    {
        tracks.RemoveAll(t => t.Fixes.Count == 0);

        // A route whose points have times was rowed all the same.
        var lines = tracks.Where(t => t.Route && !t.Fixes.Exists(f => f.Time is not null))
            .Select(t => new MapLine(t.Name.Length > 0 ? t.Name : "route", [.. t.Fixes.Select(f => (f.LatitudeDegrees, f.LongitudeDegrees))], false)).ToList();
        tracks.RemoveAll(t => t.Route && !t.Fixes.Exists(f => f.Time is not null));
        var read = new List<Track>(tracks.Count);
        for (int i = 0; i < tracks.Count; i++)
        {
            TrackTidy.Tidy(tracks[i].Fixes, log);
            string title = tracks.Count == 1 ? name : tracks[i].Name.Length > 0 ? $"{name}: {tracks[i].Name}"
                : string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{name}: {i + 1}");
            read.Add(new Track(title, tracks[i].Fixes));
        }

        if (read.Count == 0 && places.Count == 0 && lines.Count == 0)
        {
            log.Error("", "The GPX file holds not one position that can be used.", "Export the track again from the watch or phone.");
            return log.Reading<TrackFile>(null);
        }

        return log.Reading(new TrackFile(read, places, [], []) { Lines = lines });
    }

    private static bool Point(System.Xml.XmlReader xml, int line, int segment, IssueLog log, out Fix fix)
    {
        fix = default;
        if (!Numbers.TryDouble(xml.GetAttribute("lat"), out double latitude) || !Numbers.TryDouble(xml.GetAttribute("lon"), out double longitude))
        {
            log.Warn(IssueLog.Line(line), "A point has no latitude and longitude that are numbers.", "The fix was left out.");
            return false;
        }

        if (!TrackTidy.Position(latitude, longitude, IssueLog.Line(line), log, out longitude))
        {
            return false;
        }

        fix = new Fix(null, latitude, longitude, Segment: segment);
        return true;
    }

    internal static Fix Time(in Fix fix, ReadOnlySpan<char> text, int line, IssueLog log)
    {
        if (!IsoTime.TryParse(text, out double t, out var odd))
        {
            log.Warn(IssueLog.Line(line), "A time cannot be read.", "The fix was kept without one.");
            return fix;
        }

        if (odd != TimeOddity.None)
        {
            Say(odd, line, log);
        }

        return fix with { Time = Instant<SatelliteClock>.FromSeconds(t) };
    }

    internal static void Say(TimeOddity odd, int line, IssueLog log)
    {
        if (odd.HasFlag(TimeOddity.LeapSecond))
        {
            log.Note(IssueLog.Line(line), "A time has second 60.", "It was taken as 59.999: the satellite clock here has no leap seconds.");
        }

        if (odd.HasFlag(TimeOddity.EndOfDay))
        {
            log.Note(IssueLog.Line(line), "A time is 24:00:00.", "It was taken as the midnight that follows.");
        }

        if (odd.HasFlag(TimeOddity.NoZone))
        {
            log.Note(IssueLog.Line(line), "A time has no zone.", "It was taken as UTC.");
        }
    }

    internal static double? Number(ReadOnlySpan<char> text, double least, double most, int line, IssueLog log)
    {
        if (Numbers.TryDouble(text, out double v) && v >= least && v <= most)
        {
            return v;
        }

        log.Warn(IssueLog.Line(line), "A value is no number that makes sense.", "That value was left out, the fix was kept.");
        return null;
    }
}
