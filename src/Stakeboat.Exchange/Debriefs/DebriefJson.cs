using System.Text.Json;
using System.Text.Json.Serialization;

namespace Stakeboat.Exchange.Debriefs;

/// <summary>Writes and reads debrief documents as JSON (UTF-8, camelCase, absent for unknown).</summary>
public static class DebriefJson
{
    /// <summary>Writes one document; the same document gives the same bytes.</summary>
    public static byte[] Write(DebriefDocument document) =>
        JsonSerializer.SerializeToUtf8Bytes(document, DebriefJsonContext.Default.DebriefDocument);

    /// <summary>Reads a document of any version up to the current one.</summary>
    /// <exception cref="ExchangeException">It is no debrief, or of a later version than this program knows.</exception>
    public static DebriefDocument Read(ReadOnlySpan<byte> utf8)
    {
        try
        {
            var head = JsonSerializer.Deserialize(utf8, DebriefJsonContext.Default.DocumentHead);
            if (head?.Schema != DebriefDocument.SchemaName)
            {
                throw new ExchangeException($"This is no debrief document: its schema is \"{head?.Schema ?? "missing"}\", not \"{DebriefDocument.SchemaName}\".");
            }

            if (head.Version is < 1 or > DebriefDocument.CurrentVersion)
            {
                throw new ExchangeException(string.Create(System.Globalization.CultureInfo.InvariantCulture,
                    $"This debrief document has version {head.Version}; this program reads versions 1 to {DebriefDocument.CurrentVersion}. Use a newer program."));
            }

            return JsonSerializer.Deserialize(utf8, DebriefJsonContext.Default.DebriefDocument)
                ?? throw new ExchangeException("The debrief document is empty.");
        }
        catch (JsonException e)
        {
            throw new ExchangeException($"The debrief document is damaged: {e.Message}", e);
        }
    }
}

/// <summary>Enough of any document to know what it is.</summary>
public sealed record DocumentHead(string? Schema, int Version);

[JsonSourceGenerationOptions(
    PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase,
    DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull,
    NumberHandling = JsonNumberHandling.Strict)]
[JsonSerializable(typeof(DebriefDocument))]
[JsonSerializable(typeof(DocumentHead))]
internal sealed partial class DebriefJsonContext : JsonSerializerContext;
