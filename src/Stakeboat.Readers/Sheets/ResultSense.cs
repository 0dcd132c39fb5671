using System.Globalization;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Units;

namespace Stakeboat.Readers.Sheets;

/// <summary>Looks whether a result sheet can be: times that grow, places in the order of the times, speeds that a boat can have. Nothing is altered but times out of order.</summary>
internal static class ResultSense
{
    /// <summary>Bounds of a racing boat's mean speed, m/s: a beginner's paddle and above any record (an eight's best is 6.3). Common practice, no source.</summary>
    private const double Slowest = 1, Fastest = 8;

    public static ResultSheet Check(ResultSheet sheet, IssueLog log)
    {
        var rows = new List<ResultRow>(sheet.Rows.Count);
        foreach (var row in sheet.Rows)
        {
            var good = new List<MarkTime>();
            foreach (var t in row.Times)
            {
                if (good.Count > 0 && t.Mark.Metres <= good[^1].Mark.Metres)
                {
                    log.Warn(row.Crew, string.Create(CultureInfo.InvariantCulture, $"There are two times at {t.Mark.Metres:0} m."), "The first was kept.");
                    continue;
                }

                if (good.Count > 0 && t.Time.Seconds <= good[^1].Time.Seconds)
                {
                    log.Warn(row.Crew, string.Create(CultureInfo.InvariantCulture, $"The time at {t.Mark.Metres:0} m is not after the one at {good[^1].Mark.Metres:0} m."), "The later mark was left out.");
                    continue;
                }

                double from = good.Count > 0 ? good[^1].Mark.Metres : 0, since = good.Count > 0 ? good[^1].Time.Seconds : 0;
                double speed = (t.Mark.Metres - from) / (t.Time.Seconds - since);
                if (speed is < Slowest or > Fastest)
                {
                    log.Warn(row.Crew, string.Create(CultureInfo.InvariantCulture, $"Up to {t.Mark.Metres:0} m the speed would be {speed:0.0} m/s."), "It was kept; check the time and the distance.");
                }

                good.Add(t);
            }

            rows.Add(row with { Times = good });
        }

        Lanes(rows, log);
        Order(rows, log);
        return sheet with { Rows = rows };
    }

    private static void Lanes(List<ResultRow> rows, IssueLog log)
    {
        foreach (var same in rows.Where(r => r.Lane is not null).GroupBy(r => r.Lane).Where(g => g.Count() > 1))
        {
            log.Warn("", string.Create(CultureInfo.InvariantCulture, $"Lane {same.Key} stands with {string.Join(" and ", same.Select(r => r.Crew))}."), "Both were kept; put the wrong one right.");
        }

        foreach (var same in rows.GroupBy(r => r.Crew, StringComparer.OrdinalIgnoreCase).Where(g => g.Count() > 1))
        {
            log.Warn("", $"The crew {same.Key} stands there twice.", "Both rows were kept.");
        }
    }

    private static void Order(List<ResultRow> rows, IssueLog log)
    {
        double last = rows.SelectMany(r => r.Times).Select(t => t.Mark.Metres).DefaultIfEmpty(0).Max();
        var finished = rows.Where(r => r.Place is not null && r.Times.Count > 0 && r.Times[^1].Mark.Metres == last).OrderBy(r => r.Place).ToList();
        for (int i = 1; i < finished.Count; i++)
        {
            if (finished[i].Times[^1].Time.Seconds < finished[i - 1].Times[^1].Time.Seconds)
            {
                log.Warn(finished[i].Crew, $"{finished[i].Crew} is placed behind {finished[i - 1].Crew} with the better time.", "Both were kept as printed.");
            }
            else if (finished[i].Place == finished[i - 1].Place && finished[i].Times[^1].Time.Seconds > finished[i - 1].Times[^1].Time.Seconds)
            {
                log.Warn(finished[i].Crew, $"{finished[i].Crew} and {finished[i - 1].Crew} share a place but not a time.", "Both were kept as printed.");
            }
        }
    }
}
