using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Readers;
using Stakeboat.Readers.Sound;
using Stakeboat.Words.Recognisers;
using Stakeboat.Words.Speech;

namespace Stakeboat.Words;

/// <summary>How far a recognition has come.</summary>
/// <param name="Done">Share of the speech, 0 to 1.</param>
/// <param name="Newest">Words of the stretch that was just recognised, on the recording's clock; empty while speech is sought.</param>
public sealed record WordsProgress(double Done, string Stage, IReadOnlyList<RecognisedWord> Newest);

/// <summary>What came of a recording.</summary>
/// <param name="Words">On the recording's clock, in order.</param>
/// <param name="Sentence">Where there are none: why. Else what is odd about the sound, if anything is.</param>
public sealed record WordsResult(IReadOnlyList<RecognisedWord> Words, double Seconds, double SpeechSeconds, SoundVerdict Verdict, string Sentence);

/// <summary>
/// A recording turned into words stretch by stretch, from the busiest part outwards, in constant memory. Each stretch that is done is
/// written to a log; a job that was killed goes on where it stopped.
/// </summary>
public sealed class WordsJob
{
    /// <summary>How much speech a recogniser that takes much at once is given first, s.</summary>
    private const double FirstAtOnce = 6;

    private readonly Func<Stream> _open;
    private readonly string _name;
    private readonly IRecogniser _recogniser;
    private readonly RecogniserHints _hints;
    private readonly string? _log;
    private float[] _sound = [];

    /// <param name="open">Opens the recording anew each time; seekable streams make it fast.</param>
    /// <param name="name">Of the recording, for sentences.</param>
    /// <param name="log">File for what is done so far; null: nothing is kept.</param>
    public WordsJob(Func<Stream> open, string name, IRecogniser recogniser, RecogniserHints hints, string? log = null)
    {
        (_open, _name, _recogniser, _hints, _log) = (open, name, recogniser, hints, log);
    }

    /// <exception cref="RecogniserException">The recogniser cannot work here, or the sound cannot be read: a sentence.</exception>
    public WordsResult Run(Action<WordsProgress>? progress = null, CancellationToken cancel = default)
    {
        if (_recogniser.Check() is { Ready: false } missing)
        {
            throw new RecogniserException(missing.Sentence);
        }

        var (map, odd) = FindSpeech(progress, cancel);
        double speech = map.Stretches.Sum(s => s.To - s.From);
        if (map.Verdict != SoundVerdict.Speech)
        {
            string why = map.Verdict switch
            {
                SoundVerdict.Silence => $"{_name}: the recording is silent. Was the microphone covered, or is the sound on a channel that was not recorded?",
                SoundVerdict.Music => $"{_name}: no speech was found in it: it sounds like music. Is it the right file?",
                _ => $"{_name}: no speech was found in it: it sounds like one steady noise. Is it the right file?",
            };
            return new WordsResult([], map.Seconds, 0, map.Verdict, why);
        }

        string key = Key(map);
        var done = ReadLog(key);
        double finished = done.Keys.Sum(s => s.To - s.From);
        using var log = OpenLog(key, done);
        if (done.Count > 0)
        {
            progress?.Invoke(new WordsProgress(Math.Min(1, finished / speech), "going on", [.. done.OrderBy(d => d.Key.From).SelectMany(d => d.Value)]));
        }

        foreach (var group in Groups([.. SpeechFinder.FromCentre(map).Where(s => !done.ContainsKey(s))]))
        {
            cancel.ThrowIfCancellationRequested();
            var words = _recogniser.RecogniseAll(Prepared(group), _hints, cancel);
            var newest = new List<RecognisedWord>();
            for (int i = 0; i < group.Count; i++)
            {
                var stretch = group[i];
                done[stretch] = [.. words[i].Select(w => w with { Start = Math.Round(stretch.From + w.Start, 3), End = Math.Round(stretch.From + w.End, 3) })];
                newest.AddRange(done[stretch]);
                log?.WriteLine(Line(stretch, done[stretch]));
                finished += stretch.To - stretch.From;
            }

            log?.Flush();
            progress?.Invoke(new WordsProgress(Math.Min(1, finished / speech), "recognising", newest));
        }

        var all = done.OrderBy(d => d.Key.From).SelectMany(d => d.Value).OrderBy(w => w.Start).ToList();
        return new WordsResult(all, map.Seconds, speech, map.Verdict, all.Count == 0
            ? $"{_name}: there is speech in it, but the recogniser understood none. {odd} Captions from another program would help.".Replace("  ", " ", StringComparison.Ordinal) : odd);
    }

