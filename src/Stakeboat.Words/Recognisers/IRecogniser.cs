using Stakeboat.Core.Measurement;
using Stakeboat.Words.Language;

namespace Stakeboat.Words.Recognisers;

/// <summary>A word that a recogniser heard, in seconds from the first sample that it was given.</summary>
/// <param name="Probability">Recogniser's own, [0, 1]; null where it gives none. Not calibrated.</param>
public sealed record RecognisedWord(double Start, double End, string Text, double? Probability, IReadOnlyList<WordAlternative>? Alternatives = null);

/// <summary>What helps a recogniser.</summary>
/// <param name="Talk">Language model of the crew; null: the recogniser's general one.</param>
/// <param name="Prompt">Words of the crew and of the trade as running text, for recognisers that take a prompt.</param>
public sealed record RecogniserHints(TalkModel? Talk, string Prompt)
{
    public static RecogniserHints None { get; } = new(null, "");
}

/// <summary>Whether a recogniser can work here, and what is missing where it cannot: a sentence with its remedy.</summary>
public sealed record RecogniserState(bool Ready, string Sentence);

/// <summary>Sound in, words out.</summary>
public interface IRecogniser
{
    /// <summary>Short name for a person.</summary>
    string Name { get; }

    /// <summary>Tells whether everything it needs is there. Fast; loads nothing heavy.</summary>
    RecogniserState Check();

    /// <summary>Recognises one stretch.</summary>
    /// <param name="samples">Mono at 16 kHz in [-1, 1].</param>
    /// <exception cref="RecogniserException">It could not work, with a sentence.</exception>
    /// <exception cref="OperationCanceledException">Within a second of the cancel.</exception>
    IReadOnlyList<RecognisedWord> Recognise(ReadOnlySpan<float> samples, RecogniserHints hints, CancellationToken cancel);

    /// <summary>How much speech is best given at once, s; 0: stretch by stretch.</summary>
    double SecondsAtOnce => 0;

    /// <summary>Recognises several stretches, for recognisers that load their model for each call.</summary>
    /// <returns>The words of each stretch, in seconds from its own first sample.</returns>
    /// <exception cref="RecogniserException">It could not work, with a sentence.</exception>
    /// <exception cref="OperationCanceledException">Within a second of the cancel.</exception>
    IReadOnlyList<IReadOnlyList<RecognisedWord>> RecogniseAll(IReadOnlyList<ReadOnlyMemory<float>> stretches, RecogniserHints hints, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(stretches);
        return [.. stretches.Select(s => Recognise(s.Span, hints, cancel))];
    }
}

/// <summary>A recogniser that could not do its work, with a sentence for the person.</summary>
public sealed class RecogniserException : Exception
{
    public RecogniserException(string sentence)
        : base(sentence)
    {
    }

    public RecogniserException(string sentence, Exception inner)
        : base(sentence, inner)
    {
    }
}
