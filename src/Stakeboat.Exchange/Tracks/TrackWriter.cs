using System.Globalization;
using System.Text.Json;
using System.Xml;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Exchange.Tracks;

/// <summary>Tracks in open formats: every fix, none invented, nine decimals of a degree (0.1 mm).</summary>
public static class TrackWriter
{
    private const string Gpx11 = "http://www.topografix.com/GPX/1/1";
    private const string Extension = "http://www.garmin.com/xmlschemas/TrackPointExtension/v2";

    /// <summary>GPX 1.1; speed, course, heart rate and cadence in the widely read track point extension, version 2.</summary>
    public static void Gpx(Stream to, IReadOnlyList<Track> tracks, IReadOnlyList<NamedPlace> places, IReadOnlyList<MapLine> lines)
    {
        ArgumentNullException.ThrowIfNull(tracks);
        ArgumentNullException.ThrowIfNull(places);
        ArgumentNullException.ThrowIfNull(lines);
        using var x = XmlWriter.Create(to, new XmlWriterSettings { Encoding = new System.Text.UTF8Encoding(false), Indent = true, IndentChars = "", NewLineChars = "\n", CloseOutput = false, CheckCharacters = false });
        x.WriteStartElement("gpx", Gpx11);
        x.WriteAttributeString("version", "1.1");
        x.WriteAttributeString("creator", "Stakeboat");
        x.WriteAttributeString("xmlns", "gpxtpx", null, Extension);
        foreach (var p in places)
        {
            Point(x, "wpt", p.LatitudeDegrees, p.LongitudeDegrees);
            Text(x, "name", p.Name);
            x.WriteEndElement();
        }

        foreach (var line in lines)
        {
            x.WriteStartElement("rte", Gpx11);
            Text(x, "name", line.Name);
            foreach (var (latitude, longitude) in line.Points)
            {
                Point(x, "rtept", latitude, longitude);
                x.WriteEndElement();
            }

            x.WriteEndElement();
        }

        foreach (var t in tracks)
        {
            x.WriteStartElement("trk", Gpx11);
            Text(x, "name", t.Name);
            int? segment = null;
            foreach (var f in t.Fixes)
            {
                if (f.Segment != segment)
                {
                    if (segment is not null)
                    {
                        x.WriteEndElement();
                    }

                    x.WriteStartElement("trkseg", Gpx11);
                    segment = f.Segment;
                }

                Fix(x, f);
            }

            if (segment is not null)
            {
                x.WriteEndElement();
            }

            x.WriteEndElement();
        }

        x.WriteEndElement();
    }

    /// <summary>CSV: time (ISO 8601), seconds since the first fix, degrees, and what the device gave; an empty field where it gave nothing.</summary>
    public static void Csv(TextWriter to, IReadOnlyList<Track> tracks)
    {
        ArgumentNullException.ThrowIfNull(to);
        ArgumentNullException.ThrowIfNull(tracks);
        to.Write("track,segment,time,seconds,latitude,longitude,altitude,speed,course,hdop,accuracy,heartRate,cadence\n");
        foreach (var t in tracks)
        {
            double? first = t.Fixes.Select(f => f.Time?.Seconds).FirstOrDefault(s => s is not null);
            foreach (var f in t.Fixes)
            {
                to.Write(string.Create(CultureInfo.InvariantCulture,
                    $"{CsvText.Field(t.Name)},{f.Segment},{(f.Time is { } i ? Iso(i.Seconds) : "")},{N(f.Time?.Seconds - first, 6)},{N(f.LatitudeDegrees, 9)},{N(f.LongitudeDegrees, 9)},"));
                to.Write(string.Create(CultureInfo.InvariantCulture,
                    $"{N(f.AltitudeMetres, 4)},{N(f.SpeedMps, 4)},{N(f.CourseDegrees, 3)},{N(f.HorizontalDilution, 3)},{N(f.AccuracyMetres, 3)},{N(f.HeartRate, 1)},{N(f.Cadence, 3)}\n"));
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

    internal static string Iso(double unix) =>
        DateTime.UnixEpoch.AddTicks((long)Math.Round(unix * 1e6) * 10).ToString("yyyy-MM-ddTHH:mm:ss.FFFFFF", CultureInfo.InvariantCulture) + "Z";

    internal static string N(double? v, int decimals) => v is { } d ? Math.Round(d, decimals).ToString("0." + new string('#', decimals), CultureInfo.InvariantCulture) : "";

    private static void Fix(XmlWriter x, in Fix f)
    {
        Point(x, "trkpt", f.LatitudeDegrees, f.LongitudeDegrees);
        Text(x, "ele", N(f.AltitudeMetres, 4));
        Text(x, "time", f.Time is { } t ? Iso(t.Seconds) : "");
        Text(x, "hdop", N(f.HorizontalDilution, 3));
        if (f.HeartRate is not null || f.Cadence is not null || f.SpeedMps is not null || f.CourseDegrees is not null)
        {
            x.WriteStartElement("extensions", Gpx11);
            x.WriteStartElement("gpxtpx", "TrackPointExtension", Extension);
            Text(x, "hr", N(f.HeartRate, 1), Extension);
            Text(x, "cad", N(f.Cadence, 3), Extension);
            Text(x, "speed", N(f.SpeedMps, 4), Extension);
            Text(x, "course", N(f.CourseDegrees, 3), Extension);
            x.WriteEndElement();
            x.WriteEndElement();
        }

        x.WriteEndElement();
    }

    private static void Point(XmlWriter x, string element, double latitude, double longitude)
    {
        x.WriteStartElement(element, Gpx11);
        x.WriteAttributeString("lat", N(latitude, 9));
        x.WriteAttributeString("lon", N(longitude, 9));
    }

    private static void Text(XmlWriter x, string element, string text, string space = Gpx11)
    {
        if (text.Length > 0)
        {
            x.WriteElementString(element, space, new string([.. text.Where(c => c >= ' ' && !char.IsSurrogate(c) && c < '\uFFFE')]));
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
            w.WriteStartArray("coordTimes");
            foreach (var f in run)
            {
                if (f.Time is { } t)
                {
                    w.WriteStringValue(Iso(t.Seconds));
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
