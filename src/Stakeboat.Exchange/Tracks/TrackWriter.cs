using System.Text.Json;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Exchange.Tracks;

/// <summary>Tracks in open formats: every fix, none invented, nine decimals of a degree (0.1 mm).</summary>
public static class TrackWriter
{
    /// <summary>GPX 1.1; speed, course, heart rate and cadence in the widely read track point extension, version 2.</summary>
    public static void Gpx(Stream to, IReadOnlyList<Track> tracks, IReadOnlyList<NamedPlace> places, IReadOnlyList<MapLine> lines)
    {
        ArgumentNullException.ThrowIfNull(tracks);
        ArgumentNullException.ThrowIfNull(places);
        ArgumentNullException.ThrowIfNull(lines);
        using var w = new Utf8Sink(to);
        w.Raw("<?xml version=\"1.0\" encoding=\"utf-8\"?>\n<gpx xmlns=\"http://www.topografix.com/GPX/1/1\" version=\"1.1\" creator=\"Stakeboat\" "u8);
        w.Raw("xmlns:gpxtpx=\"http://www.garmin.com/xmlschemas/TrackPointExtension/v2\">\n"u8);
        foreach (var p in places)
        {
            Point(w, "<wpt"u8, p.LatitudeDegrees, p.LongitudeDegrees);
            Name(w, p.Name);
            w.Raw("</wpt>\n"u8);
        }

        foreach (var line in lines)
        {
            w.Raw("<rte>\n"u8);
            Name(w, line.Name);
            foreach (var (latitude, longitude) in line.Points)
            {
                Point(w, "<rtept"u8, latitude, longitude);
                w.Raw("</rtept>\n"u8);
            }

            w.Raw("</rte>\n"u8);
        }

        foreach (var t in tracks)
        {
            w.Raw("<trk>\n"u8);
            Name(w, t.Name);
            int? segment = null;
            foreach (var f in t.Fixes)
            {
                if (f.Segment != segment)
                {
                    w.Raw(segment is null ? "<trkseg>\n"u8 : "</trkseg>\n<trkseg>\n"u8);
                    segment = f.Segment;
                }

                Fix(w, f);
            }

            w.Raw(segment is null ? "</trk>\n"u8 : "</trkseg>\n</trk>\n"u8);
        }

        w.Raw("</gpx>\n"u8);
    }

    /// <summary>CSV: time (ISO 8601), seconds since the first fix, degrees, and what the device gave; an empty field where it gave nothing.</summary>
    public static void Csv(Stream to, IReadOnlyList<Track> tracks)
    {
        ArgumentNullException.ThrowIfNull(to);
        ArgumentNullException.ThrowIfNull(tracks);
        using var w = new Utf8Sink(to);
        w.Raw("track,segment,time,seconds,latitude,longitude,altitude,speed,course,hdop,accuracy,heartRate,cadence\n"u8);
        foreach (var t in tracks)
        {
            double? first = t.Fixes.Select(f => f.Time?.Seconds).FirstOrDefault(s => s is not null);
            byte[] name = System.Text.Encoding.UTF8.GetBytes(CsvText.Field(t.Name));
            foreach (var f in t.Fixes)
            {
                w.Raw(name);
                w.Byte((byte)',');
                w.Whole(f.Segment);
                w.Byte((byte)',');
                if (f.Time is { } at && Utf8Sink.IsDate(at.Seconds))
                {
                    w.Iso(at.Seconds);
                }

                Next(w, f.Time?.Seconds - first, 6);
                Next(w, f.LatitudeDegrees, 9);
                Next(w, f.LongitudeDegrees, 9);
                Next(w, f.AltitudeMetres, 4);
                Next(w, f.SpeedMps, 4);
                Next(w, f.CourseDegrees, 3);
                Next(w, f.HorizontalDilution, 3);
                Next(w, f.AccuracyMetres, 3);
                Next(w, f.HeartRate, 1);
                Next(w, f.Cadence, 3);
                w.Byte((byte)'\n');
            }
        }
    }

    /// <summary>GeoJSON (RFC 7946): a line for each segment with its times in "coordTimes", a point where a segment has one fix, and the places.</summary>
    public static void GeoJson(Stream to, IReadOnlyList<Track> tracks, IReadOnlyList<NamedPlace> places, IReadOnlyList<MapLine> lines)
    {
        ArgumentNullException.ThrowIfNull(tracks);
        ArgumentNullException.ThrowIfNull(places);
        ArgumentNullException.ThrowIfNull(lines);
        using var w = new Utf8JsonWriter(to);
        w.WriteStartObject();
        w.WriteString("type", "FeatureCollection");
        w.WriteStartArray("features");
        foreach (var p in places)
        {
            Feature(w, p.Name, "Point", () => Position(w, p.LatitudeDegrees, p.LongitudeDegrees, null), null);
        }

        foreach (var line in lines)
        {
            if (line.Points.Count == 1)
            {
                // A line of one point is none in GeoJSON.
                Feature(w, line.Name, "Point", () => Position(w, line.Points[0].LatitudeDegrees, line.Points[0].LongitudeDegrees, null), null);
                continue;
            }

            Feature(w, line.Name, "LineString", () => Positions(w, line.Points.Select(p => (p.LatitudeDegrees, p.LongitudeDegrees, (double?)null))), null);
        }

        foreach (var t in tracks)
        {
            int at = 0;
            while (at < t.Fixes.Count)
            {
                int end = at;
                while (end < t.Fixes.Count && t.Fixes[end].Segment == t.Fixes[at].Segment)
                {
                    end++;
                }

                var run = t.Fixes.Skip(at).Take(end - at).ToList();
                if (run.Count == 1)
                {
                    Feature(w, t.Name, "Point", () => Position(w, run[0].LatitudeDegrees, run[0].LongitudeDegrees, run[0].AltitudeMetres), run);
                }
                else
                {
                    Feature(w, t.Name, "LineString", () => Positions(w, run.Select(f => (f.LatitudeDegrees, f.LongitudeDegrees, f.AltitudeMetres))), run);
                }

                at = end;
            }
        }

        w.WriteEndArray();
        w.WriteEndObject();
    }

