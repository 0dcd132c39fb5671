namespace Stakeboat.Words.Language;

/// <summary>Words and their numbers, shared by the parts of one language model. Number 0 is the begin mark, 1 the end mark.</summary>
public sealed class Vocabulary
{
    public const string Begin = "<s>", End = "</s>";

    private readonly Dictionary<string, int> _ids = new(StringComparer.Ordinal);
    private readonly List<string> _words = [];

    public Vocabulary()
    {
        Add(Begin);
        Add(End);
    }

    public IReadOnlyList<string> Words => _words;

    /// <summary>Words that can be predicted: all but the begin mark.</summary>
    public int Predictable => _words.Count - 1;

    /// <summary>The number of a word; a new one for a word not met before.</summary>
    public int Add(string word)
    {
        if (!_ids.TryGetValue(word, out int id))
        {
            id = _words.Count;
            _ids[word] = id;
            _words.Add(word);
        }

        return id;
    }

    /// <summary>The number of a word; -1 where it is unknown.</summary>
    public int Of(string word) => _ids.GetValueOrDefault(word, -1);
}
