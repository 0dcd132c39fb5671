using System.Globalization;

namespace Stakeboat.Readers;

/// <summary>Collects what was wrong with one file. Alike issues (same severity and sentence) are put together, so that a bad file costs no more than its kinds of badness.</summary>
public sealed class IssueLog(string file)
{
    /// <summary>Different sentences kept; what comes after is counted in a last one.</summary>
    public const int Cap = 200;

    private readonly List<ReadingIssue> _issues = [];
    private readonly Dictionary<(Severity, string), int> _index = [];
    private int _dropped;

    /// <summary>Name of the file, as shown to a person.</summary>
    public string File { get; } = file;

    public bool HasErrors => _issues.Exists(i => i.Severity == Severity.Error);

    public void Note(string place, string what, string done) => Add(Severity.Note, place, what, done);

    public void Warn(string place, string what, string done) => Add(Severity.Warning, place, what, done);

    public void Error(string place, string what, string done) => Add(Severity.Error, place, what, done);

    /// <summary>Adds an issue that happened <paramref name="count"/> times.</summary>
    public void Add(Severity severity, string place, string what, string done, int count = 1)
    {
        if (_index.TryGetValue((severity, what), out int at))
        {
            _issues[at] = _issues[at] with { Count = _issues[at].Count + count };
        }
        else if (_issues.Count >= Cap)
        {
            _dropped += count;
        }
        else
        {
            _index[(severity, what)] = _issues.Count;
            _issues.Add(new ReadingIssue(severity, File, place, what, done, count));
        }
    }

    public void AddRange(IEnumerable<ReadingIssue> issues)
    {
        foreach (var i in issues)
        {
            _issues.Add(i);
        }
    }

    public IReadOnlyList<ReadingIssue> ToList() => _dropped == 0
        ? [.. _issues]
        : [.. _issues, new ReadingIssue(Severity.Warning, File, "", "There were further issues of other kinds.", "They are counted only.", _dropped)];

    public Reading<T> Reading<T>(T? value)
        where T : class => new(value, ToList());

    public static string Line(long n) => string.Create(CultureInfo.InvariantCulture, $"line {n}");

    public static string Byte(long n) => string.Create(CultureInfo.InvariantCulture, $"byte {n}");

    public static string Record(long n) => string.Create(CultureInfo.InvariantCulture, $"record {n}");
}
