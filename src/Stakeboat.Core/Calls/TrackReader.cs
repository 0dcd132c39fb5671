using Stakeboat.Core.Calls.Context;
using Stakeboat.Core.Calls.Lattice;
using Stakeboat.Core.Calls.Learned;
using Stakeboat.Core.Calls.Words;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Calls;

/// <summary>Takes a caption track through the ear: cues to words, words to calls, calls to places in time.</summary>
internal static class TrackReader
{
    /// <summary>Words of a track with the time that each takes.</summary>
    internal sealed record Spoken(List<CallToken> Tokens, List<double> From, List<double> To);

    internal static Spoken Words(CaptionTrack captions, IReadOnlySet<int> aside)
    {
        var tokens = new List<CallToken>();
        var from = new List<double>();
        var to = new List<double>();
        bool blocks = captions.Timing == CaptionTiming.Blocks;
        for (int c = 0; c < captions.Cues.Count; c++)
        {
            var cue = captions.Cues[c];
            int first = tokens.Count;
            if (aside.Contains(c))
            {
                continue;
            }

            Tokenizer.Append(cue.Text, c, tokens);
            int n = tokens.Count - first;
            if (cue.Words.Count == n && n > 0)
            {
                for (int i = 0; i < n; i++)
                {
                    if (cue.Words[i] is { Alternatives: { Count: > 0 } others } heard)
                    {
                        double own = Math.Max(0.05, heard.Probability ?? 0.5);
                        tokens[first + i] = tokens[first + i] with { Others = [.. others.Where(o => o.Probability > 0).Select(o => (o.Text.ToLowerInvariant(), Math.Log(o.Probability / own)))] };
                    }
                }

                foreach (var w in cue.Words)
                {
                    from.Add(w.Start.Seconds);
                    to.Add(w.End.Seconds);
                }

                continue;
            }

            Placement.Spread(tokens, first, cue.Start.Seconds, Math.Max(cue.Start.Seconds + 0.1, cue.End.Seconds), blocks, from, to);
        }

        return new Spoken(tokens, from, to);
    }

    /// <summary>Cuts the words into parts of some sixty at breaks and tells each its setting.</summary>
    internal static IEnumerable<(int At, List<CallToken> Part)> Parts(List<CallToken> tokens)
    {
        int at = 0;
        while (at < tokens.Count)
        {
            int end = Math.Min(tokens.Count, at + 60);
            while (end < tokens.Count && !tokens[end].BreakBefore && end < at + 90)
            {
                end++;
            }

            yield return (at, tokens.GetRange(at, end - at));
            at = end;
        }
    }

    internal static Setting SettingOf(RaceSheet? sheet, CallContext context) => new(
        sheet is null ? [] : [.. sheet.Rivals.Select((r, i) => new CrewName(i, r, sheet.LaneOf(r)))], sheet?.Us.Names ?? [], null,
        sheet is { Distance: null, Rivals.Count: 0 } ? "practice" : "before", sheet?.Us.Boat.Rowers ?? 8, sheet?.Distance?.Metres,
        [.. context.CrewLexicon, .. sheet?.Us.Words.Where(w => w.Meaning.Length > 0).Select(w => new LearnedWord(w.Word.ToLowerInvariant(), w.Meaning.ToLowerInvariant(), 4)) ?? []], true);

    /// <summary>What state the outing is in after a call: before the start, racing, after the line.</summary>
    internal static string? PhaseAfter(string? phase, Call call) => (phase, call) switch
    {
        ("before", ShiftCall { To: RhythmChange.Start }) => "race",
        ("before", RateCall { Spm: >= 32 } or MarginCall or TrendCall or DistanceCall { Sense: DistanceSense.Gone } or ShiftCall) => "race",
        _ => phase,
    };

    public static CallReadings Read(CallDecoder decoder, CaptionTrack captions, RaceSheet? sheet, CallContext context)
    {
        var aside = SettingAside.Find(captions, decoder.Models);
        var (tokens, from, to) = Words(captions, aside.Select(a => a.CueIndex).ToHashSet());
        var calls = new List<HeardCall>();
        var setting = SettingOf(sheet, context);
        bool timed = captions.Timing == CaptionTiming.Words;
        var heard = decoder.Hear(tokens, setting, sheet?.Us.Name);
        foreach (var (at, part) in Parts(tokens))
        {
            var read = decoder.Read(part, setting, LearnedLines.Within(heard, at, part.Count));
            setting = setting.After(read);
            foreach (var r in read)
            {
                if (sheet is { Distance: null, Rivals.Count: 0 } && SpokenOf.Speaks(r.Call) && r.Probability < 0.75)
                {
                    continue; // nobody on the sheet to speak of, and no race: only a plain claim counts
                }

                double t = to[at + r.LastToken];
                int cue = part[r.LastToken].CueIndex;
                string words = string.Join(' ', part.Skip(r.FirstToken).Take(r.LastToken - r.FirstToken + 1).Select(x => x.Text));
                double length = captions.Cues[cue].End.Seconds - captions.Cues[cue].Start.Seconds;
                calls.Add(new HeardCall(Instant<RecordingClock>.FromSeconds(t), timed ? 0.3 : Placement.Sd(length, captions.Timing), r.Call, r.Probability, words, cue, r.Others));
            }
        }

        calls.Sort((a, b) => a.At.CompareTo(b.At));
        var (corrected, outcomes) = Corrections.Apply(calls, context.Corrections, captions);
        var talk = Talk.Of(tokens, from, to, corrected, sheet?.Distance?.Metres, context.RatesNear);
        return new CallReadings(captions.Name, captions.Timing, corrected, aside, talk, outcomes);
    }
}