    private static void Next(Utf8Sink w, double? v, int decimals)
    {
        w.Byte((byte)',');
        if (v is { } d)
        {
            w.Number(d, decimals);
        }
    }

    private static void Fix(Utf8Sink w, in Fix f)
    {
        Point(w, "<trkpt"u8, f.LatitudeDegrees, f.LongitudeDegrees);
        Value(w, "<ele>"u8, f.AltitudeMetres, 4, "</ele>"u8);
        if (f.Time is { } t && Utf8Sink.IsDate(t.Seconds))
        {
            w.Raw("<time>"u8);
            w.Iso(t.Seconds);
            w.Raw("</time>"u8);
        }

        Value(w, "<hdop>"u8, f.HorizontalDilution, 3, "</hdop>"u8);
        if (f.HeartRate is not null || f.Cadence is not null || f.SpeedMps is not null || f.CourseDegrees is not null)
        {
            w.Raw("<extensions><gpxtpx:TrackPointExtension>"u8);
            Value(w, "<gpxtpx:hr>"u8, f.HeartRate, 1, "</gpxtpx:hr>"u8);
            Value(w, "<gpxtpx:cad>"u8, f.Cadence, 3, "</gpxtpx:cad>"u8);
            Value(w, "<gpxtpx:speed>"u8, f.SpeedMps, 4, "</gpxtpx:speed>"u8);
            Value(w, "<gpxtpx:course>"u8, f.CourseDegrees, 3, "</gpxtpx:course>"u8);
            w.Raw("</gpxtpx:TrackPointExtension></extensions>"u8);
        }

        w.Raw("</trkpt>\n"u8);
    }

    private static void Point(Utf8Sink w, ReadOnlySpan<byte> element, double latitude, double longitude)
    {
        w.Raw(element);
        w.Raw(" lat=\""u8);
        w.Number(latitude, 9);
        w.Raw("\" lon=\""u8);
        w.Number(longitude, 9);
        w.Raw("\">"u8);
    }

    private static void Value(Utf8Sink w, ReadOnlySpan<byte> open, double? v, int decimals, ReadOnlySpan<byte> close)
    {
        if (v is { } d)
        {
            w.Raw(open);
            w.Number(d, decimals);
            w.Raw(close);
        }
    }

    private static void Name(Utf8Sink w, string name)
    {
        if (name.Length > 0)
        {
            w.Raw("<name>"u8);
            w.Xml(name);
            w.Raw("</name>\n"u8);
        }
    }

    private static void Feature(Utf8JsonWriter w, string name, string kind, Action coordinates, List<Fix>? run)
    {
        w.WriteStartObject();
        w.WriteString("type", "Feature");
        w.WriteStartObject("properties");
        w.WriteString("name", name);
        if (run is not null && run.Exists(f => f.Time is not null))
        {
            using var one = new MemoryStream(32);
            w.WriteStartArray("coordTimes");
            foreach (var f in run)
            {
                if (f.Time is { } t && Utf8Sink.IsDate(t.Seconds))
                {
                    one.SetLength(0);
                    using (var sink = new Utf8Sink(one))
                    {
                        sink.Iso(t.Seconds);
                    }

                    w.WriteStringValue(one.GetBuffer().AsSpan(0, (int)one.Length));
                }
                else
                {
                    w.WriteNullValue();
                }
            }

            w.WriteEndArray();
        }

        w.WriteEndObject();
        w.WriteStartObject("geometry");
        w.WriteString("type", kind);
        w.WritePropertyName("coordinates");
        coordinates();
        w.WriteEndObject();
        w.WriteEndObject();
    }

    private static void Positions(Utf8JsonWriter w, IEnumerable<(double Latitude, double Longitude, double? Altitude)> points)
    {
        w.WriteStartArray();
        foreach (var (latitude, longitude, altitude) in points)
        {
            Position(w, latitude, longitude, altitude);
        }

        w.WriteEndArray();
    }

    private static void Position(Utf8JsonWriter w, double latitude, double longitude, double? altitude)
    {
        w.WriteStartArray();
        w.WriteNumberValue(Math.Round(longitude, 9));
        w.WriteNumberValue(Math.Round(latitude, 9));
        if (altitude is { } a)
        {
            w.WriteNumberValue(Math.Round(a, 4));
        }

        w.WriteEndArray();
    }
}
