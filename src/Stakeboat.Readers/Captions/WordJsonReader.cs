using System.Text.Json;
using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Captions;

/// <summary>
/// Words with their own times, in the several shapes in which speech recognisers write JSON. Nothing depends on a product's schema: any list of
/// objects with a text and a beginning counts as words; a list of objects that hold such a list counts as segments.
/// </summary>
public static class WordJsonReader
{
    private static readonly string[] s_text = ["punctuated_word", "word", "text", "content", "utf8", "Word", "Text", "value"];
    private static readonly string[] s_start = ["start", "start_time", "startTime", "begin", "from", "Offset", "tOffsetMs", "startMs", "start_ms", "tStartMs", "ts", "offsetInTicks", "offset", "t"];
    private static readonly string[] s_end = ["end", "end_time", "endTime", "to", "stop", "endMs", "end_ms", "end_ts"];
    private static readonly string[] s_length = ["durationInTicks", "duration", "Duration", "dDurationMs", "durationMs"];
    private static readonly string[] s_probability = ["probability", "confidence", "conf", "score", "p", "Confidence"];
    private static readonly string[] s_words = ["words", "Words", "result", "items", "segs", "tokens", "elements"];

    /// <summary>A silence that parts two cues where the file has words alone, s. Our own choice.</summary>
    private const double Pause = 0.8;

    private sealed record Raw(string Text, double Start, double End, double? Probability, IReadOnlyList<WordAlternative>? Alternatives, int Group);

    public static Reading<CaptionTrack> Read(Stream stream, string name)
    {
        var log = new IssueLog(name);
        using var json = LooseJson.Parse(stream, log);
        if (json is null)
        {
            log.Error("", "This is no JSON that can be read.", "Export the words again.");
            return log.Reading<CaptionTrack>(null);
        }

        return Read(json.RootElement, name, log);
    }

    public static Reading<CaptionTrack> Read(JsonElement root, string name, IssueLog log)
    {
        ArgumentNullException.ThrowIfNull(log);
        var words = new List<Raw>();
        var segments = new List<Raw>();
        int group = 0;
        Walk(root, words, segments, log, ref group, 0, 0);
        bool isWords = words.Count > 0;
        var raw = isWords ? words : segments;
        if (raw.Count == 0)
        {
            log.Error("", "There are no words with times in this JSON.", "Ask the recogniser for word times, or export WebVTT.");
            return log.Reading<CaptionTrack>(null);
        }

        double scale = Scale(raw, isWords, log);
        var cues = new List<CaptionCue>();
        var line = new List<CaptionWord>();
        Raw? last = null;
        foreach (var w in raw.OrderBy(w => w.Group).ThenBy(w => w.Start))
        {
            if (w.End * scale > CueTime.LargestSeconds)
            {
                log.Warn("", "A word has a time beyond a year.", "It was left out.");
                continue;
            }

            if (last is not null && (!isWords || w.Group != last.Group || (w.Start - last.End) * scale > Pause || line.Count >= 40))
            {
                Flush(cues, line, isWords);
            }

            line.Add(new CaptionWord(w.Text, CueList.At(w.Start * scale), CueList.At(w.End * scale), w.Probability, w.Alternatives));
            last = w;
        }

        Flush(cues, line, isWords);
        return CueList.Finish(cues, name, isWords ? CaptionTiming.Words : CaptionTiming.Cues, log);
    }

    private static void Flush(List<CaptionCue> cues, List<CaptionWord> line, bool isWords)
    {
        if (line.Count > 0)
        {
            double start = line[0].Start.Seconds, end = line.Max(w => w.End.Seconds);
            cues.Add(new CaptionCue(CueList.At(start), CueList.At(Math.Max(start, end)), CueText.Squeeze(string.Join(' ', line.Select(w => w.Text))), isWords ? [.. line] : []));
            line.Clear();
        }
    }

