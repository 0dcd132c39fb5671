namespace Stakeboat.Core.Calls.Words;

/// <summary>What kind of number a run of words may be.</summary>
public enum NumberKind
{
    /// <summary>A cardinal with or without a fraction: "four", "thirty six and a half", "fifteen hundred".</summary>
    Plain,

    /// <summary>Hundreds left out: "two fifty" is 250, "twelve fifty" 1250.</summary>
    Brief,

    /// <summary>Digits one by one: "three six" is 36.</summary>
    Digits,

    /// <summary>Less than one: "half", "three quarters".</summary>
    Fraction,

    /// <summary>Minutes and seconds: "one thirty nine", "two oh one point five"; in seconds.</summary>
    Clock,

    /// <summary>Two neighbours: "three four" is 3.5.</summary>
    Range,
}

/// <summary>Reads numbers in all their spoken forms.</summary>
public static class SpokenNumbers
{
    /// <summary>Longest run of words that is one number.</summary>
    public const int Longest = 8;

    private static readonly Dictionary<string, int> Units = new(StringComparer.Ordinal)
    {
        ["zero"] = 0, ["oh"] = 0, ["nought"] = 0, ["one"] = 1, ["two"] = 2, ["three"] = 3, ["four"] = 4, ["five"] = 5, ["six"] = 6, ["seven"] = 7,
        ["eight"] = 8, ["nine"] = 9,
    };

    private static readonly Dictionary<string, int> Teens = new(StringComparer.Ordinal)
    {
        ["ten"] = 10, ["eleven"] = 11, ["twelve"] = 12, ["thirteen"] = 13, ["fourteen"] = 14, ["fifteen"] = 15, ["sixteen"] = 16,
        ["seventeen"] = 17, ["eighteen"] = 18, ["nineteen"] = 19,
    };

    private static readonly Dictionary<string, int> Tens = new(StringComparer.Ordinal)
    {
        ["twenty"] = 20, ["thirty"] = 30, ["forty"] = 40, ["fourty"] = 40, ["fifty"] = 50, ["sixty"] = 60, ["seventy"] = 70, ["eighty"] = 80, ["ninety"] = 90,
    };

    private static readonly HashSet<string> Others = new(StringComparer.Ordinal)
    {
        "hundred", "thousand", "k", "and", "a", "half", "quarter", "quarters", "third", "thirds", "point", "flat", "couple", "of", "eighth", "fifth", "or", "an", "hundreds",
    };

    /// <summary>The word may stand inside a number.</summary>
    public static bool Belongs(string word) => Units.ContainsKey(word) || Teens.ContainsKey(word) || Tens.ContainsKey(word) || Others.Contains(word);

    /// <summary>The word may begin a number.</summary>
    public static bool Begins(string word) =>
        Units.ContainsKey(word) || Teens.ContainsKey(word) || Tens.ContainsKey(word) || word is "a" or "half" or "quarter" or "third" or "hundred" or "thousand" or "couple" or "k" or "point" or "an";

    /// <summary>All readings of the whole run of words.</summary>
    public static List<(NumberKind Kind, double Value)> Read(IReadOnlyList<string> w)
    {
        ArgumentNullException.ThrowIfNull(w);
        var found = new List<(NumberKind, double)>();
        int at = 0;
        if (Fraction(w, ref at) is { } f && at == w.Count)
        {
            found.Add((NumberKind.Fraction, f));
            return found;
        }

        at = 0;
        if (Cardinal(w, ref at) is { } n)
        {
            if (at == w.Count)
            {
                found.Add((NumberKind.Plain, n));
            }
            else if (Tail(w, at, n) is { } withTail)
            {
                found.Add((NumberKind.Plain, withTail));
            }
        }

        if (w.Count == 2 && Units.TryGetValue(w[0], out int d1) && Units.TryGetValue(w[1], out int d2))
        {
            if (d1 is >= 1 and <= 4)
            {
                found.Add((NumberKind.Digits, (10 * d1) + d2));
            }

            if (d2 == d1 + 1 && d1 > 0)
            {
                found.Add((NumberKind.Range, d1 + 0.5));
            }
        }

        if (w.Count == 3 && w[1] == "or" && Units.TryGetValue(w[0], out d1) && Units.TryGetValue(w[2], out d2) && d2 == d1 + 1)
        {
            found.Add((NumberKind.Range, d1 + 0.5));
        }

        // "two fifty", "twelve fifty", "one forty", "seven oh five" as metres.
        at = 0;
        if (Below100(w, ref at) is { } hundreds and >= 1 and <= 30 && at < w.Count)
        {
            int second = at;
            if (Below100(w, ref second) is { } rest and >= 10 && second == w.Count)
            {
                found.Add((NumberKind.Brief, (hundreds * 100) + rest));
            }
        }

        Clock(w, found);
        return found;
    }

    private static void Clock(IReadOnlyList<string> w, List<(NumberKind, double)> found)
    {
        int at = 0;
        if (Units.TryGetValue(w[0], out int minutes) && minutes is >= 1 and <= 9 && w.Count > 1)
        {
            at = 1;
            int? seconds = null;
            if (w[1] is "oh" or "zero" && w.Count > 2 && Units.TryGetValue(w[2], out int s))
            {
                (seconds, at) = (s, 3);
            }
            else if (Below100(w, ref at) is { } two and >= 10 and < 60)
            {
                seconds = two;
            }
            else if (w[1] == "flat")
            {
                (seconds, at) = (0, 1);
            }

            if (seconds is { } sec && Rest(w, at) is { } tail)
            {
                found.Add((NumberKind.Clock, (60 * minutes) + sec + tail));
            }
        }

        at = 0;
        if (Below100(w, ref at) is { } alone and >= 20 and < 60 && at < w.Count && w[^1] == "flat" && at == w.Count - 1)
        {
            found.Add((NumberKind.Clock, 60 + alone));
        }
    }

