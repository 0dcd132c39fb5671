using System.Text;
using System.Text.Json;

namespace Stakeboat.Readers.Text;

/// <summary>JSON out of untrusted files: depth at most 64, byte order marks, several documents in a row (JSON lines), and a cut-off file kept up to its last whole value.</summary>
public static class LooseJson
{
    public const int MaxDepth = 64;

    /// <summary>Reads all documents of a file; null where nothing was understood. Dispose what comes back.</summary>
    public static JsonDocument? Parse(Stream stream, IssueLog log) => Parse(TextInput.Bytes(stream, log), log);

    /// <summary>Reads all documents; where there is more than one they come back as one array.</summary>
    public static JsonDocument? Parse(byte[] bytes, IssueLog log)
    {
        ArgumentNullException.ThrowIfNull(bytes);
        ArgumentNullException.ThrowIfNull(log);
        ReadOnlySpan<byte> utf8 = Whole(bytes, log);
        if (utf8.StartsWith((ReadOnlySpan<byte>)[0xEF, 0xBB, 0xBF]))
        {
            utf8 = utf8[3..];
        }
        else if (utf8.Length > 1 && (utf8[0] == 0 || utf8[1] == 0 || utf8[0] >= 0xFE))
        {
            utf8 = Encoding.UTF8.GetBytes(TextInput.Decode(utf8, log));
        }

        var options = new JsonReaderOptions { MaxDepth = MaxDepth, AllowTrailingCommas = true, CommentHandling = JsonCommentHandling.Skip, AllowMultipleValues = true };
        var reader = new Utf8JsonReader(utf8, options);
        var open = new Stack<byte>();
        long lastWhole = 0;
        byte[] closers = [];
        int documents = 0;
        try
        {
            while (reader.Read())
            {
                switch (reader.TokenType)
                {
                    case JsonTokenType.StartObject:
                        open.Push((byte)'}');
                        break;
                    case JsonTokenType.StartArray:
                        open.Push((byte)']');
                        break;
                    case JsonTokenType.EndObject or JsonTokenType.EndArray:
                        open.Pop();
                        documents += open.Count == 0 ? 1 : 0;
                        break;
                    case JsonTokenType.PropertyName:
                        continue;
                    default:
                        documents += open.Count == 0 ? 1 : 0;
                        break;
                }

                lastWhole = reader.BytesConsumed;
                if (closers.Length != open.Count || open.Count > 0 && reader.TokenType is JsonTokenType.StartArray or JsonTokenType.StartObject)
                {
                    closers = [.. open];
                }
            }
        }
        catch (JsonException e)
        {
            string place = e.LineNumber is { } n ? IssueLog.Line(n + 1) : IssueLog.Byte(reader.BytesConsumed);
            log.Error(place, "The JSON breaks off or is malformed here.", "What stands before was kept. Export the file again.");
        }

        if (lastWhole == 0)
        {
            return null;
        }

        var kept = new byte[lastWhole + closers.Length + 2];
        int at = 0;
        if (documents + (closers.Length > 0 ? 1 : 0) > 1)
        {
            return Lines(utf8[..(int)lastWhole], closers, options, log);
        }

        utf8[..(int)lastWhole].CopyTo(kept);
        at = (int)lastWhole;
        closers.CopyTo(kept, at);
        at += closers.Length;
        return Document(kept.AsMemory(0, at), log);
    }