    /// <summary>The words as captions: a new line at a pause of 0.7 s, after 12 words or 8 s.</summary>
    public static CaptionTrack ToCaptions(string name, IReadOnlyList<RecognisedWord> words)
    {
        ArgumentNullException.ThrowIfNull(words);
        var cues = new List<CaptionCue>();
        var line = new List<CaptionWord>();
        void Close()
        {
            if (line.Count > 0)
            {
                cues.Add(new CaptionCue(line[0].Start, line[^1].End, string.Join(' ', line.Select(w => w.Text)), line));
                line = [];
            }
        }

        foreach (var w in words)
        {
            if (line.Count > 0 && (w.Start - line[^1].End.Seconds > 0.7 || line.Count >= 12 || w.End - line[0].Start.Seconds > 8))
            {
                Close();
            }

            line.Add(new CaptionWord(w.Text, Instant<RecordingClock>.FromSeconds(w.Start), Instant<RecordingClock>.FromSeconds(w.End), w.Probability, w.Alternatives));
        }

        Close();
        return new CaptionTrack(name, CaptionTiming.Words, cues);
    }

    /// <summary>Stretches that are given to the recogniser together: little at first, so that words appear soon, then twice as much each time up to what it likes.</summary>
    private IEnumerable<List<SpeechStretch>> Groups(IReadOnlyList<SpeechStretch> stretches)
    {
        double limit = Math.Min(_recogniser.SecondsAtOnce, FirstAtOnce), seconds = 0;
        var group = new List<SpeechStretch>();
        foreach (var s in stretches)
        {
            group.Add(s);
            seconds += s.To - s.From;
            if (seconds >= limit)
            {
                yield return group;
                (group, seconds, limit) = ([], 0, Math.Min(_recogniser.SecondsAtOnce, 2 * limit));
            }
        }

        if (group.Count > 0)
        {
            yield return group;
        }
    }

    /// <summary>The sound of a group, made ready, in one buffer that is used again for the next: a long recording takes the memory of a short one.</summary>
    private List<ReadOnlyMemory<float>> Prepared(List<SpeechStretch> group)
    {
        int all = group.Sum(Length);
        if (_sound.Length < all)
        {
            _sound = new float[all];
        }

        var parts = new List<ReadOnlyMemory<float>>();
        int at = 0;
        foreach (var stretch in group)
        {
            var part = _sound.AsMemory(at, Length(stretch));
            part = part[..ReadSamples(stretch, part.Span)];
            SpeechSound.Level(part.Span);
            parts.Add(part);
            at += Length(stretch);
        }

        return parts;
    }

    private static int Length(SpeechStretch s) => (int)((s.To - s.From) * SpeechSound.Rate);

    private (SpeechMap Map, string Odd) FindSpeech(Action<WordsProgress>? progress, CancellationToken cancel)
    {
        using var stream = _open();
        using var sound = Open(stream, 0);
        var map = SpeechFinder.Find(sound, p => progress?.Invoke(new WordsProgress(0, string.Create(CultureInfo.InvariantCulture, $"looking for speech, {100 * p:0} %"), [])), cancel);
        string odd = map.LikeATelephone ? $"{_name}: nothing lies above 4 kHz in it, as after a telephone: expect more words misheard than in a direct recording." : "";
        var rms = sound.ChannelRms;
        if (rms.Count > 1 && rms.Max() > 1e-4 && rms.Count(r => r < 0.001 * rms.Max()) is > 0 and var dead)
        {
            odd += (odd.Length > 0 ? " " : "") + (rms.Count == 2
                ? $"{_name}: its {(rms[0] < rms[1] ? "left" : "right")} channel is dead; the other was used."
                : string.Create(CultureInfo.InvariantCulture, $"{_name}: {dead} of its {rms.Count} channels are dead; the others were used."));
        }

        return (map, odd);
    }

