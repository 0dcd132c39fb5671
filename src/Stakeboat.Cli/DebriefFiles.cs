using Stakeboat.Exchange.Debriefs;
using Stakeboat.Reports.Debriefs;

namespace Stakeboat.Cli;

/// <summary>Files that a debrief is written to: every table as CSV in a folder, a page that stands by itself, the two-page report.</summary>
internal sealed record DebriefFiles(string? CsvFolder, string? Html, string? Pdf)
{
    public bool Any => CsvFolder is not null || Html is not null || Pdf is not null;

    public void Write(DebriefDocument document, TextWriter output)
    {
        if (CsvFolder is not null)
        {
            Put(CsvFolder, () => Directory.CreateDirectory(CsvFolder));
            foreach (var table in DebriefTables.All(document))
            {
                string file = Path.Combine(CsvFolder, table.Name + ".csv");
                Put(file, () => File.WriteAllText(file, table.ToCsv()));
                output.WriteLine(file);
            }
        }

        if (Html is not null)
        {
            Put(Html, () => File.WriteAllText(Html, DebriefHtml.Write(document)));
            output.WriteLine(Html);
        }

        if (Pdf is not null)
        {
            Put(Pdf, () => File.WriteAllBytes(Pdf, DebriefReport.Write(document)));
            output.WriteLine(Pdf);
        }
    }

    private static void Put(string path, Action write)
    {
        try
        {
            write();
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw CliException.CannotWrite(path, e.Message);
        }
    }
}
