namespace Stakeboat.Storage.Rows;

/// <summary>One race, piece or practice. Times are milliseconds since 1970-01-01T00:00Z everywhere in the store: both databases order them.</summary>
public sealed class OutingRow
{
    public required string Id { get; set; }

    public required string Name { get; set; }

    /// <summary>Day of the outing, "yyyy-MM-dd", where the person or a file said it.</summary>
    public string? Day { get; set; }

    public long CreatedAt { get; set; }

    public bool Archived { get; set; }

    /// <summary>The race that ships with the program.</summary>
    public bool Demo { get; set; }

    /// <summary>False while files are still coming in: such an outing shows nowhere.</summary>
    public bool Ready { get; set; }

    /// <summary>Counts files and corrections; what a page saw last, so that two pages do not overwrite each other.</summary>
    public int Revision { get; set; }

    public string? CrewId { get; set; }

    public string? CourseId { get; set; }

    /// <summary>Chosen by the page that sent it: the same request twice makes one outing.</summary>
    public required string RequestKey { get; set; }
}

/// <summary>A file of an outing. Its bytes lie in the folder of originals under their hash.</summary>
public sealed class FileRow
{
    public required string Id { get; set; }

    public required string OutingId { get; set; }

    /// <summary>Name without folders or control characters, for people to read; never used as a path.</summary>
    public required string Name { get; set; }

    /// <summary>SHA-256 of the bytes, lower-case hexadecimal.</summary>
    public required string Hash { get; set; }

    public long Size { get; set; }

    public long AddedAt { get; set; }
}

/// <summary>Something that a person put right. Never changed but for <see cref="Undone"/> and <see cref="Abandoned"/>: applied again to every new analysis.</summary>
public sealed class CorrectionRow
{
    public required string Id { get; set; }

    public required string OutingId { get; set; }

    /// <summary>Order within the outing, from 1.</summary>
    public int Number { get; set; }

    public required string Kind { get; set; }

    /// <summary>A versioned document.</summary>
    public required string Body { get; set; }

    /// <summary>What was changed, one sentence.</summary>
    public required string Said { get; set; }

    public long MadeAt { get; set; }

    public bool Undone { get; set; }

    /// <summary>Undone, and then something else was put right instead: no longer to be redone.</summary>
    public bool Abandoned { get; set; }

    public required string RequestKey { get; set; }
}

/// <summary>A debrief as the engine made it from certain files and corrections. Made again, never edited.</summary>
public sealed class AnalysisRow
{
    public required string Id { get; set; }

    public required string OutingId { get; set; }

    /// <summary>Order within the outing, from 1; the highest is shown.</summary>
    public int Number { get; set; }

    public required string Engine { get; set; }

    /// <summary>Revision of the outing that it was made from.</summary>
    public int Revision { get; set; }

    public long MadeAt { get; set; }

    /// <summary>The document's JSON, compressed with Brotli.</summary>
    public required byte[] Document { get; set; }

    public double? Distance { get; set; }

    /// <summary>Race time, s.</summary>
    public double? Seconds { get; set; }

    public double? MeanRate { get; set; }

    public int? Place { get; set; }

    public int? Crews { get; set; }

    public string? Boat { get; set; }

    public int Findings { get; set; }

    public string? FirstFinding { get; set; }
}

/// <summary>A remark carried into the next plan.</summary>
public sealed class NextPlanRow
{
    public required string Id { get; set; }

    public required string OutingId { get; set; }

    /// <summary>"note" or "cue".</summary>
    public required string Form { get; set; }

    public required string Text { get; set; }

    /// <summary>The finding's sentence, kept as it was read.</summary>
    public required string Source { get; set; }

    public long AddedAt { get; set; }

    public bool Done { get; set; }

    public required string RequestKey { get; set; }
}

/// <summary>Long work in the order in which it was asked for.</summary>
public sealed class JobRow
{
    public required string Id { get; set; }

    public required string OutingId { get; set; }

    /// <summary>"queued", "running", "done", "failed", "cancelled".</summary>
    public required string State { get; set; }

    /// <summary>0 to 1.</summary>
    public double Progress { get; set; }

    public required string Message { get; set; }

    public long QueuedAt { get; set; }

    public long? EndedAt { get; set; }

    public bool CancelWanted { get; set; }
}
