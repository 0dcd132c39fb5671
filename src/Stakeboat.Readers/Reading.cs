namespace Stakeboat.Readers;

/// <summary>How much an issue cost.</summary>
public enum Severity
{
    /// <summary>Worth knowing; nothing was lost.</summary>
    Note,

    /// <summary>Something was left out or is doubtful.</summary>
    Warning,

    /// <summary>The rest of the file, or all of it, could not be read.</summary>
    Error,
}

/// <summary>Something that was wrong with a file.</summary>
/// <param name="Severity">How much it cost.</param>
/// <param name="File">Name of the file, with the archive's before it where it came out of one.</param>
/// <param name="Place">"line 12", "byte 340", "record 7", or empty for the whole.</param>
/// <param name="What">What was found, one sentence.</param>
/// <param name="Done">What was done about it or what the person can do, one sentence.</param>
/// <param name="Count">How many times, where alike issues were put together; Place is the first.</param>
public sealed record ReadingIssue(Severity Severity, string File, string Place, string What, string Done, int Count = 1)
{
    public override string ToString()
    {
        string place = Place.Length == 0 ? File : $"{File}, {Place}";
        string times = Count > 1 ? " (" + Count.ToString(System.Globalization.CultureInfo.InvariantCulture) + " times)" : "";
        return $"{place}: {What}{times} {Done}";
    }
}

/// <summary>What was understood of a file, and what was wrong with it. A reader keeps what it understood: Value may be partial, and null only where nothing was.</summary>
public sealed record Reading<T>(T? Value, IReadOnlyList<ReadingIssue> Issues)
    where T : class
{
    public bool Usable => Value is not null;
}
