using System.Globalization;

namespace Stakeboat.Core.Calls.Learned;

/// <summary>How a stretch of number words was read.</summary>
internal enum NumberKind { Plain, Pair, Elided, Clock, Fraction, Mixed }

/// <summary>One reading of a stretch of number words; SoundsLike: some word only sounds like a number.</summary>
internal readonly record struct NumberSpan(int Start, int End, double Value, NumberKind Kind, bool SoundsLike);

/// <summary>A word as a number: its kind (u unit, e teen, t tens, h hundred, k thousand, f fraction, d digits, c clock, x decimal, s special, + and) or '\0'.</summary>
internal readonly record struct NumberAtom(char Kind, double Value, bool SoundsLike);

/// <summary>Every reading of the number words of a line: candidates for what a call's value may be. The net chooses among them.</summary>
internal static class SpokenNumbers
{
    public const int FeatureCount = 36;
    private const string Kinds = "uethkfdcxs";

    private static readonly Dictionary<string, NumberAtom> Words = Build();

    private static Dictionary<string, NumberAtom> Build()
    {
        var d = new Dictionary<string, NumberAtom>(StringComparer.Ordinal);
        void Add(char kind, bool sounds, params (string Word, double Value)[] list)
        {
            foreach (var (w, v) in list)
            {
                d[w] = new NumberAtom(kind, v, sounds);
            }
        }

        Add('u', true, ("to", 2), ("too", 2), ("for", 4), ("fore", 4), ("won", 1), ("tree", 3), ("free", 3), ("threw", 3), ("ate", 8), ("hate", 8), ("sex", 6),
            ("sick", 6), ("sicks", 6), ("sticks", 6), ("fife", 5), ("fine", 5), ("heaven", 7), ("line", 9), ("nein", 9), ("floor", 4));
        Add('e', true, ("then", 10), ("tan", 10), ("tin", 10));
        Add('t', true, ("plenty", 20), ("dirty", 30), ("fitty", 50));
        Add('u', false, ("zero", 0), ("oh", 0), ("one", 1), ("two", 2), ("three", 3), ("four", 4), ("five", 5), ("six", 6), ("seven", 7), ("eight", 8), ("nine", 9));
        Add('e', false, ("ten", 10), ("eleven", 11), ("twelve", 12), ("thirteen", 13), ("fourteen", 14), ("fifteen", 15), ("sixteen", 16), ("seventeen", 17),
            ("eighteen", 18), ("nineteen", 19));
        Add('t', false, ("twenty", 20), ("thirty", 30), ("forty", 40), ("fourty", 40), ("fifty", 50), ("sixty", 60), ("seventy", 70), ("eighty", 80), ("ninety", 90));
        Add('h', false, ("hundred", 100), ("hundreds", 100));
        Add('k', false, ("thousand", 1000));
        Add('f', false, ("half", .5), ("quarter", .25), ("third", .33), ("quarters", .25), ("thirds", .33));
        Add('f', true, ("have", .5));
        Add('s', false, ("couple", 2), ("dozen", 12));
        return d;
    }

    public static NumberAtom Atom(string w)
    {
        if (w.EndsWith("'s", StringComparison.Ordinal))
        {
            w = w[..^2];
        }

        if (Words.TryGetValue(w, out var a))
        {
            return a;
        }

        return w.Length > 0 && char.IsAsciiDigit(w[0]) ? Digits(w) : default;
    }

    private static NumberAtom Digits(string w)
    {
        var mark = w.AsSpan().IndexOfAnyExceptInRange('0', '9');
        if (mark < 0)
        {
            return w.Length <= 5 ? new NumberAtom('d', Parse(w), false) : default;
        }

        var head = w[..mark];
        var tail = w[(mark + 1)..];
        if (tail.Length == 0 || tail.AsSpan().IndexOfAnyExceptInRange('0', '9') >= 0)
        {
            return default;
        }

        switch (w[mark])
        {
            case '.' when head.Length <= 3 && tail.Length <= 2:
                return new NumberAtom('x', Parse(head) + (Parse(tail) / (tail.Length == 1 ? 10 : 100)), false);
            case ':' when head.Length <= 2 && tail.Length == 2:
                return new NumberAtom('c', (Parse(head) * 60) + Parse(tail), false);
            case '/' when head.Length == 1 && tail.Length == 1 && tail != "0":
                var v = Parse(head) / Parse(tail);
                return new NumberAtom('f', Math.Abs(v - (1.0 / 3)) < .01 ? .33 : Math.Abs(v - (2.0 / 3)) < .01 ? .67 : v, false);
            default:
                return default;
        }
    }

