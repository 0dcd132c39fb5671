using System.Globalization;

namespace Stakeboat.Core.Calls.Words;

/// <summary>How figures in captions may have been spoken: "250" is "two fifty" or "two hundred and fifty", "1:40" is "one forty".</summary>
public static class DigitReadings
{
    private static readonly string[] Small =
    [
        "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen",
        "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
    ];

    private static readonly string[] Tens = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];

    /// <summary>Word sequences for a token with figures, likeliest first; empty where it holds none that can be read.</summary>
    public static IReadOnlyList<string[]> Of(string token)
    {
        ArgumentNullException.ThrowIfNull(token);
        var found = new List<string[]>();
        string t = token;
        if (t.Length == 0 || !char.IsAsciiDigit(t[0]))
        {
            return found;
        }

        string tail = "";
        int end = 0;
        while (end < t.Length && (char.IsAsciiDigit(t[end]) || t[end] is ':' or '.'))
        {
            end++;
        }

        string rest = t[end..];
        t = t[..end].TrimEnd(':', '.');
        if (rest is "m" or "meters" or "metres")
        {
            tail = "metres";
        }
        else if (rest is "k")
        {
            tail = "thousand";
        }
        else if (rest is "s" or "'s" or "th" or "st" or "nd" or "rd")
        {
            tail = "";
        }
        else if (rest is "c")
        {
            tail = "seat";
        }
        else if (rest.Length > 0)
        {
            return found;
        }

        void Add(List<string> words)
        {
            if (tail.Length > 0)
            {
                words.Add(tail);
            }

            found.Add([.. words]);
        }

        int colon = t.IndexOf(':', StringComparison.Ordinal);
        if (colon > 0 && int.TryParse(t.AsSpan(0, colon), NumberStyles.None, CultureInfo.InvariantCulture, out int minutes) && minutes < 100)
        {
            string after = t[(colon + 1)..];
            int point = after.IndexOf('.', StringComparison.Ordinal);
            string whole = point < 0 ? after : after[..point];
            if (whole.Length is 1 or 2 && int.TryParse(whole, NumberStyles.None, CultureInfo.InvariantCulture, out int seconds))
            {
                var words = new List<string>();
                words.AddRange(Cardinal(minutes));
                if (seconds < 10)
                {
                    words.Add("oh");
                }

                words.AddRange(Cardinal(seconds));
                if (point >= 0 && point + 1 < after.Length && char.IsAsciiDigit(after[point + 1]))
                {
                    words.Add("point");
                    words.Add(Small[after[point + 1] - '0']);
                }

                Add(words);
            }

            return found;
        }

        int dot = t.IndexOf('.', StringComparison.Ordinal);
        if (dot > 0 && int.TryParse(t.AsSpan(0, dot), NumberStyles.None, CultureInfo.InvariantCulture, out int before) && before < 10000)
        {
            var words = new List<string>(Cardinal(before)) { "point" };
            foreach (char c in t.AsSpan(dot + 1))
            {
                if (char.IsAsciiDigit(c) && words.Count < 8)
                {
                    words.Add(Small[c - '0']);
                }
            }

            Add(words);
            return found;
        }

        if (t.Length <= 5 && int.TryParse(t, NumberStyles.None, CultureInfo.InvariantCulture, out int n))
        {
            if (n is >= 100 and < 10000 && n % 100 != 0)
            {
                // "250", "143", "1250": the short way first.
                var brief = new List<string>(Cardinal(n / 100));
                if (n % 100 < 10)
                {
                    brief.Add("oh");
                }

                brief.AddRange(Cardinal(n % 100));
                Add(brief);
            }

            if (n is >= 1100 and < 10000 && n % 100 == 0 && n % 1000 != 0)
            {
                Add([.. Cardinal(n / 100), "hundred"]);
            }

            Add([.. Cardinal(n)]);
            if (n is >= 21 and < 100 && n % 10 != 0)
            {
                Add([Small[n / 10], Small[n % 10]]); // "36" for "three six"
            }
        }

        return found;
    }

    /// <summary>The plain cardinal, 0 to 99 999, with "and" left out.</summary>
    public static IReadOnlyList<string> Cardinal(int n)
    {
        var words = new List<string>();
        if (n >= 1000)
        {
            words.AddRange(Cardinal(n / 1000));
            words.Add("thousand");
            n %= 1000;
            if (n == 0)
            {
                return words;
            }
        }

        if (n >= 100)
        {
            words.Add(Small[n / 100]);
            words.Add("hundred");
            n %= 100;
            if (n == 0)
            {
                return words;
            }
        }

        if (n < 20)
        {
            words.Add(Small[n]);
        }
        else
        {
            words.Add(Tens[n / 10]);
            if (n % 10 != 0)
            {
                words.Add(Small[n % 10]);
            }
        }

        return words;
    }
}
