namespace Stakeboat.Readers.Writing;

/// <summary>Text in a CSV field. A spreadsheet takes a field that begins with = + - @ for a formula, so such text gets an apostrophe before it.</summary>
public static class CsvText
{
    public static string Quote(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (text.Length > 0 && text[0] is '=' or '+' or '-' or '@' or '\t' or '\r')
        {
            text = "'" + text;
        }

        return text.AsSpan().IndexOfAny(",\"\r\n;") >= 0 || text.StartsWith('\'') ? "\"" + text.Replace("\"", "\"\"", StringComparison.Ordinal) + "\"" : text;
    }
}