    // Half of a surrogate pair, and bytes that are no UTF-8, make the library throw wherever a name or a text is asked for: put right before anything is read.
    private static byte[] Whole(byte[] bytes, IssueLog log)
    {
        if (!System.Text.Unicode.Utf8.IsValid(bytes) && !(bytes.Length > 1 && (bytes[0] == 0 || bytes[1] == 0 || bytes[0] >= 0xFE)))
        {
            bytes = Encoding.UTF8.GetBytes(TextInput.Decode(bytes, log));
        }

        byte[]? mended = null;
        for (int at = 0; at + 6 <= bytes.Length; at++)
        {
            int next = bytes.AsSpan(at).IndexOf((byte)'\\');
            if (next < 0 || at + next + 6 > bytes.Length)
            {
                break;
            }

            at += next;
            int unit = Unit(bytes, at);
            if (unit is >= 0xD800 and < 0xDC00 && Unit(bytes, at + 6) is >= 0xDC00 and < 0xE000)
            {
                at += 11;
            }
            else if (unit is >= 0xD800 and < 0xE000)
            {
                mended ??= (byte[])bytes.Clone();
                "\\uFFFD"u8.CopyTo(mended.AsSpan(at));
                log.Note(IssueLog.Byte(at), "A letter is cut in half.", "A mark stands in its place.");
                at += 5;
            }
            else
            {
                at++; // what is escaped is no beginning of an escape
            }
        }

        return mended ?? bytes;
    }

    // The number of "\uXXXX"; -1 where that does not stand there.
    private static int Unit(byte[] b, int at) => at + 6 <= b.Length && b[at] == '\\' && b[at + 1] == 'u'
        && System.Buffers.Text.Utf8Parser.TryParse(b.AsSpan(at + 2, 4), out int v, out int used, 'x') && used == 4 ? v : -1;

    private static JsonDocument? Lines(ReadOnlySpan<byte> utf8, byte[] closers, JsonReaderOptions options, IssueLog log)
    {
        using var array = new MemoryStream(utf8.Length + (utf8.Length / 8) + 16);
        array.WriteByte((byte)'[');
        var reader = new Utf8JsonReader(utf8, options with { MaxDepth = MaxDepth });
        int from = 0;
        try
        {
            while (reader.Read())
            {
                if (reader.CurrentDepth == 0 && reader.TokenType is not (JsonTokenType.StartObject or JsonTokenType.StartArray))
                {
                    int to = (int)reader.BytesConsumed;
                    array.Write(utf8[from..to]);
                    array.WriteByte((byte)',');
                    from = to;
                }
            }
        }
        catch (JsonException)
        {
            // The cut was already said.
        }

        array.Write(utf8[from..]);
        array.Write(closers);
        array.WriteByte((byte)']');
        return Document(array.ToArray(), log);
    }

    private static JsonDocument? Document(ReadOnlyMemory<byte> utf8, IssueLog log)
    {
        try
        {
            return JsonDocument.Parse(utf8, new JsonDocumentOptions { MaxDepth = MaxDepth + 1, AllowTrailingCommas = true, CommentHandling = JsonCommentHandling.Skip });
        }
        catch (JsonException)
        {
            log.Error("", "The JSON cannot be put together.", "Export the file again.");
            return null;
        }
    }

    public static JsonElement? Get(this JsonElement e, params ReadOnlySpan<string> names)
    {
        if (e.ValueKind != JsonValueKind.Object)
        {
            return null;
        }

        foreach (string n in names)
        {
            if (e.TryGetProperty(n, out var v) && v.ValueKind is not (JsonValueKind.Null or JsonValueKind.Undefined))
            {
                return v;
            }
        }

        return null;
    }

    /// <summary>A finite number, also one in quotes ("1.200" or "1.2s").</summary>
    public static double? AsNumber(this JsonElement? e)
    {
        if (e is not { } v)
        {
            return null;
        }

        if (v.ValueKind == JsonValueKind.Number)
        {
            return v.TryGetDouble(out double d) && double.IsFinite(d) ? d : null;
        }

        if (v.ValueKind == JsonValueKind.String && AsText(e) is { Length: > 0 and < 40 } s)
        {
            return Numbers.TryDouble(s, out double d) ? d : s[^1] == 's' && Numbers.TryDouble(s.AsSpan(0, s.Length - 1), out d) ? d : null;
        }

        return null;
    }

    public static string? AsText(this JsonElement? e)
    {
        if (e is not { ValueKind: JsonValueKind.String } v)
        {
            return null;
        }

        try
        {
            return v.GetString();
        }
        catch (InvalidOperationException)
        {
            return null; // half of a surrogate pair, or bytes that are no UTF-8
        }
    }
}