    private static void Walk(JsonElement e, List<Raw> words, List<Raw> segments, IssueLog log, ref int group, double origin, int depth)
    {
        if (e.ValueKind == JsonValueKind.Array)
        {
            int before = words.Count, beforeSegments = segments.Count;
            foreach (var item in e.EnumerateArray())
            {
                Item(item, words, segments, log, ref group, origin, depth);
            }

            if (words.Count > before || segments.Count > beforeSegments)
            {
                group++;
            }
        }
        else if (e.ValueKind == JsonValueKind.Object)
        {
            Inside(e, words, segments, log, ref group, origin, depth);
        }
    }

    // Goes into an object's lists; of several alternatives for one stretch only the first is taken, it is the recogniser's best.
    private static void Inside(JsonElement e, List<Raw> words, List<Raw> segments, IssueLog log, ref int group, double origin, int depth)
    {
        if (e.Get("segments") is { ValueKind: JsonValueKind.Array } s)
        {
            Walk(s, words, segments, log, ref group, origin, depth + 1);
            return;
        }

        if (e.Get(s_words) is { ValueKind: JsonValueKind.Array } w)
        {
            Walk(w, words, segments, log, ref group, origin, depth + 1);
            return;
        }

        if (e.Get("timestamps") is { ValueKind: JsonValueKind.Array } stamps && stamps.GetArrayLength() > 0 && stamps[0].ValueKind == JsonValueKind.Array)
        {
            Walk(stamps, words, segments, log, ref group, origin, depth + 1);
            return;
        }

        if (e.Get("alternatives", "NBest", "nBest", "nbest") is { ValueKind: JsonValueKind.Array } a && a.GetArrayLength() > 0)
        {
            Walk(a[0], words, segments, log, ref group, origin, depth + 1);
            return;
        }

        foreach (var p in e.EnumerateObject())
        {
            if (p.Value.ValueKind is JsonValueKind.Array or JsonValueKind.Object)
            {
                Walk(p.Value, words, segments, log, ref group, origin, depth + 1);
            }
        }
    }

    private static void Item(JsonElement item, List<Raw> words, List<Raw> segments, IssueLog log, ref int group, double origin, int depth)
    {
        if (item.ValueKind is not (JsonValueKind.Object or JsonValueKind.Array))
        {
            return;
        }

        // ["up", 0.5, 0.9]
        if (item.ValueKind == JsonValueKind.Array && item.GetArrayLength() == 3 && ((JsonElement?)item[0]).AsText() is { Length: > 0 } bare
            && ((JsonElement?)item[1]).AsNumber() is >= 0 and < 1e15 and { } bareStart && ((JsonElement?)item[2]).AsNumber() is >= 0 and < 1e15 and { } bareEnd)
        {
            words.Add(new Raw(bare.Trim(), bareStart, Math.Max(bareStart, bareEnd), null, null, group));
            return;
        }

        if (item.ValueKind == JsonValueKind.Object && Punctuation(item) is { } sign)
        {
            if (words.Count > 0)
            {
                words[^1] = words[^1] with { Text = words[^1].Text + sign.Trim() };
            }

            return;
        }

        double? start = item.ValueKind == JsonValueKind.Object ? Time(item, s_start) : null;
        var inner = item.ValueKind == JsonValueKind.Object ? item.Get(s_words) ?? item.Get("segments") : null;
        if (inner is { ValueKind: JsonValueKind.Array } list && list.GetArrayLength() > 0)
        {
            int before = words.Count;
            // Some shapes count a word's time from its segment's beginning.
            bool relative = start is not null && list[0].ValueKind == JsonValueKind.Object && list.EnumerateArray().Any(w => w.ValueKind == JsonValueKind.Object && w.TryGetProperty("tOffsetMs", out _));
            if (relative)
            {
                Relative(list, start!.Value, start.Value + (Time(item, s_length) ?? 0), words, group);
            }
            else
            {
                Walk(list, words, segments, log, ref group, origin, depth + 1);
                Pieces(list, words, before);
            }

            if (words.Count > before)
            {
                group++;
                return;
            }
        }
        else if (start is null)
        {
            if (item.ValueKind == JsonValueKind.Object && Text(item) is { Length: > 0 } untimed && words.Count > 0 && words[^1].Group == group)
            {
                // A word that the aligner could not place, between two that it could: it begins where the last ended.
                words.Add(new Raw(untimed, words[^1].End, words[^1].End, Probability(item), null, group));
                log.Note("", "Some words have no time.", "They were placed at the end of the word before.");
            }
            else if (item.ValueKind == JsonValueKind.Object)
            {
                Inside(item, words, segments, log, ref group, origin, depth);
            }
            else
            {
                Walk(item, words, segments, log, ref group, origin, depth + 1);
            }

            return;
        }

        string? text = Text(item);
        if (text is null && inner is null)
        {
            Inside(item, words, segments, log, ref group, origin, depth); // a stretch whose words stand deeper
            return;
        }

        if (start is { } from && !string.IsNullOrWhiteSpace(text))
        {
            double to = Time(item, s_end) ?? (Time(item, s_length) is { } d ? from + d : from);
            bool sentence = inner is not null || text.Trim().Contains(' ');
            var raw = new Raw(text.Trim(), from, Math.Max(from, to), Probability(item), Others(item), group);
            (sentence ? segments : words).Add(raw);
        }
    }

