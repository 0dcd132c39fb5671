using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using System.Text.Json.Nodes;
using Stakeboat.Core.Calls;
using Stakeboat.Core.Measurement;
using Stakeboat.Exchange.Calls;
using Stakeboat.Readers;

namespace Stakeboat.Cli;

/// <summary><c>calls PATH</c>: what the coxswain said, typed and timed, each with its confidence.</summary>
internal static class CallsVerb
{
    public static Command Create()
    {
        var path = new Argument<string>("PATH") { Description = "A caption file, the folder of an outing, or with --lines a file of single lines." };
        var jsonl = new Option<bool>("--jsonl") { Description = "One call a line for machines." };
        var lines = new Option<bool>("--lines") { Description = "PATH holds one line of talk a row (heard, crews, talkOf, phase, run) and no times." };
        var plain = new Option<bool>("--plain") { Description = "Leave word times aside, as if the captions had none." };
        var captions = new Option<string?>("--captions") { Description = "Which captions of the folder to read, by file name; the best of them if not given." };
        var explain = new Option<double?>("--explain") { Description = "Show how the calls at this second were read: the words, the pattern, the costs and the rivals." };
        var command = new Command("calls", "What the coxswain said: calls with their second, values and confidence.") { path, jsonl, lines, plain, captions, explain };
        command.SetAction(parsed =>
        {
            string file = parsed.GetValue(path)!;
            var output = parsed.InvocationConfiguration.Output;
            if (parsed.GetValue(lines))
            {
                Lines(file, output, parsed.GetValue(jsonl));
                return ExitCode.Done;
            }

            var (track, sheet) = Find(file, parsed.GetValue(captions));
            if (parsed.GetValue(plain))
            {
                track = track with { Timing = CaptionTiming.Cues, Cues = [.. track.Cues.Select(c => c with { Words = [] })] };
            }

            var decoder = new CallDecoder();
            if (parsed.GetValue(explain) is { } second)
            {
                Explain(decoder.Explain(track, sheet, second), second, output);
                return ExitCode.Done;
            }

            var readings = decoder.Decode(track, sheet);
            if (parsed.GetValue(jsonl))
            {
                for (int i = 0; i < readings.Calls.Count; i++)
                {
                    var c = readings.Calls[i];
                    var row = Row(c.Call, c.Confidence, c.Words);
                    row["t"] = Math.Round(c.At.Seconds, 2);
                    row["tSd"] = Math.Round(c.AtSd, 2);
                    row["cue"] = c.CueIndex;
                    Others(row, c.Others);
                    output.WriteLine(row.ToJsonString());
                }
            }
            else
            {
                Text(readings, output);
            }

            return ExitCode.Done;
        });
        return command;
    }

