using System.Globalization;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Exchange.Sheets;

/// <summary>A result sheet as CSV: a row a crew, a column a mark, seconds.</summary>
public static class ResultWriter
{
    public static void Csv(TextWriter to, ResultSheet sheet)
    {
        ArgumentNullException.ThrowIfNull(to);
        ArgumentNullException.ThrowIfNull(sheet);
        var marks = sheet.Rows.SelectMany(r => r.Times).Select(t => t.Mark.Metres).Distinct().Order().ToList();
        to.Write("place,lane,crew" + string.Concat(marks.Select(m => string.Create(CultureInfo.InvariantCulture, $",{m:0.##}m"))) + ",verdict\n");
        foreach (var r in sheet.Rows)
        {
            to.Write(string.Create(CultureInfo.InvariantCulture, $"{r.Place},{r.Lane},{CsvText.Field(r.Crew)}"));
            foreach (double m in marks)
            {
                var t = r.Times.Where(t => t.Mark.Metres == m).Select(t => (double?)t.Time.Seconds).FirstOrDefault();
                to.Write(string.Create(CultureInfo.InvariantCulture, $",{t:0.###}"));
            }

            to.Write($",{CsvText.Field(r.Verdict ?? "")}\n");
        }
    }
}
