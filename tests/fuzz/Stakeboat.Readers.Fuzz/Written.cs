using System.Text;
using Stakeboat.Exchange;
using Stakeboat.Exchange.Sheets;
using Stakeboat.Exchange.Tracks;

namespace Stakeboat.Readers.Fuzz;

/// <summary>What was read is written in every format that can hold it, and read again: as many fixes, samples, cues and crews come back.</summary>
public static class Written
{
    public static (IReadOnlyList<ReadingIssue> Issues, int Shape) AndReadAgain(byte[] bytes)
    {
        var reading = FileDoor.Open(new MemoryStream(bytes, false), "f");
        if (reading.Value is not { } f)
        {
            return (reading.Issues, -1);
        }

        int fixes = f.Tracks.Sum(t => t.Fixes.Count);
        if (fixes > 0)
        {
            using var gpx = new MemoryStream();
            TrackWriter.Gpx(gpx, f.Tracks, f.Places, f.Lines);
            var back = Open(gpx);
            Promises.Keep(back.Tracks.Sum(t => t.Fixes.Count) == fixes && back.Lines.Sum(l => l.Points.Count) == f.Lines.Sum(l => l.Points.Count) && back.Places.Count == f.Places.Count, "GPX gives back every fix and place");
            using var geo = new MemoryStream();
            TrackWriter.GeoJson(geo, f.Tracks, f.Places, f.Lines);
            back = Open(geo);
            Promises.Keep(back.Lines.Sum(l => l.Points.Count) + back.Places.Count == fixes + f.Lines.Sum(l => l.Points.Count) + f.Places.Count, "GeoJSON gives back every position");
            using var csv = new MemoryStream();
            TrackWriter.Csv(csv, f.Tracks);
            Promises.Keep(Rows(Encoding.UTF8.GetString(csv.ToArray())) == fixes + 1, "CSV has a row for every fix");
        }

        foreach (var m in f.Motions)
        {
            using var csv = new MemoryStream();
            MotionWriter.Csv(csv, m);
            Promises.Keep(Rows(Encoding.UTF8.GetString(csv.ToArray())) == m.Count + 1, "CSV has a row for every sample");
        }

        if (f.Captions is { } c)
        {
            var back = FileDoor.Open(new MemoryStream(Encoding.UTF8.GetBytes(CaptionText.WebVtt(c))), "again");
            Promises.Keep(back.Value?.Captions?.Cues.Count == c.Cues.Count || back.Issues.Any(i => i.What.Contains("repeats the line", StringComparison.Ordinal)), "WebVTT gives back every cue");
        }

        if (f.Result is { } r)
        {
            using var csv = new StringWriter();
            ResultWriter.Csv(csv, r);
            Promises.Keep(csv.ToString().Length > 0, "CSV has the crews");
        }

        return (reading.Issues, fixes + ((int)f.Kind << 8));
    }

    private static FileContents Open(MemoryStream s)
    {
        s.Position = 0;
        var reading = FileDoor.Open(s, "again");
        return reading.Value ?? throw new BrokenPromiseException("what was written is read: " + string.Join(' ', reading.Issues));
    }

    private static int Rows(string csv)
    {
        // A line feed within quotes is no row.
        int rows = 0;
        bool quoted = false;
        foreach (char ch in csv)
        {
            quoted ^= ch == '"';
            rows += ch == '\n' && !quoted ? 1 : 0;
        }

        return rows;
    }
}