    private static void Explain(CallExplanation e, double second, TextWriter output)
    {
        foreach (var a in e.Aside)
        {
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"set aside, {a.From.Seconds:0.0}-{a.To.Seconds:0.0} s ({a.Why}): {a.Text}"));
        }

        if (e.Words.Count == 0 && e.Aside.Count == 0)
        {
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Nothing was said near {second:0.0} s."));
            return;
        }

        output.WriteLine($"State of the outing: {e.Phase ?? "unknown"}. Crew last spoken of: {e.TalkOf ?? "none"}.");
        foreach (var w in e.Words)
        {
            string said = string.Join(", ", w.Said.Select(x => string.Create(CultureInfo.InvariantCulture, $"{x.Said} {x.Share:0.00}")));
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{w.At.Seconds,8:0.0}  {w.Heard,-14} may be: {said}"));
        }

        foreach (var o in e.Offers)
        {
            string why = o.Evidence.Count == 0 ? "" : "   for and against: " + string.Join(", ", o.Evidence.Select(x => string.Create(CultureInfo.InvariantCulture, $"{x.Name} {x.Weight:+0.0;-0.0}")));
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{o.At.Seconds,8:0.0}  {(o.Chosen ? "chosen " : "offered")} {Say(o.Call)}, log odds {o.Score:0.0}, pattern {o.Pattern}{why}"));
        }
    }

    private static (CaptionTrack Track, RaceSheet? Sheet) Find(string path, string? name)
    {
        if (!File.Exists(path) && !Directory.Exists(path))
        {
            throw CliException.NotFound(path);
        }

        var outing = OutingFolder.Read(path).Value;
        var tracks = outing?.Captions ?? [];
        var track = name is null ? tracks.FirstOrDefault() : tracks.FirstOrDefault(t => string.Equals(Path.GetFileName(t.Name), name, StringComparison.OrdinalIgnoreCase));
        if (track is null)
        {
            string has = tracks.Count == 0 ? "No captions were found." : "There are captions named " + string.Join(", ", tracks.Select(t => t.Name)) + ".";
            throw new CliException(ExitCode.Data, $"{path}: {(name is null ? "" : $"no captions named {name}. ")}{has}");
        }

        return (track, outing!.Sheet);
    }

    private static void Lines(string file, TextWriter output, bool jsonl)
    {
        if (!File.Exists(file))
        {
            throw CliException.NotFound(file);
        }

        var rows = new List<PhraseLine>();
        int number = 0;
        foreach (string text in File.ReadLines(file))
        {
            number++;
            try
            {
                var n = string.IsNullOrWhiteSpace(text) ? new JsonObject() : JsonNode.Parse(text)!.AsObject();
                rows.Add(new PhraseLine(
                    (string?)n["heard"] ?? "", n["crews"]?.AsArray().Select(c => (string?)c ?? "").Where(c => c.Length > 0).ToList() ?? [], (string?)n["talkOf"],
                    (string?)n["phase"], n["run"]?.ToString()));
            }
            catch (Exception e) when (e is JsonException or InvalidOperationException)
            {
                throw new CliException(ExitCode.Data, string.Create(CultureInfo.InvariantCulture, $"{file}, line {number}: not a line of talk: {e.Message}"));
            }
        }

        foreach (var c in new CallDecoder().DecodeLines(rows))
        {
            if (jsonl)
            {
                var row = Row(c.Call, c.Confidence, c.Words);
                row["line"] = c.Line + 1;
                row["word"] = c.Word;
                Others(row, c.Others);
                output.WriteLine(row.ToJsonString());
            }
            else
            {
                output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{c.Line + 1,5}  {c.Confidence:0.00}  {Say(c.Call)}   \"{c.Words}\""));
            }
        }
    }

    private static JsonObject Row(Call call, double confidence, string words)
    {
        var row = JsonSerializer.SerializeToNode(CallParts.From(call), Options)!.AsObject();
        foreach (string k in new[] { "id", "t", "tSd", "cue", "words", "corrected", "others" })
        {
            row.Remove(k);
        }

        row["confidence"] = Math.Round(confidence, 4);
        row["evidence"] = words;
        return row;
    }

    private static void Others(JsonObject row, IReadOnlyList<CallReading> others)
    {
        if (others.Count > 0)
        {
            row["others"] = new JsonArray([.. others.Select(o => (JsonNode)Row(o.Call, o.Probability, ""))]);
        }
    }

    private static readonly JsonSerializerOptions Options = new() { PropertyNamingPolicy = JsonNamingPolicy.CamelCase, DefaultIgnoreCondition = System.Text.Json.Serialization.JsonIgnoreCondition.WhenWritingNull };

    /// <summary>A call in a few plain words.</summary>
    private static string Say(Call call)
    {
        var row = Row(call, 0, "");
        row.Remove("confidence");
        row.Remove("evidence");
        string type = (string)row["type"]!;
        row.Remove("type");
        return type + " " + string.Join(' ', row.Where(p => p.Value is not null && p.Value.ToString() != "false").Select(p => p.Key + " " + p.Value));
    }

    private static void Text(CallReadings readings, TextWriter output)
    {
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{readings.Calls.Count} calls in {readings.TrackName}. Time, how sure (0-1), call, the caption's words."));
        foreach (var c in readings.Calls)
        {
            int s = (int)c.At.Seconds;
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{s / 60,4}:{s % 60:00}  {c.Confidence:0.00}  {Say(c.Call)}   \"{c.Words}\""));
        }

        foreach (var a in readings.Aside)
        {
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"set aside at {a.From.Seconds:0} s ({a.Why}): \"{a.Text}\""));
        }

        var t = readings.Talk;
        output.WriteLine();
        output.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"{t.Words} words in {t.Seconds:0} s. Counting {100 * t.CountingShare:0} % of calls, repeats {100 * t.RepeatShare:0} %. Longest silence by quarter: {string.Join(", ", t.LongestSilence.Select(x => x.ToString("0.0", CultureInfo.InvariantCulture)))} s."));
        if (t.PositionsPer500 is { } p)
        {
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Positions given: {p:0.0} per 500 m."));
        }

        output.WriteLine("Calls a minute: " + string.Join(", ", t.PerMinute.OrderByDescending(x => x.Value).Select(x => x.Key + " " + x.Value.ToString("0.0", CultureInfo.InvariantCulture))) + ".");
    }
}
