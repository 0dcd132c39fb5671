using System.Globalization;

namespace Stakeboat.Core.Plans;

/// <summary>A word of a plan's line with the column it begins at (1-based).</summary>
internal readonly record struct PlanToken(string Text, int Column, bool Quoted)
{
    /// <summary>The word in lower case, for comparing; quoted words compare to nothing.</summary>
    public string Low => Quoted ? "\"" : Text.ToLowerInvariant();
}

/// <summary>Walks along the words of a line.</summary>
internal sealed class PlanCursor(IReadOnlyList<PlanToken> tokens, int line, int endColumn)
{
    private static readonly Dictionary<string, double> NumberWords = new(StringComparer.Ordinal)
    {
        ["one"] = 1, ["two"] = 2, ["three"] = 3, ["four"] = 4, ["five"] = 5, ["six"] = 6, ["seven"] = 7, ["eight"] = 8, ["nine"] = 9, ["ten"] = 10,
        ["eleven"] = 11, ["twelve"] = 12, ["fifteen"] = 15, ["twenty"] = 20, ["twenty-five"] = 25, ["thirty"] = 30, ["forty"] = 40,
        ["fives"] = 5, ["tens"] = 10, ["twenties"] = 20,
    };

    private int _next;

    public int Line { get; } = line;

    public bool AtEnd => _next >= tokens.Count;

    public int Position
    {
        get => _next;
        set => _next = value;
    }

    /// <summary>The word here; an empty one past the end.</summary>
    public PlanToken Here => AtEnd ? new PlanToken("", endColumn, false) : tokens[_next];

    public PlanToken Ahead(int n) => _next + n < tokens.Count ? tokens[_next + n] : new PlanToken("", endColumn, false);

    public PlanToken Take() => AtEnd ? Here : tokens[_next++];

    public bool TakeIf(string word)
    {
        if (AtEnd || Here.Low != word)
        {
            return false;
        }

        _next++;
        return true;
    }

