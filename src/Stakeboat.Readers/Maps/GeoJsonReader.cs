using System.Text.Json;
using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Text;
using Stakeboat.Readers.Tracks;

namespace Stakeboat.Readers.Maps;

/// <summary>What a drawing of a course held: points (marks, buoys, bridges) and lines.</summary>
public sealed record MapDrawing(IReadOnlyList<NamedPlace> Places, IReadOnlyList<MapLine> Lines);

/// <summary>GeoJSON (RFC 7946): points, lines, polygons and collections of them; the name is a property "name", "title" or "id". Longitude stands first.</summary>
public static class GeoJsonReader
{
    public static Reading<MapDrawing> Read(Stream stream, string name)
    {
        var log = new IssueLog(name);
        using var json = LooseJson.Parse(stream, log);
        var places = new List<NamedPlace>();
        var lines = new List<MapLine>();
        if (json is not null)
        {
            Thing(json.RootElement, "", places, lines, log);
        }

        if (places.Count == 0 && lines.Count == 0)
        {
            log.Error("", "There is not one point or line in this GeoJSON.", "Draw the course again and export it as GeoJSON in WGS 84 degrees.");
            return log.Reading<MapDrawing>(null);
        }

        return log.Reading(new MapDrawing(places, lines));
    }

    // Depth is bounded by the JSON reader's.
    private static void Thing(JsonElement e, string name, List<NamedPlace> places, List<MapLine> lines, IssueLog log)
    {
        if (e.ValueKind == JsonValueKind.Array)
        {
            foreach (var item in e.EnumerateArray())
            {
                Thing(item, name, places, lines, log);
            }

            return;
        }

        switch (e.Get("type").AsText())
        {
            case "FeatureCollection":
                if (e.Get("features") is { } features)
                {
                    Thing(features, name, places, lines, log);
                }

                break;
            case "Feature":
                string own = Name(e) ?? name;
                if (e.Get("geometry") is { } geometry)
                {
                    Thing(geometry, own, places, lines, log);
                }

                break;
            case "GeometryCollection":
                if (e.Get("geometries") is { } all)
                {
                    Thing(all, name, places, lines, log);
                }

                break;
            case "Point":
                if (Point(e.Get("coordinates"), log) is { } p)
                {
                    places.Add(new NamedPlace(name, p.Latitude, p.Longitude));
                }

                break;
            case "MultiPoint":
                foreach (var (latitude, longitude) in Points(e.Get("coordinates"), log))
                {
                    places.Add(new NamedPlace(name, latitude, longitude));
                }

                break;
            case "LineString":
                Line(e.Get("coordinates"), name, lines, log);
                break;
            case "MultiLineString" or "Polygon":
                Many(e.Get("coordinates"), name, lines, log);
                break;
            case "MultiPolygon" when e.Get("coordinates") is { ValueKind: JsonValueKind.Array } polygons:
                foreach (var polygon in polygons.EnumerateArray())
                {
                    Many(polygon, name, lines, log);
                }

                break;
            default:
                log.Warn("", "Something in the file is no geometry of GeoJSON.", "It was left out.");
                break;
        }
    }

    private static string? Name(JsonElement feature)
    {
        var properties = feature.Get("properties");
        var v = (properties is { } p ? p.Get("name", "title", "id") : null) ?? feature.Get("id");
        return v.AsText() ?? (v.AsNumber() is { } n ? n.ToString(System.Globalization.CultureInfo.InvariantCulture) : null);
    }

    private static void Many(JsonElement? e, string name, List<MapLine> lines, IssueLog log)
    {
        if (e is { ValueKind: JsonValueKind.Array } a)
        {
            foreach (var line in a.EnumerateArray())
            {
                Line(line, name, lines, log);
            }
        }
    }

    private static void Line(JsonElement? e, string name, List<MapLine> lines, IssueLog log)
    {
        var points = Points(e, log);
        if (points.Count >= 2)
        {
            lines.Add(new MapLine(name, points, points.Count > 2 && points[0] == points[^1]));
        }
        else
        {
            log.Warn("", "A line has fewer than two points.", "It was left out.");
        }
    }

    private static List<(double Latitude, double Longitude)> Points(JsonElement? e, IssueLog log)
    {
        var points = new List<(double, double)>();
        if (e is { ValueKind: JsonValueKind.Array } a)
        {
            foreach (JsonElement? p in a.EnumerateArray())
            {
                if (Point(p, log) is { } good)
                {
                    points.Add(good);
                }
            }
        }

        return points;
    }

    private static (double Latitude, double Longitude)? Point(JsonElement? e, IssueLog log)
    {
        if (e is not { ValueKind: JsonValueKind.Array } a || a.GetArrayLength() < 2 || ((JsonElement?)a[0]).AsNumber() is not { } longitude || ((JsonElement?)a[1]).AsNumber() is not { } latitude)
        {
            log.Warn("", "A position is no pair of numbers.", "It was left out.");
            return null;
        }

        return TrackTidy.Position(latitude, longitude, "", log, out double east) ? (latitude, east) : null;
    }
}
