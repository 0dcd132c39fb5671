using System.Globalization;
using Stakeboat.Core.Boats;

namespace Stakeboat.Readers.Sheets;

/// <summary>
/// Gaps as judges and newspapers put them: "three-quarters of a length", "1 1/4 l", "canvas", "2 ft", "easily". Lengths of the hull, or metres; words that
/// say no more than "far" have no size.
/// </summary>
/// <param name="Lengths">Hull lengths; null where the verdict is not in lengths.</param>
/// <param name="Metres">Metres ("3 feet"); null where not given so.</param>
/// <param name="Seconds">Seconds ("2.4 s"); null where not given so.</param>
/// <param name="OpenEnded">"easily", "not rowed out", "distance": behind by more than can be told.</param>
public readonly record struct Verdict(double? Lengths, double? Metres, double? Seconds, bool OpenEnded)
{
    /// <summary>Metres for a hull; null where the verdict has no length.</summary>
    public double? MetresOf(HullGeometry hull)
    {
        ArgumentNullException.ThrowIfNull(hull);
        return Metres ?? Lengths * hull.Length.Metres;
    }
}

/// <summary>Reads verdicts in words.</summary>
public static class Verdicts
{
    // A canvas is about a quarter of an eight's hull. Feet and small words: common practice, no source.
    private const double CanvasLengths = 0.25;
    private const double BowBallMetres = 0.05;

    private static readonly Dictionary<string, double> s_numbers = new(StringComparer.Ordinal)
    {
        ["a"] = 1, ["an"] = 1, ["one"] = 1, ["two"] = 2, ["three"] = 3, ["four"] = 4, ["five"] = 5, ["six"] = 6, ["seven"] = 7, ["eight"] = 8,
        ["nine"] = 9, ["ten"] = 10, ["half"] = 0.5, ["third"] = 1 / 3.0, ["quarter"] = 0.25, ["quarters"] = 0.25, ["thirds"] = 1 / 3.0,
        ["½"] = 0.5, ["¼"] = 0.25, ["¾"] = 0.75, ["⅓"] = 1 / 3.0, ["⅔"] = 2 / 3.0,
    };

    /// <summary>False where the text is no verdict.</summary>
    public static bool TryRead(string? text, out Verdict verdict)
    {
        verdict = default;
        if (string.IsNullOrWhiteSpace(text) || text.Length > 80)
        {
            return false;
        }

        string t = text.Trim().TrimEnd('.').ToLowerInvariant().Replace('-', ' ');
        switch (t)
        {
            case "easily" or "easy" or "distance" or "a distance" or "not rowed out" or "nro" or "disqualified" or "dsq" or "dns" or "dnf" or "row over" or "rowed over":
                verdict = new Verdict(null, null, null, true);
                return true;
            case "canvas" or "a canvas" or "cvs" or "deck" or "a deck":
                verdict = new Verdict(CanvasLengths, null, null, false);
                return true;
            case "bow ball" or "a bow ball" or "bowball" or "nose" or "a nose":
                verdict = new Verdict(null, BowBallMetres, null, false);
                return true;
            case "dead heat" or "dh" or "level":
                verdict = new Verdict(0, null, null, false);
                return true;
        }

        var words = new List<string>();
        foreach (string w in t.Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            Split(w, words);
        }

        string unit = words.Count > 0 ? words[^1] : "";
        double? n = Amount(words.Take(words.Count - 1));
        verdict = unit switch
        {
            "length" or "lengths" or "l" or "len" or "lgth" or "lgths" when n is not null => new Verdict(n, null, null, false),
            "canvas" or "canvases" when n is not null => new Verdict(n * CanvasLengths, null, null, false),
            "feet" or "foot" or "ft" when n is not null => new Verdict(null, n * 0.3048, null, false),
            "m" or "metres" or "meters" or "metre" when n is not null => new Verdict(null, n, null, false),
            "s" or "sec" or "secs" or "seconds" or "second" when n is not null => new Verdict(null, null, n, false),
            _ => default,
        };
        return verdict != default || (n == 0 && unit.StartsWith('l'));
    }

    // "1¾", "2l" and "3/4" come apart into words.
    private static void Split(string w, List<string> words)
    {
        int from = 0;
        for (int i = 1; i <= w.Length; i++)
        {
            if (i == w.Length || Class(w[i]) != Class(w[i - 1]))
            {
                words.Add(w[from..i]);
                from = i;
            }
        }

        static int Class(char c) => c is '½' or '¼' or '¾' or '⅓' or '⅔' ? 2 : char.IsAsciiDigit(c) || c is '.' or ',' or '/' ? 1 : 0;
    }

    // "three quarters of a", "one and a half", "1 3/4".
    private static double? Amount(IEnumerable<string> words)
    {
        double total = 0, pending = 0;
        bool any = false, open = false;
        foreach (string w in words)
        {
            if (w is "of" or "by")
            {
                if (open)
                {
                    total += pending;
                    (pending, open) = (0, false);
                }

                any = any || total > 0;
                continue;
            }

            if (w == "and")
            {
                total += open ? pending : 0;
                (pending, open) = (0, false);
                continue;
            }

            if (Fraction(w) is not { } v)
            {
                return null;
            }

            bool part = w is "half" or "quarter" or "quarters" or "third" or "thirds";
            if (part && open)
            {
                pending *= v; // "three quarters", "a half"
            }
            else if ((w is "a" or "an") && any && total > 0 && !open)
            {
                continue; // "half of a"
            }
            else if ((w is "a" or "an") && open)
            {
                continue; // "half a"
            }
            else
            {
                total += open ? pending : 0;
                pending = v;
                open = true;
            }

            any = true;
        }

        return any ? total + (open ? pending : 0) : null;
    }

    private static double? Fraction(string w)
    {
        if (s_numbers.TryGetValue(w, out double v))
        {
            return v;
        }

        int slash = w.IndexOf('/', StringComparison.Ordinal);
        if (slash > 0 && Plain(w[..slash]) is { } a && Plain(w[(slash + 1)..]) is { } b && b > 0)
        {
            return a / b;
        }

        return Plain(w);
    }

    private static double? Plain(string w) =>
        w.Length < 9 && double.TryParse(w.Replace(',', '.'), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double d) ? d : null;
}