    public bool TakeAny(params ReadOnlySpan<string> words)
    {
        foreach (string w in words)
        {
            if (TakeIf(w))
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>A number in digits or as a word ("20", "ten", "3.5"); null, and nothing taken, where there is none.</summary>
    public double? TakeNumber()
    {
        if (AtEnd || Number(Here) is not { } n)
        {
            return null;
        }

        _next++;
        return n;
    }

    public static double? Number(PlanToken token)
    {
        if (token.Quoted)
        {
            return null;
        }

        if (NumberWords.TryGetValue(token.Low, out double word))
        {
            return word;
        }

        return double.TryParse(token.Text, NumberStyles.AllowDecimalPoint | NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out double n) && double.IsFinite(n)
            ? n
            : null;
    }

    /// <summary>A time as "1:36", "6:20.4" in seconds; null where the word is none.</summary>
    public static double? Clock(PlanToken token)
    {
        if (token.Quoted)
        {
            return null;
        }

        int colon = token.Text.IndexOf(':', StringComparison.Ordinal);
        if (colon <= 0
            || !int.TryParse(token.Text.AsSpan(0, colon), NumberStyles.None, CultureInfo.InvariantCulture, out int minutes)
            || !decimal.TryParse(token.Text.AsSpan(colon + 1), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out decimal seconds)
            || seconds >= 60)
        {
            return null;
        }

        // In decimals, so that 1:33.758 is the same number as 93.758.
        return (double)(minutes * 60m + seconds);
    }

    /// <summary>A part of a slide: "3/4", "1/2", "full"; null where the word is none.</summary>
    public static double? Fraction(PlanToken token)
    {
        switch (token.Low)
        {
            case "full":
                return 1;
            case "half":
                return 0.5;
            case "three-quarter" or "three-quarters":
                return 0.75;
        }

        int slash = token.Text.IndexOf('/', StringComparison.Ordinal);
        if (token.Quoted || slash <= 0
            || !int.TryParse(token.Text.AsSpan(0, slash), NumberStyles.None, CultureInfo.InvariantCulture, out int above)
            || !int.TryParse(token.Text.AsSpan(slash + 1), NumberStyles.None, CultureInfo.InvariantCulture, out int below)
            || below == 0)
        {
            return null;
        }

        return (double)above / below;
    }

    /// <summary>The rest of the line as one text, up to a comma at this level where <paramref name="stopAtComma"/>.</summary>
    public string TakeRest(bool stopAtComma, params ReadOnlySpan<string> stopWords)
    {
        var parts = new List<string>();
        while (!AtEnd && !Here.Quoted && !(stopAtComma && Here.Text == ","))
        {
            bool stop = false;
            foreach (string w in stopWords)
            {
                stop |= Here.Low == w;
            }

            if (stop)
            {
                break;
            }

            parts.Add(Take().Text);
        }

        return string.Join(' ', parts).Replace(" ,", ",", StringComparison.Ordinal);
    }

    /// <summary>
    /// A phrase up to a comma, a quotation, one of the words given, or a change such as "at 38", "up 2", "in 2", "over 3": the small words
    /// alone belong to the phrase ("sit up", "hips over").
    /// </summary>
    public string TakePhrase(params ReadOnlySpan<string> stopWords)
    {
        var parts = new List<string>();
        while (!AtEnd && !Here.Quoted && Here.Text != ",")
        {
            bool change = Here.Low is "in" or "over" or "at" or "up" or "down" or "to" && Number(Ahead(1)) is not null;
            if (change || stopWords.Contains(Here.Low))
            {
                break;
            }

            parts.Add(Take().Text);
        }

        return string.Join(' ', parts);
    }

    /// <summary>Splits a line into words; a comma and a colon that is not inside a time are words of their own.</summary>
    /// <returns>False, with the column of the opening mark, where a quotation is not closed.</returns>
    public static bool Split(string line, int offset, List<PlanToken> into, out int openQuote)
    {
        openQuote = 0;
        int i = 0;
        while (i < line.Length)
        {
            char c = line[i];
            if (char.IsWhiteSpace(c))
            {
                i++;
                continue;
            }

            if (c is '"' or '\u201c' or '\u201d')
            {
                int end = i + 1;
                while (end < line.Length && line[end] is not ('"' or '\u201c' or '\u201d'))
                {
                    end++;
                }

                if (end >= line.Length)
                {
                    openQuote = offset + i + 1;
                    return false;
                }

                into.Add(new PlanToken(line[(i + 1)..end], offset + i + 1, true));
                i = end + 1;
                continue;
            }

            if (c is ',' or ';')
            {
                into.Add(new PlanToken(",", offset + i + 1, false));
                i++;
                continue;
            }

            if (c == ':' && !InsideTime(line, i))
            {
                into.Add(new PlanToken(":", offset + i + 1, false));
                i++;
                continue;
            }

            int stop = i;
            while (stop < line.Length && !char.IsWhiteSpace(line[stop]) && line[stop] is not (',' or ';' or '"' or '\u201c' or '\u201d')
                   && !(line[stop] == ':' && !InsideTime(line, stop)))
            {
                stop++;
            }

            AddWord(line[i..stop], offset + i + 1, into);
            i = stop;
        }

        return true;
    }

    private static bool InsideTime(string line, int colon) =>
        colon > 0 && char.IsAsciiDigit(line[colon - 1]) && colon + 1 < line.Length && char.IsAsciiDigit(line[colon + 1]);

    /// <summary>"500m" and "45s" and "8%" are a number and its unit.</summary>
    private static void AddWord(string word, int column, List<PlanToken> into)
    {
        int digits = 0;
        while (digits < word.Length && (char.IsAsciiDigit(word[digits]) || word[digits] is '.' or '+' or '-'))
        {
            digits++;
        }

        string tail = word[digits..].ToLowerInvariant();
        if (digits > 0 && char.IsAsciiDigit(word[digits - 1]) && tail is "m" or "s" or "%" or "km" or "c" or "f" or "m/s" or "km/h" or "mph" or "spm" or "kn" or "w" or "kj" or "min")
        {
            into.Add(new PlanToken(word[..digits], column, false));
            into.Add(new PlanToken(word[digits..], column + digits, false));
            return;
        }

        into.Add(new PlanToken(word, column, false));
    }
}
