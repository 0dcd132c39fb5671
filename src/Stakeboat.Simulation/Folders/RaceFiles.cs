using System.Globalization;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using Stakeboat.Core.Measurement;
using Stakeboat.Simulation.Racing;

namespace Stakeboat.Simulation.Folders;

/// <summary>The files of a simulated race as bytes: the form of the labelled races. Nothing is written here.</summary>
public static class RaceFiles
{
    private static readonly JsonWriterOptions Pretty = new() { Indented = true, IndentSize = 1, NewLine = "\n", Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };
    private static readonly JsonWriterOptions OneLine = new() { Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    /// <param name="captions">"vtt", "srt" or "txt": the form that the person's captions have.</param>
    public static IReadOnlyList<(string Name, byte[] Bytes)> Of(SimulatedRace race, string captions = "vtt")
    {
        var files = new List<(string, byte[])> { ("race.json", RaceSheetJson(race)), ("result.json", ResultJson(race)), ("truth.json", TruthJson(race)) };
        if (race.Talk.Lines.Count > 0)
        {
            files.Add(("calls.jsonl", Calls(race)));
            files.Add(("lines.tsv", Utf8(Lines(race))));
            var cues = race.Captions.First(c => c.Timing == CaptionTiming.Cues);
            files.Add(captions switch
            {
                "vtt" => ("captions.vtt", Utf8(Vtt(cues))),
                "srt" => ("captions.srt", Utf8(Srt(cues))),
                "txt" => ("captions.txt", Utf8(Blocks(race.Captions.First(c => c.Timing == CaptionTiming.Blocks)))),
                _ => throw new ArgumentException($"captions: \"{captions}\" is none of vtt, srt, txt.", nameof(captions)),
            });
            files.Add(("words.json", WordsJson(race.Captions.First(c => c.Timing == CaptionTiming.Words))));
        }

        if (race.Track is { } track)
        {
            files.Add(("track.gpx", Utf8(Gpx(track))));
        }

        if (race.Motion is { } motion)
        {
            files.Add(("motion.csv", Utf8(MotionCsv(motion))));
        }

        return files;
    }

    public static string Gpx(Track track)
    {
        var b = new StringBuilder("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"Stakeboat simulation\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n<trk><trkseg>\n");
        foreach (var f in track.Fixes)
        {
            var time = DateTimeOffset.FromUnixTimeMilliseconds((long)Math.Round(f.Time!.Value.Seconds * 1000));
            b.Append(CultureInfo.InvariantCulture, $"<trkpt lat=\"{f.LatitudeDegrees:F7}\" lon=\"{f.LongitudeDegrees:F7}\"><ele>{f.AltitudeMetres:F1}</ele><time>{time:yyyy-MM-ddTHH:mm:ss.fff}Z</time>");
            if (f.SpeedMps is { } v)
            {
                b.Append(CultureInfo.InvariantCulture, $"<extensions><speed>{v:F3}</speed></extensions>");
            }

            b.Append("</trkpt>\n");
        }

        return b.Append("</trkseg></trk>\n</gpx>\n").ToString();
    }

    public static string MotionCsv(MotionLog m)
    {
        bool gyro = m.RotationX is not null;
        var b = new StringBuilder(gyro ? "time_ms,acc_x,acc_y,acc_z,gyr_x,gyr_y,gyr_z\n" : "time_ms,acc_x,acc_y,acc_z\n");
        for (int i = 0; i < m.Count; i++)
        {
            b.Append(CultureInfo.InvariantCulture, $"{m.Seconds[i] * 1000:F0},{m.AccelerationX[i]:F2},{m.AccelerationY[i]:F2},{m.AccelerationZ[i]:F2}");
            if (gyro)
            {
                b.Append(CultureInfo.InvariantCulture, $",{m.RotationX![i]:F4},{m.RotationY![i]:F4},{m.RotationZ![i]:F4}");
            }

            b.Append('\n');
        }

        return b.ToString();
    }

    private static byte[] Utf8(string text) => Encoding.UTF8.GetBytes(text);

    private static byte[] Json(Action<Utf8JsonWriter> body)
    {
        using var stream = new MemoryStream();
        using (var w = new Utf8JsonWriter(stream, Pretty))
        {
            body(w);
        }

        stream.WriteByte((byte)'\n');
        return stream.ToArray();
    }

    private static byte[] RaceSheetJson(SimulatedRace race) => Json(w =>
    {
        var s = race.Scenario;
        var g = s.Geometry;
        w.WriteStartObject();
        w.WriteString("boat", s.Boat.Code);
        w.WriteNumber("distance", s.DistanceMetres);
        w.WriteString("us", s.Us);
        w.WriteStartObject("lanes");
        foreach (var (lane, crew) in race.Sheet.Lanes.OrderBy(l => l.Key))
        {
            w.WriteString(lane.ToString(CultureInfo.InvariantCulture), crew);
        }

        w.WriteEndObject();
        w.WriteStartObject("geometry");
        w.WriteNumber("length", g.Length.Metres);
        w.WriteNumber("bowSeat", g.BowSeat.Metres);
        w.WriteNumber("seatSpacing", g.SeatSpacing.Metres);
        if (g.Cox is { } cox)
        {
            w.WriteNumber("cox", cox.Metres);
        }

        w.WriteNumber("seats", g.Seats);
        w.WriteEndObject();
        w.WriteNumber("laneWidth", s.LaneWidthMetres);
        w.WriteStartObject("crewWords");
        w.WriteStartArray("names");
        foreach (string n in s.Names)
        {
            w.WriteStringValue(n);
        }

        w.WriteEndArray();
        w.WriteEndObject();
        w.WriteEndObject();
    });

    private static byte[] ResultJson(SimulatedRace race) => Json(w =>
    {
        w.WriteStartObject();
        w.WriteNumber("distance", race.Scenario.DistanceMetres);
        w.WriteStartArray("rows");
        foreach (var r in race.Result.Rows)
        {
            w.WriteStartObject();
            w.WriteNumber("place", r.Place!.Value);
            w.WriteNumber("lane", r.Lane!.Value);
            w.WriteString("crew", r.Crew);
            w.WriteStartObject("times");
            foreach (var t in r.Times)
            {
                w.WriteNumber(t.Mark.Metres.ToString("0.###", CultureInfo.InvariantCulture), t.Time.Seconds);
            }

            w.WriteEndObject();
            w.WriteEndObject();
        }

        w.WriteEndArray();
        w.WriteEndObject();
    });

    private static byte[] TruthJson(SimulatedRace race) => Json(w =>
    {
        static double R(double v, int digits) => Math.Round(v, digits);
        w.WriteStartObject();
        w.WriteNumber("seed", race.Seed);
        w.WriteNumber("goAt", race.GoAt);
        w.WriteNumber("finishAt", R(race.FinishAt, 2));
        w.WriteString("unit", "m, s of the recording, spm; margin > 0: our bow ball is ahead");
        w.WriteNumber("motionAtZero", race.ToMotion.Offset);
        w.WriteNumber("motionDrift", race.ToMotion.Drift);
        w.WriteNumber("satelliteAtZero", race.ToSatellite.Offset);
        w.WriteNumber("satelliteDrift", race.ToSatellite.Drift);
        w.WriteStartArray("own");
        for (double t = race.GoAt; t < race.FinishAt + 5; t += 5)
        {
            double at = Math.Min(t, race.FinishAt), v = t == race.GoAt ? 0 : (race.Own.MetresAt(at + 0.8) - race.Own.MetresAt(at - 0.8)) / 1.6;
            w.WriteStartObject();
            w.WriteNumber("t", R(at, 2));
            w.WriteNumber("metres", R(race.Own.MetresAt(at), 2));
            w.WriteNumber("speed", R(v, 3));
            w.WriteNumber("rate", R(race.Own.RateAt(at) ?? race.Strokes[0].Rate, 1));
            w.WriteEndObject();
        }

        w.WriteEndArray();
        w.WriteStartObject("margins");
        foreach (string rival in race.Rivals)
        {
            w.WriteStartArray(rival);
            for (double t = race.GoAt; t < race.FinishAt + 5; t += 5)
            {
                double at = Math.Min(t, race.FinishAt);
                w.WriteStartObject();
                w.WriteNumber("t", R(at, 2));
                w.WriteNumber("metres", R(race.MarginAt(rival, at), 2));
                w.WriteEndObject();
            }

            w.WriteEndArray();
        }

        w.WriteEndObject();
        w.WriteStartArray("moves");
        foreach (var b in race.Bursts)
        {
            w.WriteStartObject();
            w.WriteString("crew", b.Crew);
            w.WriteNumber("from", R(b.From, 2));
            w.WriteNumber("to", R(b.To, 2));
            w.WriteNumber("strokes", b.Strokes);
            w.WriteNumber("gain", b.Gain);
            w.WriteStartObject("seatsByRival");
            foreach (var (rival, seats) in b.SeatsByRival)
            {
                w.WriteNumber(rival, R(seats, 2));
            }

            w.WriteEndObject();
            w.WriteEndObject();
        }

        w.WriteEndArray();
        w.WriteStartArray("catches");
        foreach (var s in race.Strokes)
        {
            w.WriteNumberValue(R(s.Catch, 3));
        }

        w.WriteEndArray();
        w.WriteEndObject();
    });

    private static byte[] Calls(SimulatedRace race)
    {
        using var stream = new MemoryStream();
        foreach (var call in race.Talk.Calls)
        {
            using (var w = new Utf8JsonWriter(stream, OneLine))
            {
                CallJson.Write(w, call);
            }

            stream.WriteByte((byte)'\n');
        }

        return stream.ToArray();
    }

    private static string Lines(SimulatedRace race)
    {
        var b = new StringBuilder();
        foreach (var l in race.Talk.Lines)
        {
            b.Append(CultureInfo.InvariantCulture, $"{l.Start:F2}\t{l.End:F2}\t{l.Text}\n");
        }

        return b.ToString();
    }

    private static byte[] WordsJson(CaptionTrack words) => Json(w =>
    {
        w.WriteStartObject();
        w.WriteStartArray("segments");
        int id = 0;
        foreach (var cue in words.Cues)
        {
            w.WriteStartObject();
            w.WriteNumber("id", id++);
            w.WriteNumber("start", Math.Round(cue.Start.Seconds, 2));
            w.WriteNumber("end", Math.Round(cue.End.Seconds, 2));
            w.WriteString("text", cue.Text);
            w.WriteStartArray("words");
            foreach (var word in cue.Words)
            {
                w.WriteStartObject();
                w.WriteString("word", word.Text);
                w.WriteNumber("start", Math.Round(word.Start.Seconds, 2));
                w.WriteNumber("end", Math.Round(word.End.Seconds, 2));
                w.WriteNumber("probability", word.Probability ?? 1);
                w.WriteEndObject();
            }

            w.WriteEndArray();
            w.WriteEndObject();
        }

        w.WriteEndArray();
        w.WriteEndObject();
    });

    private static string Vtt(CaptionTrack track)
    {
        var b = new StringBuilder("WEBVTT\n");
        foreach (var c in track.Cues)
        {
            b.Append(CultureInfo.InvariantCulture, $"\n{Clock(c.Start.Seconds, '.')} --> {Clock(c.End.Seconds, '.')}\n{c.Text}\n");
        }

        return b.ToString();
    }

    private static string Srt(CaptionTrack track)
    {
        var b = new StringBuilder();
        for (int i = 0; i < track.Cues.Count; i++)
        {
            var c = track.Cues[i];
            b.Append(CultureInfo.InvariantCulture, $"{i + 1}\n{Clock(c.Start.Seconds, ',')} --> {Clock(c.End.Seconds, ',')}\n{c.Text}\n\n");
        }

        return b.ToString();
    }

    private static string Blocks(CaptionTrack track)
    {
        var b = new StringBuilder();
        foreach (var c in track.Cues)
        {
            int s = (int)c.Start.Seconds;
            b.Append(CultureInfo.InvariantCulture, $"[{s / 60}:{s % 60:00}] {c.Text}\n\n");
        }

        return b.ToString();
    }

    private static string Clock(double seconds, char point)
    {
        long ms = (long)Math.Round(Math.Max(0, seconds) * 1000);
        return string.Create(CultureInfo.InvariantCulture, $"{ms / 3600000:00}:{ms / 60000 % 60:00}:{ms / 1000 % 60:00}{point}{ms % 1000:000}");
    }
}
