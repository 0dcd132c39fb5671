using System.Text.Json;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Reports.Debriefs;

/// <summary>The line rowed as GeoJSON (RFC 7946): one LineString, longitude before latitude, with seconds for each point, and moves as points.</summary>
public static class LineGeoJson
{
    /// <returns>UTF-8; null where the outing has no line.</returns>
    public static byte[]? Write(DebriefDocument d)
    {
        ArgumentNullException.ThrowIfNull(d);
        if (d.Line is not { } line || line.Latitude.Count < 2)
        {
            return null;
        }

        using var target = new MemoryStream();
        using (var w = new Utf8JsonWriter(target, new JsonWriterOptions { Indented = false }))
        {
            w.WriteStartObject();
            w.WriteString("type", "FeatureCollection");
            w.WriteStartArray("features");
            w.WriteStartObject();
            w.WriteString("type", "Feature");
            w.WriteStartObject("properties");
            w.WriteString("name", d.Name);
            w.WriteString("crew", d.Us.Name);
            if (line.ExtraMetres is { } extra)
            {
                w.WriteNumber("extraMetres", Math.Round(extra, 2));
            }

            w.WriteStartArray("seconds");
            foreach (double t in line.T)
            {
                w.WriteNumberValue(Math.Round(t - (d.Clock.GoAt ?? 0), 2));
            }

            w.WriteEndArray();
            w.WriteEndObject();
            w.WriteStartObject("geometry");
            w.WriteString("type", "LineString");
            w.WriteStartArray("coordinates");
            for (int i = 0; i < line.Latitude.Count; i++)
            {
                Point(w, line, i);
            }

            w.WriteEndArray();
            w.WriteEndObject();
            w.WriteEndObject();
            foreach (var m in d.Moves.Where(m => m.Crew == d.Us.Name).DistinctBy(m => m.From))
            {
                int i = Nearest(line.T, m.From);
                w.WriteStartObject();
                w.WriteString("type", "Feature");
                w.WriteStartObject("properties");
                w.WriteString("name", "move");
                w.WriteNumber("seconds", Math.Round(m.From - (d.Clock.GoAt ?? 0), 2));
                w.WriteNumber("seats", Math.Round(m.Seats, 2));
                w.WriteEndObject();
                w.WriteStartObject("geometry");
                w.WriteString("type", "Point");
                w.WritePropertyName("coordinates");
                Point(w, line, i);
                w.WriteEndObject();
                w.WriteEndObject();
            }

            w.WriteEndArray();
            w.WriteEndObject();
        }

        return target.ToArray();
    }

    private static void Point(Utf8JsonWriter w, LinePart line, int i)
    {
        w.WriteStartArray();
        w.WriteNumberValue(Math.Round(line.Longitude[i], 7));
        w.WriteNumberValue(Math.Round(line.Latitude[i], 7));
        w.WriteEndArray();
    }

    private static int Nearest(IReadOnlyList<double> times, double t)
    {
        int best = 0;
        for (int i = 1; i < times.Count; i++)
        {
            if (Math.Abs(times[i] - t) < Math.Abs(times[best] - t))
            {
                best = i;
            }
        }

        return best;
    }
}
