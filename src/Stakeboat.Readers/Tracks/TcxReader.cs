using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Tracks;

/// <summary>
/// TCX version 2 (Training Center XML): laps, tracks, points with heart rate, cadence and the extension's speed. Points without a position occur and are no
/// fixes. DistanceMeters is the watch's own sum and not used for fixes; a lap's is kept with the lap.
/// </summary>
public static class TcxReader
{
    public static Reading<TrackFile> Read(Stream stream, string name)
    {
        ArgumentNullException.ThrowIfNull(stream);
        var log = new IssueLog(name);
        var fixes = new List<Fix>();
        var laps = new List<Lap>();
        using var walk = new XmlWalk(stream);
        Fix fix = default;
        double? latitude = null, longitude = null, start = null, seconds = null, metres = null;
        bool inPoint = false, inLap = false, inHeart = false, sawRoot = false;
        int segment = -1, noPosition = 0;
        while (walk.Next(log, "TCX"))
        {
            var xml = walk.Xml;
            string local = xml.LocalName;
            bool begins = xml.NodeType == System.Xml.XmlNodeType.Element, empty = begins && xml.IsEmptyElement;
            if (begins)
            {
                sawRoot |= xml.Depth == 0 && local == "TrainingCenterDatabase";
                switch (local)
                {
                    case "Lap":
                        inLap = true;
                        start = IsoTime.TryParse(xml.GetAttribute("StartTime"), out double t, out _) ? t : null;
                        seconds = metres = null;
                        break;
                    case "Track":
                        segment++;
                        break;
                    case "Trackpoint":
                        inPoint = true;
                        fix = new Fix(null, 0, 0, Segment: Math.Max(0, segment));
                        latitude = longitude = null;
                        break;
                    case "HeartRateBpm":
                        inHeart = true;
                        break;
                }
            }

            if (begins && !empty)
            {
                continue;
            }

            var text = walk.Text;
            switch (local)
            {
                case "Lap":
                    inLap = false;
                    laps.Add(new Lap(start, seconds, metres));
                    break;
                case "TotalTimeSeconds" when inLap && !inPoint:
                    seconds = GpxReader.Number(text, 0, 1e6, walk.Line, log);
                    break;
                case "DistanceMeters" when inLap && !inPoint:
                    metres = GpxReader.Number(text, 0, 1e7, walk.Line, log);
                    break;
                case "Trackpoint":
                    inPoint = false;
                    if (latitude is not { } la || longitude is not { } lo)
                    {
                        noPosition++;
                    }
                    else if (TrackTidy.Position(la, lo, IssueLog.Line(walk.Line), log, out double east))
                    {
                        fixes.Add(fix with { LatitudeDegrees = la, LongitudeDegrees = east });
                    }

                    break;
                case "Time" when inPoint:
                    fix = GpxReader.Time(fix, text, walk.Line, log);
                    break;
                case "LatitudeDegrees" when inPoint:
                    latitude = Numbers.TryDouble(text, out double a) ? a : null;
                    break;
                case "LongitudeDegrees" when inPoint:
                    longitude = Numbers.TryDouble(text, out double o) ? o : null;
                    break;
                case "AltitudeMeters" when inPoint:
                    fix = fix with { AltitudeMetres = GpxReader.Number(text, -1000, 10000, walk.Line, log) };
                    break;
                case "Value" when inPoint && inHeart:
                    fix = fix with { HeartRate = GpxReader.Number(text, 0, 300, walk.Line, log) is { } h and > 0 ? h : null };
                    break;
                case "HeartRateBpm":
                    inHeart = false;
                    break;
                case "Cadence" or "RunCadence" when inPoint:
                    fix = fix with { Cadence = GpxReader.Number(text, 0, 300, walk.Line, log) };
                    break;
                case "Speed" when inPoint:
                    fix = fix with { SpeedMps = GpxReader.Number(text, 0, 100, walk.Line, log) };
                    break;
            }
        }

        if (!sawRoot)
        {
            log.Error(IssueLog.Line(1), "This is no TCX file.", "Export the outing again from the watch.");
            return log.Reading<TrackFile>(null);
        }

        if (noPosition > 0)
        {
            log.Add(Severity.Note, "", "A point has no position.", "It is no fix; indoors or before the first satellite there is none.", noPosition);
        }

        TrackTidy.Tidy(fixes, log);
        if (fixes.Count == 0)
        {
            log.Error("", "The TCX file holds not one position that can be used.", "Bring a file of an outing with satellite reception.");
            return log.Reading<TrackFile>(null);
        }

        return log.Reading(new TrackFile([new Track(name, fixes)], [], laps, []));
    }
}