    private int ReadSamples(SpeechStretch stretch, Span<float> samples)
    {
        using var stream = _open();
        using var sound = Open(stream, stretch.From);
        int at = 0, n;
        while (at < samples.Length && (n = sound.Read(samples[at..])) > 0)
        {
            at += n;
        }

        return at;
    }

    private SoundReader Open(Stream stream, double from)
    {
        var reading = SoundReader.Open(stream, _name, SpeechSound.Rate, from);
        return reading.Value ?? throw new RecogniserException(reading.Issues.Count > 0
            ? string.Join(' ', reading.Issues.Where(i => i.Severity != Severity.Note).DefaultIfEmpty(reading.Issues[0]).Select(i => i.ToString()))
            : $"{_name}: this is no sound that can be read.");
    }

    /// <summary>What a log belongs to: the same sound, stretches, recogniser and language model.</summary>
    private string Key(SpeechMap map)
    {
        var text = new StringBuilder(_recogniser.Name).Append('|').Append(_hints.Prompt).Append('|').Append(_hints.Talk?.MadeFrom ?? "general");
        foreach (var s in map.Stretches)
        {
            text.Append(string.Create(CultureInfo.InvariantCulture, $"|{s.From:R},{s.To:R}"));
        }

        return Convert.ToHexString(SHA256.HashData(Encoding.UTF8.GetBytes(text.ToString())));
    }

    private Dictionary<SpeechStretch, IReadOnlyList<RecognisedWord>> ReadLog(string key)
    {
        var done = new Dictionary<SpeechStretch, IReadOnlyList<RecognisedWord>>();
        if (_log is null || !File.Exists(_log))
        {
            return done;
        }

        using var lines = new StreamReader(_log);
        if (lines.ReadLine() != key)
        {
            return done;
        }

        while (lines.ReadLine() is { } line)
        {
            // The last line of a job that was killed may be half written.
            try
            {
                var d = JsonSerializer.Deserialize(line, WordsLogContext.Default.LogLine);
                if (d is not null)
                {
                    done[new SpeechStretch(d.From, d.To)] = [.. d.Words.Select(w => new RecognisedWord(w.S, w.E, w.W, w.P, w.A is { Count: > 0 } a ? [.. a.Select(o => new WordAlternative(o.W, o.P))] : null))];
                }
            }
            catch (JsonException)
            {
                break;
            }
        }

        return done;
    }

    /// <summary>Begins the log afresh with what is done already, so that a half-written line never stands before a whole one.</summary>
    private StreamWriter? OpenLog(string key, Dictionary<SpeechStretch, IReadOnlyList<RecognisedWord>> done)
    {
        if (_log is null)
        {
            return null;
        }

        string next = _log + ".new";
        using (var fresh = new StreamWriter(next, false, new UTF8Encoding(false)))
        {
            fresh.WriteLine(key);
            foreach (var (stretch, words) in done)
            {
                fresh.WriteLine(Line(stretch, words));
            }
        }

        File.Move(next, _log, overwrite: true);
        return new StreamWriter(_log, true, new UTF8Encoding(false));
    }

    private static string Line(SpeechStretch s, IReadOnlyList<RecognisedWord> words) =>
        JsonSerializer.Serialize(new LogLine(s.From, s.To, [.. words.Select(w => new LogWord(w.Text, w.Start, w.End, w.Probability, w.Alternatives is { } a ? [.. a.Select(o => new LogOther(o.Text, o.Probability))] : null))]), WordsLogContext.Default.LogLine);
}

/// <summary>A stretch that is done, as the log of a job has it.</summary>
internal sealed record LogLine(double From, double To, IReadOnlyList<LogWord> Words);

internal sealed record LogWord(string W, double S, double E, double? P, IReadOnlyList<LogOther>? A = null);

internal sealed record LogOther(string W, double P);

[System.Text.Json.Serialization.JsonSerializable(typeof(LogLine))]
internal sealed partial class WordsLogContext : System.Text.Json.Serialization.JsonSerializerContext;
