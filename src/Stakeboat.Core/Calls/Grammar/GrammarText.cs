namespace Stakeboat.Core.Calls.Grammar;

/// <summary>A part of a pattern.</summary>
internal abstract record Part;

internal sealed record WordPart(string Word) : Part;

/// <summary>#kind:slot takes a number, @ takes a crew, ~ takes a person's name, _ any word.</summary>
internal sealed record TakePart(char What, string Kind, string Slot) : Part;

internal sealed record SetPart(string Slot, string Value) : Part;

internal sealed record SeriesPart(IReadOnlyList<Part> Parts) : Part;

internal sealed record ChoicePart(IReadOnlyList<Part> Parts) : Part;

/// <summary>A top-level pattern: what it makes, its weight and its form.</summary>
internal sealed record Rule(string Makes, double Weight, Part Form, int Line, string Id)
{
    /// <summary>The id as a part of names of evidence.</summary>
    public Context.Piece Name { get; } = Context.Piece.Of(Id);
}

/// <summary>
/// Reads a grammar: "def name = form" names a form, "type [weight] = form" is a pattern that makes a call. Forms: words, (a | b), [optional],
/// &lt;name&gt;, {slot=value}, #kind:slot, @ and ~. A line that begins with a blank goes on with the line before; # at its start is a remark.
/// </summary>
internal sealed class GrammarText
{
    private readonly Dictionary<string, Part> _defs = new(StringComparer.Ordinal);
    private readonly Dictionary<string, int> _made = new(StringComparer.Ordinal);
    private string _text = "";
    private int _at, _line;

    public List<Rule> Rules { get; } = [];

    public HashSet<string> Words { get; } = new(StringComparer.Ordinal);

    public static GrammarText Read(TextReader reader)
    {
        var g = new GrammarText();
        string? held = null;
        int line = 0, heldLine = 0;
        while (true)
        {
            string? next = reader.ReadLine();
            line++;
            if (next is { Length: > 0 } && next[0] == '#')
            {
                continue;
            }

            if (next is { Length: > 0 } && next[0] == ' ' && held is not null)
            {
                held += next;
                continue;
            }

            if (!string.IsNullOrWhiteSpace(held))
            {
                g.Statement(held, heldLine);
            }

            if (next is null)
            {
                return g;
            }

            (held, heldLine) = (next, line);
        }
    }

    private void Statement(string text, int line)
    {
        int equals = text.IndexOf(" = ", StringComparison.Ordinal);
        if (equals < 0)
        {
            throw new FormatException(string.Create(System.Globalization.CultureInfo.InvariantCulture, $"Grammar line {line}: no ' = '."));
        }

        var head = text[..equals].Split(' ', StringSplitOptions.RemoveEmptyEntries);
        (_text, _at, _line) = (text[(equals + 3)..], 0, line);
        var form = Choice();
        if (_at < _text.Length)
        {
            throw new FormatException(string.Create(System.Globalization.CultureInfo.InvariantCulture, $"Grammar line {line}: '{_text[_at..]}' does not fit."));
        }

        if (head[0] == "def")
        {
            _defs[head[1]] = form;
            return;
        }

        double weight = head.Length > 1 ? double.Parse(head[1], System.Globalization.CultureInfo.InvariantCulture) : 0;
        // Each way of a pattern is a rule of its own, so that each earns its own trust.
        var (common, ways) = form switch
        {
            ChoicePart c => (Array.Empty<Part>(), c.Parts),
            SeriesPart { Parts: [SetPart set, ChoicePart c] } => ([set], c.Parts),
            SeriesPart { Parts: [SetPart set, SetPart other, ChoicePart c] } => ([set, other], c.Parts),
            _ => (Array.Empty<Part>(), [form]),
        };
        foreach (var way in ways)
        {
            int number = _made.GetValueOrDefault(head[0]);
            _made[head[0]] = number + 1;
            Rules.Add(new Rule(head[0], weight, common.Length == 0 ? way : new SeriesPart([.. common, way]), line, head[0] + number.ToString(System.Globalization.CultureInfo.InvariantCulture)));
        }
    }

    private Part Choice()
    {
        var parts = new List<Part> { Series() };
        while (_at < _text.Length && _text[_at] == '|')
        {
            _at++;
            parts.Add(Series());
        }

        return parts.Count == 1 ? parts[0] : new ChoicePart(parts);
    }

    private Part Series()
    {
        var parts = new List<Part>();
        while (_at < _text.Length && _text[_at] is not ('|' or ')' or ']'))
        {
            char c = _text[_at];
            if (c == ' ')
            {
                _at++;
            }
            else if (c is '(' or '[')
            {
                _at++;
                var inner = Choice();
                Expect(c == '(' ? ')' : ']');
                parts.Add(c == '(' ? inner : new ChoicePart([inner, new SeriesPart([])]));
            }
            else if (c == '<')
            {
                string name = Until('>');
                if (!_defs.TryGetValue(name, out var def))
                {
                    throw new FormatException(string.Create(System.Globalization.CultureInfo.InvariantCulture, $"Grammar line {_line}: <{name}> is not defined above."));
                }

                parts.Add(def);
            }
            else if (c == '{')
            {
                string set = Until('}');
                int e = set.IndexOf('=', StringComparison.Ordinal);
                parts.Add(new SetPart(set[..e], set[(e + 1)..]));
            }
            else
            {
                int start = _at;
                while (_at < _text.Length && _text[_at] is not (' ' or '|' or '(' or ')' or '[' or ']' or '{' or '<'))
                {
                    _at++;
                }

                string word = _text[start.._at];
                if (word[0] is '#' or '@' or '~' or '_')
                {
                    int colon = word.IndexOf(':', StringComparison.Ordinal);
                    parts.Add(new TakePart(word[0], colon < 0 ? word[1..] : word[1..colon], colon < 0 ? "n" : word[(colon + 1)..]));
                }
                else
                {
                    Words.Add(word);
                    parts.Add(new WordPart(word));
                }
            }
        }

        return parts.Count == 1 ? parts[0] : new SeriesPart(parts);
    }

    private void Expect(char c)
    {
        if (_at >= _text.Length || _text[_at] != c)
        {
            throw new FormatException(string.Create(System.Globalization.CultureInfo.InvariantCulture, $"Grammar line {_line}: '{c}' expected at {_at}."));
        }

        _at++;
    }

    private string Until(char end)
    {
        int close = _text.IndexOf(end, _at);
        if (close < 0)
        {
            throw new FormatException(string.Create(System.Globalization.CultureInfo.InvariantCulture, $"Grammar line {_line}: '{end}' is missing."));
        }

        string inside = _text[(_at + 1)..close];
        _at = close + 1;
        return inside;
    }
}
