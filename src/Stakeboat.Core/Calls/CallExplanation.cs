using Stakeboat.Core.Time;

namespace Stakeboat.Core.Calls;

/// <summary>A heard word with what may have been said there, likeliest first; shares in [0, 1].</summary>
public sealed record WordExplanation(Instant<RecordingClock> At, string Heard, IReadOnlyList<(string Said, double Share)> Said);

/// <summary>A call that a pattern offered.</summary>
/// <param name="Score">Log odds by the trained evidence.</param>
/// <param name="Evidence">The weightiest evidence with its weight in log odds.</param>
/// <param name="Pattern">Name of the pattern and its line in the grammar.</param>
/// <param name="Chosen">It is part of the best cover.</param>
public sealed record OfferExplanation(
    Instant<RecordingClock> At, Call Call, double Score, string Pattern, IReadOnlyList<(string Name, double Weight)> Evidence, bool Chosen);

/// <summary>How the calls near one second came about.</summary>
/// <param name="Phase">State of the outing as it was thought to be; null where unknown.</param>
/// <param name="TalkOf">Crew last spoken of before.</param>
public sealed record CallExplanation(
    string? Phase, string? TalkOf, IReadOnlyList<WordExplanation> Words, IReadOnlyList<OfferExplanation> Offers, IReadOnlyList<SetAside> Aside);