    /// <summary>What may follow the seconds: nothing, "flat", "point four", "and a half", a bare tenth.</summary>
    private static double? Rest(IReadOnlyList<string> w, int at)
    {
        int left = w.Count - at;
        if (left == 0 || (left == 1 && w[at] == "flat"))
        {
            return 0;
        }

        if (left == 2 && w[at] == "point" && Units.TryGetValue(w[at + 1], out int tenth))
        {
            return tenth / 10.0;
        }

        if (left == 1 && Units.TryGetValue(w[at], out tenth))
        {
            return tenth / 10.0;
        }

        return left == 3 && w[at] == "and" && w[at + 1] == "a" && w[at + 2] == "half" ? 0.5 : null;
    }

    private static double? Tail(IReadOnlyList<string> w, int at, double n)
    {
        int left = w.Count - at;
        if (w[at] == "point" && left is 2 or 3 && Units.TryGetValue(w[at + 1], out int tenth))
        {
            return left == 2 ? n + (tenth / 10.0) : Units.TryGetValue(w[at + 2], out int hundredth) ? n + (tenth / 10.0) + (hundredth / 100.0) : null;
        }

        if (w[at] == "and" && left >= 2)
        {
            int k = at + 1;
            if (Fraction(w, ref k) is { } f && k == w.Count)
            {
                return n >= 1000 && n % 1000 == 0 && n < 10000 ? n + (f * 1000) : n + f;
            }
        }

        return left == 1 && n is >= 20 and < 50 && n == Math.Floor(n) && w[at] == "five" && n % 10 != 0 ? n + 0.5 : null;
    }

    private static double? Fraction(IReadOnlyList<string> w, ref int at)
    {
        int k = at;
        string Word(int i) => i < w.Count ? w[i] : "";
        (int Used, double Value)? hit = (Word(k), Word(k + 1), Word(k + 2)) switch
        {
            ("a", "half", _) or ("one", "half", _) or ("half", "a", _) => (2, 0.5),
            ("half", _, _) => (1, 0.5),
            ("a", "quarter", _) or ("one", "quarter", _) => (2, 0.25),
            ("quarter", "of", "a") => (3, 0.25),
            ("quarter", _, _) => (1, 0.25),
            ("three", "quarters" or "quarter", "of") when Word(k + 3) == "a" => (4, 0.75),
            ("three", "quarters" or "quarter", _) => (2, 0.75),
            ("a", "third", _) or ("one", "third", _) => (2, 1 / 3.0),
            ("third", _, _) => (1, 1 / 3.0),
            ("two", "thirds", _) => (2, 2 / 3.0),
            ("an", "eighth", _) or ("one", "eighth", _) => (2, 0.125),
            ("a", "fifth", _) or ("one", "fifth", _) => (2, 0.2),
            ("point", var d, _) when Units.TryGetValue(d, out int tenth) => (2, tenth / 10.0),
            _ => null,
        };
        if (hit is not { } h)
        {
            return null;
        }

        at = k + h.Used;
        return h.Value;
    }

    private static int? Below100(IReadOnlyList<string> w, ref int at)
    {
        if (at >= w.Count)
        {
            return null;
        }

        if (Tens.TryGetValue(w[at], out int tens))
        {
            at++;
            if (at < w.Count && Units.TryGetValue(w[at], out int unit) && unit > 0)
            {
                at++;
                return tens + unit;
            }

            return tens;
        }

        if (Teens.TryGetValue(w[at], out int teen) || Units.TryGetValue(w[at], out teen))
        {
            at++;
            return teen;
        }

        return null;
    }

    private static double? Cardinal(IReadOnlyList<string> w, ref int at)
    {
        int start = at;
        double total = 0;
        bool any = false;
        if (w[at] == "couple" || (w[at] == "a" && at + 1 < w.Count && w[at + 1] == "couple"))
        {
            at += w[at] == "a" ? 2 : 1;
            if (at < w.Count && w[at] == "of")
            {
                at++;
            }

            return 2;
        }

        for (int part = 0; part < 3 && at < w.Count; part++)
        {
            int k = at;
            if (any && w[k] == "and")
            {
                k++;
            }

            if (k >= w.Count)
            {
                break;
            }

            int? lead = w[k] is "hundred" or "thousand" or "k" ? 1 : w[k] == "a" && k + 1 < w.Count && w[k + 1] is "hundred" or "thousand" or "k" ? Skip(ref k) : Below100(w, ref k);
            if (lead is not { } n)
            {
                break;
            }

            if (k < w.Count && w[k] == "hundred")
            {
                (total, any, at) = (total + (n * 100.0), true, k + 1);
                if (at < w.Count && w[at] == "thousand")
                {
                    (total, at) = (total * 1000, at + 1);
                }
            }
            else if (k < w.Count && w[k] is "thousand" or "k" && part == 0)
            {
                (total, any, at) = (n * 1000.0, true, k + 1);
            }
            else
            {
                if (any && total < 100)
                {
                    break;
                }

                (total, any, at) = (total + n, true, k);
                break;
            }
        }

        if (!any)
        {
            at = start;
        }

        return any ? total : null;
    }

    private static int Skip(ref int k)
    {
        k++;
        return 1;
    }
}
