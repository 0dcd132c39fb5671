using System.Globalization;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Words.Recognisers;

/// <summary>
/// What else a recogniser thought of: the words of a lattice in HTK's standard lattice format, with a posterior probability on each link.
/// The share of a word in a stretch of time is the mean over its frames of the summed posteriors of the links that carry the word there
/// (frame-wise word posteriors after Wessel, Schlüter, Macherey and Ney 2001).
/// </summary>
internal sealed class WordLattice
{
    private const double FramesPerSecond = 100;

    /// <summary>A word with a smaller share is no alternative.</summary>
    private const double Least = 0.04;

    private const int Most = 6;

    private readonly List<(string Word, double From, double To, double P)> _links = [];

    /// <summary>Reads a lattice; lines that are no nodes or links are passed over. Node times are the starts of their words, as pocketsphinx writes them.</summary>
    public static WordLattice Read(TextReader text)
    {
        ArgumentNullException.ThrowIfNull(text);
        var lattice = new WordLattice();
        var nodes = new Dictionary<string, (double Time, string Word)>(StringComparer.Ordinal);
        while (text.ReadLine() is { } line)
        {
            if (line.StartsWith("I=", StringComparison.Ordinal))
            {
                var f = Fields(line);
                if (Number(f.GetValueOrDefault("t")) is { } t)
                {
                    nodes[f["I"]] = (t, Spoken(f.GetValueOrDefault("W") ?? ""));
                }
            }
            else if (line.StartsWith("J=", StringComparison.Ordinal))
            {
                var f = Fields(line);
                if (nodes.TryGetValue(f.GetValueOrDefault("S") ?? "", out var from) && nodes.TryGetValue(f.GetValueOrDefault("E") ?? "", out var to)
                    && Number(f.GetValueOrDefault("p")) is { } p && from.Word.Length > 0)
                {
                    lattice._links.Add((from.Word, from.Time, to.Time, p));
                }
            }
        }

        return lattice;
    }

    /// <summary>The shares of words in a stretch of time, greatest first.</summary>
    public IReadOnlyList<WordAlternative> In(double start, double end)
    {
        int first = (int)Math.Round(start * FramesPerSecond), last = Math.Max(first + 1, (int)Math.Round(end * FramesPerSecond));
        var shares = new Dictionary<string, double>(StringComparer.Ordinal);
        foreach (var (word, from, to, p) in _links)
        {
            int overlap = Math.Min(last, (int)Math.Round(to * FramesPerSecond)) - Math.Max(first, (int)Math.Round(from * FramesPerSecond));
            if (overlap > 0)
            {
                shares[word] = shares.GetValueOrDefault(word) + p * overlap / (last - first);
            }
        }

        return [.. shares.OrderByDescending(s => s.Value).ThenBy(s => s.Key, StringComparer.Ordinal).Select(s => new WordAlternative(s.Key, Math.Clamp(s.Value, 0, 1)))];
    }

    /// <summary>A best word with its own share and its alternatives.</summary>
    public RecognisedWord Complete(RecognisedWord word)
    {
        var all = In(word.Start, word.End);
        double own = all.Where(a => a.Text == word.Text).Select(a => a.Probability).FirstOrDefault();
        WordAlternative[] others = [.. all.Where(a => a.Text != word.Text && a.Probability >= Least).Take(Most).Select(a => a with { Probability = Math.Round(a.Probability, 3) })];
        return word with { Probability = own > 0 ? Math.Round(own, 3) : word.Probability, Alternatives = others.Length > 0 ? others : null };
    }

    /// <summary>A word without the number of its pronunciation; empty for marks, pauses and noise.</summary>
    internal static string Spoken(string text)
    {
        int bracket = text.IndexOf('(', StringComparison.Ordinal);
        text = bracket > 0 ? text[..bracket] : text;
        return text.Length == 0 || text[0] is '<' or '[' or '+' or '!' ? "" : text;
    }

    private static Dictionary<string, string> Fields(string line) => line.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries)
        .Select(f => f.Split('=', 2)).Where(f => f.Length == 2).GroupBy(f => f[0], StringComparer.Ordinal).ToDictionary(g => g.Key, g => g.First()[1], StringComparer.Ordinal);

    private static double? Number(string? s) => double.TryParse(s, NumberStyles.Float, CultureInfo.InvariantCulture, out double v) && double.IsFinite(v) ? v : null;
}