    private static double Parse(string digits) => int.Parse(digits, CultureInfo.InvariantCulture);

    /// <summary>One-hots: kind (10), sounds like (1), units (10), tens (11), size of digits (4); written at <paramref name="f"/>.</summary>
    public static void Features(string w, Span<float> f)
    {
        f[..FeatureCount].Clear();
        var a = Atom(w);
        if (a.Kind == '\0')
        {
            return;
        }

        f[Kinds.IndexOf(a.Kind, StringComparison.Ordinal)] = 1;
        if (a.SoundsLike)
        {
            f[10] = 1;
        }

        var v = (int)a.Value;
        if (a.Kind is 'u' or 'e' or 't' or 'd' && a.Value < 100)
        {
            f[11 + (v % 10)] = 1;
            f[21 + (v / 10)] = 1;
        }
        else if (a.Kind is 'u' or 'e' or 't' or 'd' or 'c')
        {
            f[31] = 1;
        }

        if (a.Kind is 'd' or 'x')
        {
            f[a.Value < 16 ? 32 : a.Value <= 50 ? 33 : a.Value < 100 ? 34 : 35] = 1;
        }
    }

    /// <summary>All readings in order of their first word.</summary>
    public static List<NumberSpan> Spans(string[] words)
    {
        var n = words.Length;
        var a = new NumberAtom[n];
        for (var i = 0; i < n; i++)
        {
            a[i] = Atom(words[i]);
            if (a[i].Kind == '\0' && words[i] is "and" or "in" or "point" or "&")
            {
                a[i] = new NumberAtom('+', 0, false);
            }
        }

        var spans = new List<NumberSpan>();
        for (var i = 0; i < n; i++)
        {
            if (a[i].Kind is '\0' or '+')
            {
                continue;
            }

            if (a[i].Kind == 'f')
            {
                spans.Add(new NumberSpan(i, i, a[i].Value, NumberKind.Fraction, a[i].SoundsLike));
                continue;
            }

            ReadFrom(words, a, i, spans);
        }

        return spans;
    }

    private static void ReadFrom(string[] words, NumberAtom[] a, int i, List<NumberSpan> spans)
    {
        var kind = a[i].Kind;
        var first = spans.Count;
        var (end, value, sounds) = Cardinal(a, i);
        spans.Add(new NumberSpan(i, end, value, kind == 'c' ? NumberKind.Clock : kind == 'x' ? NumberKind.Mixed : NumberKind.Plain, sounds));
        if (kind == 't' && end > i)
        {
            spans.Add(new NumberSpan(i, i, a[i].Value, NumberKind.Plain, a[i].SoundsLike));
        }

        var own = a[i].Value;
        if (kind is 'u' or 'e' or 'd' && own < 100 && i + 1 < a.Length)
        {
            Joined(a, i, own, sounds, spans);
        }

        if (kind == 'd' && own is >= 100 and < 1000 && own % 100 < 60)
        {
            spans.Add(new NumberSpan(i, i, (Math.Floor(own / 100) * 60) + (own % 100), NumberKind.Clock, sounds));
        }

        for (var k = first; k < spans.Count; k++)
        {
            Tail(words, a, kind, spans[k], spans);
        }
    }

    private static bool Digit(NumberAtom a) => a.Kind is 'u' or 'd' && a.Value < 10;

    private static void Joined(NumberAtom[] a, int i, double v, bool sounds, List<NumberSpan> spans)
    {
        var n = a.Length;
        var (k2, v2, s2) = a[i + 1];
        if (a[i].Kind is 'u' or 'd' && v < 10 && Digit(a[i + 1]))
        {
            if (v is >= 1 and <= 5)
            {
                spans.Add(new NumberSpan(i, i + 1, (v * 10) + v2, NumberKind.Pair, sounds || s2));
            }

            if (v2 == 0 && i + 2 < n && Digit(a[i + 2]))
            {
                spans.Add(new NumberSpan(i, i + 2, (v * 60) + a[i + 2].Value, NumberKind.Clock, sounds || s2));
            }

            if (i + 2 < n && Digit(a[i + 2]) && v2 < 6)
            {
                spans.Add(new NumberSpan(i, i + 2, (v * 60) + (v2 * 10) + a[i + 2].Value, NumberKind.Clock, sounds || s2 || a[i + 2].SoundsLike));
            }
        }

        if (v is >= 1 and < 21 && (k2 is 't' or 'e' || (k2 == 'd' && v2 is >= 10 and < 100)))
        {
            var (end, value, _) = Cardinal(a, i + 1);
            if (value < 100)
            {
                spans.Add(new NumberSpan(i, end, (v * 100) + value, NumberKind.Elided, sounds || s2));
                if (v < 10 && value < 60)
                {
                    spans.Add(new NumberSpan(i, end, (v * 60) + value, NumberKind.Clock, sounds || s2));
                }
            }
        }
    }