    // Some recognisers give pieces of words, and a piece that begins a word has a space before it; and marks of their own such as "[_BEG_]".
    private static void Pieces(JsonElement list, List<Raw> words, int from)
    {
        bool pieces = false;
        foreach (var w in list.EnumerateArray())
        {
            pieces |= w.ValueKind == JsonValueKind.Object && Text(w) is { Length: > 1 } t && t[0] == ' ';
        }

        if (!pieces)
        {
            return;
        }

        int at = from;
        var joined = new List<Raw>();
        foreach (var w in list.EnumerateArray())
        {
            if (w.ValueKind != JsonValueKind.Object || Text(w) is not { Length: > 0 } t || string.IsNullOrWhiteSpace(t) || at >= words.Count || words[at].Text != t.Trim())
            {
                continue;
            }

            var piece = words[at++];
            if ((t.StartsWith("[_", StringComparison.Ordinal) && t.EndsWith(']')) || (t.StartsWith("<|", StringComparison.Ordinal) && t.EndsWith("|>", StringComparison.Ordinal)))
            {
                continue;
            }

            if (t[0] != ' ' && joined.Count > 0)
            {
                double? p = joined[^1].Probability is { } a && piece.Probability is { } b ? Math.Min(a, b) : joined[^1].Probability ?? piece.Probability;
                joined[^1] = joined[^1] with { Text = joined[^1].Text + piece.Text, End = Math.Max(joined[^1].End, piece.End), Probability = p };
            }
            else
            {
                joined.Add(piece);
            }
        }

        if (at == words.Count)
        {
            words.RemoveRange(from, words.Count - from);
            words.AddRange(joined);
        }
    }

    private static void Relative(JsonElement list, double start, double end, List<Raw> words, int group)
    {
        int first = words.Count;
        foreach (var w in list.EnumerateArray())
        {
            if (Text(w)?.Trim() is { Length: > 0 } text)
            {
                double t = start + (w.Get("tOffsetMs").AsNumber() ?? 0);
                if (words.Count > first)
                {
                    words[^1] = words[^1] with { End = Math.Max(words[^1].Start, t) };
                }

                words.Add(new Raw(text, t, Math.Max(t, end), Probability(w), null, group));
            }
        }
    }

    private static string? Text(JsonElement e)
    {
        foreach (string n in s_text)
        {
            if (e.Get(n).AsText() is { } t)
            {
                return t;
            }
        }

        return e.Get("alternatives") is { ValueKind: JsonValueKind.Array } a && a.GetArrayLength() > 0 && a[0].ValueKind == JsonValueKind.Object ? Text(a[0]) : null;
    }

