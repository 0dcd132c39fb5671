using System.Globalization;
using System.Text;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Reports.Debriefs;

/// <summary>The calls as WebVTT chapters for any player of the recording: each lasts until the next.</summary>
public static class CallChapters
{
    /// <param name="words">How a call is worded.</param>
    public static string Write(DebriefDocument d, Func<CallPart, string>? words = null)
    {
        ArgumentNullException.ThrowIfNull(d);
        var text = new StringBuilder("WEBVTT\n");
        var calls = (d.Called?.Calls ?? []).Where(c => c.Type is not ("spirit" or "count")).OrderBy(c => c.T).ToList();
        for (int i = 0; i < calls.Count; i++)
        {
            double from = Math.Max(0, calls[i].T - 1.5);
            double to = i + 1 < calls.Count ? Math.Max(from + 0.1, calls[i + 1].T - 1.5) : Math.Max(from + 0.1, d.Clock.To);
            text.Append('\n').Append(Time(from)).Append(" --> ").Append(Time(to)).Append('\n').Append(Plain(words?.Invoke(calls[i]) ?? $"{calls[i].Type}: {calls[i].Words}")).Append('\n');
        }

        return text.ToString();
    }

    private static string Time(double seconds)
    {
        long ms = (long)Math.Round(seconds * 1000);
        return string.Create(CultureInfo.InvariantCulture, $"{ms / 3_600_000:00}:{ms / 60_000 % 60:00}:{ms / 1000 % 60:00}.{ms % 1000:000}");
    }

    /// <summary>Markup signs escaped and the arrow broken, as the format asks.</summary>
    private static string Plain(string s) =>
        s.ReplaceLineEndings(" ").Replace("&", "&amp;", StringComparison.Ordinal).Replace("<", "&lt;", StringComparison.Ordinal).Replace(">", "&gt;", StringComparison.Ordinal);
}
