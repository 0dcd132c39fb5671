using System.Text.Json;
using System.Text.Json.Serialization;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Exchange.Corrections;

/// <summary>One thing that a person put right, version 1. Times are seconds on the debrief's clock, distances m. Exactly one part is filled.</summary>
public sealed record CorrectionDocument
{
    public const string SchemaName = "stakeboat.correction";

    public const int CurrentVersion = 1;

    public string Schema { get; init; } = SchemaName;

    public int Version { get; init; } = CurrentVersion;

    public CallCorrectionPart? Call { get; init; }

    public StartCorrectionPart? Start { get; init; }

    public LaneCorrectionPart? Lane { get; init; }

    public CrewCorrectionPart? Crew { get; init; }

    public DistanceCorrectionPart? Distance { get; init; }

    public ClockCorrectionPart? Clock { get; init; }

    public WordsCorrectionPart? Words { get; init; }

    public LineCorrectionPart? Line { get; init; }

    /// <summary>One short word for the kind, as the store lists it.</summary>
    [JsonIgnore]
    public string Kind =>
        Call is not null ? "call" : Start is not null ? "start" : Lane is not null ? "lane"
        : Crew is not null ? "crew" : Distance is not null ? "distance" : Clock is not null ? "clock"
        : Words is not null ? "words" : Line is not null ? "line" : "none";
}

/// <param name="At">When the call was, as it was read.</param>
/// <param name="Heard">The caption words; empty where a call was missed.</param>
/// <param name="Was">As it was read; absent where it was missed.</param>
/// <param name="Is">What it is; absent for "no call".</param>
/// <param name="Moved">Where it belongs in time.</param>
public sealed record CallCorrectionPart(double At, string Heard, CallPart? Was, CallPart? Is, double? Moved, string? Said);

/// <param name="GoAt">The word "go".</param>
public sealed record StartCorrectionPart(double GoAt);

public sealed record LaneCorrectionPart(string Crew, int Lane);

/// <summary>A crew's name put right; <paramref name="Was"/> absent: a crew that nobody had named.</summary>
public sealed record CrewCorrectionPart(string? Was, string Is);

public sealed record DistanceCorrectionPart(double Metres);

/// <param name="Clock">"motion" or "satellite".</param>
/// <param name="Shift">Seconds to add to where that clock's data stand now.</param>
public sealed record ClockCorrectionPart(string Clock, double Shift);

/// <summary>Which captions count where an outing has several.</summary>
/// <param name="Use">Name of the caption file, or <see cref="Both"/>.</param>
public sealed record WordsCorrectionPart(string Use)
{
    /// <summary>Captions brought and captions made here, taken together as evidence.</summary>
    public const string Both = "both";
}

/// <summary>A line of captions typed anew.</summary>
/// <param name="File">Caption file.</param>
/// <param name="At">Start of the line on the recording's clock, s.</param>
/// <param name="Is">Its words; empty: nothing was said.</param>
public sealed record LineCorrectionPart(string File, double At, string Was, string Is);

/// <summary>Writes and reads corrections as JSON.</summary>
public static class CorrectionJson
{
    public static string Write(CorrectionDocument document) => JsonSerializer.Serialize(document, CorrectionJsonContext.Default.CorrectionDocument);

    /// <exception cref="ExchangeException">It is no correction, or of a later version than this program knows.</exception>
    public static CorrectionDocument Read(string json)
    {
        try
        {
            var document = JsonSerializer.Deserialize(json, CorrectionJsonContext.Default.CorrectionDocument);
            return document is null || document.Schema != CorrectionDocument.SchemaName || document.Kind == "none"
                ? throw new ExchangeException("This is no correction: nothing in it is put right.")
                : document.Version is < 1 or > CorrectionDocument.CurrentVersion
                    ? throw new ExchangeException("This correction was made by a later version of the program. Use that one.")
                    : document;
        }
        catch (JsonException e)
        {
            throw new ExchangeException($"The correction cannot be read: {e.Message}", e);
        }
    }
}

[JsonSourceGenerationOptions(
    PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase, DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
    NumberHandling = JsonNumberHandling.Strict, UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow)]
[JsonSerializable(typeof(CorrectionDocument))]
internal sealed partial class CorrectionJsonContext : JsonSerializerContext;
