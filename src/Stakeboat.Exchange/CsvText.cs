namespace Stakeboat.Exchange;

/// <summary>Text in a table of comma-separated values (RFC 4180), with what a spreadsheet would take for a formula made harmless.
/// A semicolon is quoted too: half of the spreadsheets take it for the separator.</summary>
public static class CsvText
{
    public static string Field(string text)
    {
        if (text.Length > 0 && text[0] is '=' or '+' or '-' or '@' or '\t' or '\r')
        {
            text = "'" + text;
        }

        return text.AsSpan().IndexOfAny(",;\"\r\n") < 0 ? text : "\"" + text.Replace("\"", "\"\"", StringComparison.Ordinal) + "\"";
    }
}
