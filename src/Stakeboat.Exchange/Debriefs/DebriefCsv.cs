using System.Globalization;
using System.Text;

namespace Stakeboat.Exchange.Debriefs;

/// <summary>Every table of a debrief as CSV (RFC 4180, full stop as decimal mark). Columns are added at the end and never renamed.</summary>
public static class DebriefCsv
{
    /// <summary>File name and text of each table that the document has.</summary>
    public static IEnumerable<(string Name, string Text)> Tables(DebriefDocument d)
    {
        ArgumentNullException.ThrowIfNull(d);
        if (d.Called is { } called)
        {
            yield return ("calls.csv", Table(
                "t,type,confidence,crew,our,their,seats,lengths,metres,openWater,side,mirror,spm,sense,by,inStrokes,overStrokes,secPer500,seconds,strokes,to,n,who,do,how,topic,what,purpose,words",
                called.Calls.Select(c => (object?[])[c.T, c.Type, c.Confidence, c.Crew, c.Our, c.Their, c.Seats, c.Lengths, c.Metres, c.OpenWater, c.Side, c.Mirror, c.Spm,
                    c.Sense, c.By, c.InStrokes, c.OverStrokes, c.SecPer500, c.Seconds, c.Strokes, c.To, c.N, c.Who, c.Do, c.How, c.Topic, c.What, c.Purpose, c.Words])));
        }

        if (d.Rowed is { } rowed)
        {
            var s = rowed.Strokes;
            yield return ("strokes.csv", Table("t,rate,rateSd,metres,speed,lowest,highest,check,quality",
                Enumerable.Range(0, s.T.Count).Select(i => (object?[])[s.T[i], s.Rate[i], s.RateSd[i], s.Metres[i], s.Speed[i], s.Lowest[i], s.Highest[i], s.Check[i], s.Quality[i]])));
            if (rowed.Hull is { } h)
            {
                yield return ("hull.csv", Table("t,metres,speed,speedSd",
                    Enumerable.Range(0, h.Speed.Count).Select(i => (object?[])[Math.Round(h.T0 + i / h.Hz, 3), h.Metres[i], h.Speed[i], h.SpeedSd[i]])));
            }

            yield return ("splits.csv", Table("from,to,seconds,secondsSd,rate,strokes,plannedSeconds",
                rowed.Splits.Select(x => (object?[])[x.From, x.To, x.Seconds, x.SecondsSd, x.Rate, x.Strokes, x.PlannedSeconds])));
        }

        if (d.Margins.Count > 0)
        {
            yield return ("margins.csv", Margins(d));
        }

        if (d.Moves.Count > 0)
        {
            yield return ("moves.csv", Table("crew,from,to,strokes,rival,seats,low90,high90,held",
                d.Moves.Select(m => (object?[])[m.Crew, m.From, m.To, m.Strokes, m.Rival, m.Seats, m.Low90, m.High90, m.Held])));
        }

        if (d.Line is { } l)
        {
            yield return ("line.csv", Table("t,along,across,latitude,longitude",
                Enumerable.Range(0, l.T.Count).Select(i => (object?[])[l.T[i], l.Along[i], l.Across[i], l.Latitude[i], l.Longitude[i]])));
        }

        yield return ("findings.csv", Table("id,kind,sentence,value,low90,high90,unit,worth,n,t,confirm",
            d.Findings.Select(f => (object?[])[f.Id, f.Kind, f.Sentence, f.Value, f.Low90, f.High90, f.Unit, f.Worth, f.N, f.Evidence.Count > 0 ? f.Evidence[0].T : null, f.WouldConfirm])));
    }

    /// <summary>One row a crew and second.</summary>
    public static string Margins(DebriefDocument d) => Table("t,crew,metres,sd,low90,high90",
        d.Margins.SelectMany(m => Enumerable.Range(0, m.Metres.Count).Select(i => (object?[])[m.T0 + i, m.Crew, m.Metres[i], m.Sd[i], m.Low90[i], m.High90[i]])));

    /// <summary>A table with a header line.</summary>
    public static string Table(string header, IEnumerable<object?[]> rows)
    {
        var text = new StringBuilder(header).Append('\n');
        foreach (object?[] row in rows)
        {
            for (int i = 0; i < row.Length; i++)
            {
                if (i > 0)
                {
                    text.Append(',');
                }

                Append(text, row[i]);
            }

            text.Append('\n');
        }

        return text.ToString();
    }

    private static void Append(StringBuilder text, object? value)
    {
        text.Append(value switch
        {
            null => "",
            bool b => b ? "true" : "false",
            double v => v.ToString("R", CultureInfo.InvariantCulture),
            IFormattable f => f.ToString(null, CultureInfo.InvariantCulture),
            _ => CsvText.Field(value.ToString()!),
        });
    }
}
