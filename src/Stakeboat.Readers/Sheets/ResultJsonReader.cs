using System.Text.Json;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Units;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Sheets;

/// <summary><c>result.json</c>: what a regatta published, times in seconds at marks in metres from the start.</summary>
public static class ResultJsonReader
{
    public static Reading<ResultSheet> Read(Stream stream, string name)
    {
        var log = new IssueLog(name);
        using var json = LooseJson.Parse(stream, log);
        if (json is null || json.RootElement.Get("rows", "results", "crews") is not { ValueKind: JsonValueKind.Array })
        {
            log.Error("", "This is no result sheet: rows are expected.", "Paste the results as text, or see the data folder of the demo for a file.");
            return log.Reading<ResultSheet>(null);
        }

        return log.Reading(Read(json.RootElement, log));
    }

    public static ResultSheet? Read(JsonElement root, IssueLog log)
    {
        ArgumentNullException.ThrowIfNull(log);
        double? distance = root.Get("distance").AsNumber() is { } d and > 0 and < 100_000 ? d : null;
        var rows = new List<ResultRow>();
        int number = 0;
        foreach (var row in root.Get("rows", "results", "crews")?.EnumerateArray() ?? default)
        {
            number++;
            string? crew = row.Get("crew", "name").AsText()?.Trim();
            if (string.IsNullOrEmpty(crew))
            {
                log.Warn(IssueLog.Record(number), "A row has no crew.", "It was left out.");
                continue;
            }

            rows.Add(new ResultRow(Whole(row, "place"), Whole(row, "lane"), crew, Times(row.Get("times", "splits"), row.Get("time"), distance, number, log),
                row.Get("verdict").AsText()));
        }

        if (rows.Count == 0)
        {
            log.Error("", "The result sheet has no crew in it.", "Paste the results as text, or type them in.");
            return null;
        }

        return ResultSense.Check(new ResultSheet(distance is { } m ? Distance.FromMetres(m) : null, rows), log);
    }

    private static List<MarkTime> Times(JsonElement? e, JsonElement? final, double? distance, int number, IssueLog log)
    {
        var times = new List<MarkTime>();
        if (e is { ValueKind: JsonValueKind.Object } map)
        {
            foreach (var p in map.EnumerateObject())
            {
                if (Numbers.TryDouble(p.Name, out double mark) && mark is > 0 and < 100_000 && Seconds(p.Value) is { } t)
                {
                    times.Add(new MarkTime(Distance.FromMetres(mark), Duration.FromSeconds(t)));
                }
                else
                {
                    log.Warn(IssueLog.Record(number), "A time is no time, or its mark no distance.", "It was left out.");
                }
            }
        }

        if (final is { } f && distance is { } d && Seconds(f) is { } end && !times.Exists(t => t.Mark.Metres == d))
        {
            times.Add(new MarkTime(Distance.FromMetres(d), Duration.FromSeconds(end)));
        }

        times.Sort((a, b) => a.Mark.CompareTo(b.Mark));
        return times;
    }

    private static double? Seconds(JsonElement e)
    {
        JsonElement? v = e;
        double? t = v.AsNumber() ?? (v.AsText() is { } s && Captions.CueTime.TryRead(s.Trim(), out double c, out int used) && used == s.Trim().Length ? c : null);
        return t is > 0 and < 86400 ? t : null;
    }

    private static int? Whole(JsonElement row, string name) => row.Get(name).AsNumber() is { } n and >= 0 and < 1000 ? (int)n : null;
}
