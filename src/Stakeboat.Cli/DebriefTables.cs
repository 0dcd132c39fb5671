using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Cli;

/// <summary>Every table of a debrief as CSV files in a folder.</summary>
internal static class DebriefTables
{
    public static void WriteFolder(DebriefDocument document, string folder, TextWriter output)
    {
        try
        {
            Directory.CreateDirectory(folder);
            foreach (var (name, text) in DebriefCsv.Tables(document))
            {
                string file = Path.Combine(folder, name);
                File.WriteAllText(file, text);
                output.WriteLine(file);
            }
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw CliException.CannotWrite(folder, e.Message);
        }
    }
}
