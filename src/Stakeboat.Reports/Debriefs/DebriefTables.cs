using System.Globalization;
using System.IO.Compression;
using System.Text;
using Stakeboat.Exchange;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Reports.Debriefs;

/// <summary>One table: a name that is a file name too, its columns, its rows.</summary>
public sealed record ReportTable(string Name, IReadOnlyList<string> Columns, IReadOnlyList<IReadOnlyList<object?>> Rows)
{
    /// <summary>Comma-separated values (RFC 4180) in SI units, lines ended by CR LF; a gap is an empty field.</summary>
    public string ToCsv()
    {
        var text = new StringBuilder();
        text.AppendJoin(',', Columns).Append("\r\n");
        foreach (var row in Rows)
        {
            text.AppendJoin(',', row.Select(Field)).Append("\r\n");
        }

        return text.ToString();
    }

    private static string Field(object? value) => value switch
    {
        null => "",
        double d => double.IsFinite(d) ? d.ToString("0.####", CultureInfo.InvariantCulture) : "",
        IFormattable f => f.ToString(null, CultureInfo.InvariantCulture),
        bool b => b ? "true" : "false",
        _ => CsvText.Field(value.ToString() ?? ""),
    };
}

/// <summary>Every table of a debrief; those without a row are left out. Times are seconds on the debrief's clock.</summary>
public static class DebriefTables
{
    public static IReadOnlyList<ReportTable> All(DebriefDocument d)
    {
        ArgumentNullException.ThrowIfNull(d);
        var all = new List<ReportTable>
        {
            new("findings", ["order", "kind", "sentence", "value", "low90", "high90", "unit", "worthSeconds", "n", "wouldConfirm", "nextPlan"],
                [.. d.Findings.Select((f, i) => Row(i + 1, f.Kind, f.Sentence, f.Value, f.Low90, f.High90, f.Unit, f.Worth, f.N, f.WouldConfirm, f.NextPlan))]),
            new("calls", ["t", "tSd", "type", "confidence", "words", "crew", "spm", "sense", "by", "secPer500", "metres", "seconds", "strokes", "to", "n", "our", "their", "seats", "lengths", "openWater", "side", "who", "do", "how", "topic", "what", "purpose", "corrected"],
                [.. (d.Called?.Calls ?? []).Select(c => Row(c.T, c.TSd, c.Type, c.Confidence, c.Words, c.Crew, c.Spm, c.Sense, c.By, c.SecPer500, c.Metres, c.Seconds, c.Strokes, c.To, c.N, c.Our, c.Their, c.Seats, c.Lengths, c.OpenWater, c.Side, c.Who, c.Do, c.How, c.Topic, c.What, c.Purpose, c.Corrected))]),
            new("captions", ["t", "to", "text", "setAside"], [.. (d.Called?.Cues ?? []).Select(c => Row(c.T, c.To, c.Text, c.SetAside))]),
            new("strokes", ["t", "rate", "rateSd", "metres", "speed", "lowest", "highest", "check", "quality", "roll", "yaw"], [.. Strokes(d)]),
            new("hull", ["t", "metres", "speed", "speedSd"],
                [.. d.Rowed?.Hull is { } h ? Enumerable.Range(0, h.Speed.Count).Select(i => Row(Math.Round(h.T0 + i / h.Hz, 3), h.Metres[i], h.Speed[i], h.SpeedSd[i])) : []]),
            new("margins", ["t", "crew", "metres", "sd", "low90", "high90"],
                [.. d.Margins.SelectMany(m => Enumerable.Range(0, m.Metres.Count).Select(i => Row(m.T0 + i, m.Crew, m.Metres[i], m.Sd[i], m.Low90[i], m.High90[i])))]),
            new("moves", ["crew", "origin", "from", "to", "strokes", "rival", "seats", "low90", "high90", "held", "heldLow90", "heldHigh90", "distinguishable"],
                [.. d.Moves.Select(m => Row(m.Crew, m.Origin, m.From, m.To, m.Strokes, m.Rival, m.Seats, m.Low90, m.High90, m.Held, m.HeldLow90, m.HeldHigh90, m.Distinguishable))]),
            new("splits", ["from", "to", "seconds", "secondsSd", "rate", "strokes", "plannedSeconds"],
                [.. (d.Rowed?.Splits ?? []).Select(s => Row(s.From, s.To, s.Seconds, s.SecondsSd, s.Rate, s.Strokes, s.PlannedSeconds))]),
            new("planned", ["name", "from", "to", "fromStroke", "toStroke", "fromSeconds", "toSeconds", "rate", "secPer500", "purpose"],
                [.. (d.Planned?.Segments ?? []).Select(s => Row(s.Name, s.From, s.To, s.FromStroke, s.ToStroke, s.FromSeconds, s.ToSeconds, s.Rate, s.SecPer500, s.Purpose))]),
            new("result", ["place", "lane", "crew", "metres", "seconds", "verdict"],
                [.. (d.Result ?? []).SelectMany(r => r.Marks.Select(m => Row(r.Place, r.Lane, r.Crew, m.Metres, m.Seconds, r.Verdict)))]),
            new("line", ["t", "along", "across", "latitude", "longitude"],
                [.. d.Line is { } l ? Enumerable.Range(0, l.T.Count).Select(i => Row(l.T[i], l.Along[i], l.Across[i], l.Latitude.ElementAtOrDefault(i), l.Longitude.ElementAtOrDefault(i))) : []]),
            new("evidence", ["t", "crew", "kind", "low", "high", "reading", "weight"],
                [.. d.Evidence.Select(e => Row(e.T, e.Crew, e.Kind, e.Low, e.High, e.Reading, e.Weight))]),
        };
        return all.Where(t => t.Rows.Count > 0).ToList();
    }

    /// <summary>All tables as one zip archive.</summary>
    public static byte[] Zip(DebriefDocument document)
    {
        using var target = new MemoryStream();
        using (var zip = new ZipArchive(target, ZipArchiveMode.Create, leaveOpen: true))
        {
            foreach (var table in All(document))
            {
                var entry = zip.CreateEntry(table.Name + ".csv");
                entry.LastWriteTime = new DateTimeOffset(1980, 1, 1, 0, 0, 0, TimeSpan.Zero);
                using var stream = entry.Open();
                stream.Write(Encoding.UTF8.GetBytes(table.ToCsv()));
            }
        }

        return target.ToArray();
    }

    private static IEnumerable<IReadOnlyList<object?>> Strokes(DebriefDocument d)
    {
        if (d.Rowed?.Strokes is not { } s)
        {
            yield break;
        }

        for (int i = 0; i < s.T.Count; i++)
        {
            yield return Row(s.T[i], s.Rate[i], s.RateSd[i], s.Metres[i], s.Speed[i], s.Lowest[i], s.Highest[i], s.Check[i], s.Quality[i], s.Roll?[i], s.Yaw?[i]);
        }
    }

    private static object?[] Row(params object?[] values) => values;
}
