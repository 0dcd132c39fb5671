using Stakeboat.Core.Calls;

namespace Stakeboat.Simulation.Talk;

/// <summary>One word with its true times, s of the recording.</summary>
public readonly record struct SpokenWord(string Text, double Start, double End);

/// <summary>A labelled call: complete at <paramref name="Time"/>, the end of its deciding word.</summary>
public sealed record TrueCall(double Time, Call Call, string Line);

/// <summary>One breath of the coxswain.</summary>
public sealed record SpokenLine(IReadOnlyList<SpokenWord> Words, IReadOnlyList<TrueCall> Calls)
{
    public double Start => Words[0].Start;

    public double End => Words[^1].End;

    public string Text => string.Join(' ', Words.Select(w => w.Text));
}

/// <summary>All that was said, in order.</summary>
public sealed record SpokenRace(IReadOnlyList<SpokenLine> Lines)
{
    public IReadOnlyList<TrueCall> Calls { get; } = [.. Lines.SelectMany(l => l.Calls).OrderBy(c => c.Time)];
}

/// <summary>How a coxswain talks and errs.</summary>
public sealed record CoxHabits
{
    /// <summary>From seeing to the first word, s: mean and standard deviation.</summary>
    public double Delay { get; init; } = 1.0;
    public double DelaySd { get; init; } = 0.4;

    /// <summary>Standard deviation of a spoken margin, seats, at one lane's distance; grows by a third a further lane.</summary>
    public double MarginSd { get; init; } = 0.4;

    /// <summary>Added to every margin in our favour, seats.</summary>
    public double MarginBias { get; init; } = 0.15;

    /// <summary>Standard deviation of a spoken rate, strokes/min, before it is rounded to halves.</summary>
    public double RateSd { get; init; } = 0.4;

    /// <summary>Seconds of silence between lines, mean.</summary>
    public double Pause { get; init; } = 2.2;

    /// <summary>Words a second.</summary>
    public double Tempo { get; init; } = 3.1;

    /// <summary>A gross error of a margin (a wrong seat by three or more) in this share of margin calls.</summary>
    public double GrossShare { get; init; } = 0.02;
}

/// <summary>How captions are spoiled and timed.</summary>
public sealed record CaptionHabits
{
    /// <summary>Share of words replaced by one that sounds alike, where the list has one, and share dropped or run together.</summary>
    public double MishearShare { get; init; } = 0.35;
    public double DropShare { get; init; } = 0.03;
    public double JoinShare { get; init; } = 0.03;

    /// <summary>Standard deviation of word times, s.</summary>
    public double TimeSd { get; init; } = 0.08;

    /// <summary>Length of an untimed block, s.</summary>
    public double BlockSeconds { get; init; } = 20;
}
