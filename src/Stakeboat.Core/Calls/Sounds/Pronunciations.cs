using System.Reflection;

namespace Stakeboat.Core.Calls.Sounds;

/// <summary>Sounds of words: the table of the lexicon, else by letter. Answers are remembered. Safe for many threads.</summary>
public sealed class Pronunciations
{
    private readonly Dictionary<string, string[]> _table = new(StringComparer.Ordinal);
    private readonly System.Collections.Concurrent.ConcurrentDictionary<string, string> _spelt = new(StringComparer.Ordinal);

    public Pronunciations(TextReader table)
    {
        ArgumentNullException.ThrowIfNull(table);
        while (table.ReadLine() is { } line)
        {
            if (line.Length == 0 || line[0] == '#')
            {
                continue;
            }

            var parts = line.Split(' ', StringSplitOptions.RemoveEmptyEntries);
            if (parts.Length > 1)
            {
                _table[parts[0]] = parts[1..];
            }
        }
    }

    public IReadOnlyCollection<string> TableWords => _table.Keys;

    /// <summary>The usual sounds of a word in lower case.</summary>
    public string Of(string word)
    {
        ArgumentNullException.ThrowIfNull(word);
        if (_table.TryGetValue(word, out var known))
        {
            return known[0];
        }

        if (_spelt.TryGetValue(word, out var spelt))
        {
            return spelt;
        }

        string sounds;
        if (word.EndsWith("'s", StringComparison.Ordinal) && _table.TryGetValue(word[..^2], out known))
        {
            sounds = known[0] + "z";
        }
        else if (word.EndsWith("'re", StringComparison.Ordinal))
        {
            sounds = Of(word[..^3]) + "r";
        }
        else if (word.EndsWith("ing", StringComparison.Ordinal) && word.Length > 4 && _table.TryGetValue(word[..^3], out known))
        {
            sounds = known[0] + "iN";
        }
        else
        {
            sounds = LetterToSound.Of(word);
        }

        if (_spelt.Count < 200_000)
        {
            _spelt[word] = sounds;
        }

        return sounds;
    }

    /// <summary>All sounds that the table knows of a word; the spelt one where it knows none.</summary>
    public IReadOnlyList<string> AllOf(string word) => _table.TryGetValue(word, out var known) ? known : [Of(word)];

    /// <summary>Opens one of the data files that come with the program.</summary>
    internal static TextReader Resource(string name)
    {
        var assembly = typeof(Pronunciations).Assembly;
        var stream = assembly.GetManifestResourceStream("Stakeboat.Core.Calls.Data." + name)
            ?? throw new InvalidOperationException($"The program was built without its data file {name}.");
        return new StreamReader(stream);
    }
}