    private static string? Punctuation(JsonElement e) => e.Get("type").AsText() is "punctuation" or "punct" ? Text(e) : null;

    private static double? Probability(JsonElement e)
    {
        double? p = e.Get(s_probability).AsNumber() ?? (e.Get("acAsrConf").AsNumber() / 255)
            ?? (e.Get("alternatives") is { ValueKind: JsonValueKind.Array } a && a.GetArrayLength() > 0 && a[0].ValueKind == JsonValueKind.Object ? Probability(a[0]) : null);
        return p is >= 0 and <= 1 ? p : p is > 1 and <= 100 ? p / 100 : null;
    }

    private static List<WordAlternative>? Others(JsonElement e)
    {
        if (e.Get("alternatives") is not { ValueKind: JsonValueKind.Array } a)
        {
            return null;
        }

        var list = new List<WordAlternative>();
        string? own = Text(e);
        foreach (var o in a.EnumerateArray())
        {
            if (o.ValueKind == JsonValueKind.Object && Text(o) is { Length: > 0 } t && t != own && Probability(o) is { } p)
            {
                list.Add(new WordAlternative(t, p));
            }
        }

        return list.Count > 0 ? list : null;
    }

    private static double? Time(JsonElement e, string[] names)
    {
        var v = e.Get(names) ?? e.Get("offsets", "timestamps", "timestamp");
        if (v is { ValueKind: JsonValueKind.Object } inner)
        {
            // {"offsets": {"from": 0, "to": 1200}} and {"startTime": {"seconds": "1", "nanos": 200000000}}
            if (inner.Get("seconds", "nanos") is not null)
            {
                return (inner.Get("seconds").AsNumber() ?? 0) + ((inner.Get("nanos").AsNumber() ?? 0) / 1e9);
            }

            v = inner.Get(names);
        }
        else if (v is { ValueKind: JsonValueKind.Array } pair && pair.GetArrayLength() == 2)
        {
            v = pair[names == s_end ? 1 : 0]; // {"timestamp": [0.0, 1.2]}
        }

        double? t = v.AsNumber() ?? Iso(v.AsText()) ?? (v.AsText() is { } s && CueTime.TryRead(s, out double c, out int used) && used == s.Length ? c : null);
        return t is { } x && x >= 0 && x < 1e15 ? t : null;
    }

    // "PT1M0.5S": a duration after ISO 8601.
    private static double? Iso(string? s)
    {
        if (s is null || !s.StartsWith("PT", StringComparison.Ordinal) || s.Length > 40)
        {
            return null;
        }

        double total = 0;
        int from = 2;
        for (int i = 2; i < s.Length; i++)
        {
            double unit = s[i] switch { 'H' => 3600, 'M' => 60, 'S' => 1, _ => 0 };
            if (unit > 0)
            {
                if (!Numbers.TryDouble(s.AsSpan(from, i - from), out double n))
                {
                    return null;
                }

                total += n * unit;
                from = i + 1;
            }
        }

        return from == s.Length && from > 2 ? total : null;
    }

    // Words last 0.05 to 2 s whatever the unit: the median tells seconds from thousandths and from ten-millionths.
    private static double Scale(List<Raw> raw, bool isWords, IssueLog log)
    {
        var lengths = raw.Select(w => w.End - w.Start).Where(d => d > 0).Order().ToList();
        double median = lengths.Count > 0 ? lengths[lengths.Count / 2] : 0;
        double most = isWords ? 20 : 200;
        double scale = median < most ? 1 : median < most * 1000 ? 1e-3 : median < most * 50000 ? 1e-6 : 1e-7;
        if (scale < 1)
        {
            string unit = scale switch { 1e-3 => "milliseconds", 1e-6 => "microseconds", _ => "units of 100 nanoseconds" };
            log.Note("", $"The times are in {unit}, to judge by how long a word lasts.", "They were turned into seconds.");
        }

        return scale;
    }
}