    private static void Tail(string[] words, NumberAtom[] a, char kind, NumberSpan span, List<NumberSpan> spans)
    {
        var j = span.End + 1;
        if (j >= a.Length || span.Kind is not (NumberKind.Plain or NumberKind.Pair or NumberKind.Clock) || (span.Kind == NumberKind.Plain && kind == 'h'))
        {
            return;
        }

        if (a[j].Kind == 'f' && span.Kind == NumberKind.Plain && words[j].EndsWith('s'))
        {
            spans.Add(new NumberSpan(span.Start, j, span.Value == 2 && a[j].Value == .33 ? .67 : Math.Round(span.Value * a[j].Value, 2), NumberKind.Fraction, span.SoundsLike));
        }

        if (words[j] is "and" or "in" or "end" or "an" or "point" or "+")
        {
            AndPart(words, a, j, span, spans);
        }
        else if (a[j].Kind == 'f' && a[j].Value == .5)
        {
            spans.Add(new NumberSpan(span.Start, j, span.Value + .5, NumberKind.Mixed, span.SoundsLike));
        }
        else if (words[j] == "flat")
        {
            spans.Add(span with { End = j });
        }
    }

    private static void AndPart(string[] words, NumberAtom[] a, int j, NumberSpan span, List<NumberSpan> spans)
    {
        var k = j + 1;
        if (k < a.Length && words[k] is "a" or "ah" or "the" or "of")
        {
            k++;
        }

        if (k >= a.Length)
        {
            return;
        }

        if (a[k].Kind == 'f')
        {
            spans.Add(new NumberSpan(span.Start, k, span.Value + a[k].Value, NumberKind.Mixed, span.SoundsLike));
        }
        else if (words[k] is "bit" or "change" or "bits")
        {
            spans.Add(new NumberSpan(span.Start, k, span.Value + .25, NumberKind.Mixed, span.SoundsLike));
        }
        else if (words[j] == "point" && Digit(a[k]))
        {
            spans.Add(new NumberSpan(span.Start, k, span.Value + (a[k].Value / 10), NumberKind.Mixed, span.SoundsLike));
        }
        else if (k + 1 < a.Length && a[k].Kind is 'u' or 'd' && a[k].Value is 2 or 3 && k + 1 < a.Length && a[k + 1].Kind == 'f')
        {
            var part = a[k + 1].Value == .33 ? .67 : a[k].Value * a[k + 1].Value;
            spans.Add(new NumberSpan(span.Start, k + 1, span.Value + part, NumberKind.Mixed, span.SoundsLike));
        }
    }

    /// <summary>The longest plain number that starts at i.</summary>
    private static (int End, double Value, bool SoundsLike) Cardinal(NumberAtom[] a, int i)
    {
        var n = a.Length;
        var (kind, v, sounds) = a[i];
        var end = i;
        var value = v;
        switch (kind)
        {
            case 't':
                if (i + 1 < n && a[i + 1].Kind is 'u' or 'd' && a[i + 1].Value is >= 1 and <= 9)
                {
                    end = i + 1;
                    value = v + a[i + 1].Value;
                    sounds |= a[i + 1].SoundsLike;
                }

                break;
            case 'x' or 'c' or 's':
                return (i, v, sounds);
            case 'h':
                end = i - 1;
                value = 1;
                break;
            case 'k':
                return (i, 1000, sounds);
        }

        if (value is >= 1 and < 100 && end + 1 < n && a[end + 1].Kind == 'h')
        {
            end++;
            value *= 100;
            var j = end + 1;
            if (j + 1 < n && a[j].Kind == '+' && a[j + 1].Kind is 't' or 'e' or 'u')
            {
                j = j + 1 < n && a[j].Kind == '+' ? j + 1 : j;
            }

            if (j < n && a[j].Kind is 't' or 'e' or 'u' && !a[j].SoundsLike)
            {
                value += a[j].Value;
                end = j;
                if (a[j].Kind == 't' && j + 1 < n && a[j + 1].Kind == 'u' && a[j + 1].Value is >= 1 and <= 9 && !a[j + 1].SoundsLike)
                {
                    value += a[j + 1].Value;
                    end = j + 1;
                }
            }
        }
        else if (value < 100 && end + 1 < n && a[end + 1].Kind == 'k')
        {
            end++;
            value = Math.Max(value, 1) * 1000;
        }

        return (end, value, sounds);
    }
}
