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

    internal static Spoken Words(CaptionTrack captions)
    {
        var tokens = new List<CallToken>();
        var from = new List<double>();
        var to = new List<double>();
        for (int c = 0; c < captions.Cues.Count; c++)
        {
            var cue = captions.Cues[c];
            int first = tokens.Count;
            Tokenizer.Append(cue.Text, c, tokens);
            int n = tokens.Count - first;
            double start = cue.Start.Seconds, length = Math.Max(0.1, cue.End.Seconds - start);
            if (cue.Words.Count == n && n > 0)
            {
                foreach (var w in cue.Words)
                {
                    from.Add(w.Start.Seconds);
                    to.Add(w.End.Seconds);
                }

                continue;
            }

            for (int k = 0; k < n; k++)
            {
                from.Add(start + (length * k / n));
                to.Add(start + (length * (k + 1) / n));
            }
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
        sheet is { Distance: null, Rivals.Count: 0 } ? "practice" : "before", sheet?.Us.Boat.Rowers ?? 8, sheet?.Distance?.Metres, context.CrewLexicon, true);

    /// <summary>What state the outing is in after a call: before the start, racing, after the line.</summary>
    internal static string? PhaseAfter(string? phase, Call call) => (phase, call) switch
    {
        ("before", ShiftCall { To: RhythmChange.Start }) => "race",
        ("before", RateCall { Spm: >= 32 } or MarginCall or TrendCall or DistanceCall { Sense: DistanceSense.Gone } or ShiftCall) => "race",
        _ => phase,
    };

    public static CallReadings Read(CallDecoder decoder, CaptionTrack captions, RaceSheet? sheet, CallContext context)
    {
        var (tokens, _, to) = Words(captions);
        var from = Words(captions).From;
        var calls = new List<HeardCall>();
        var setting = SettingOf(sheet, context);
        foreach (var (at, part) in Parts(tokens))
        {
            foreach (var r in decoder.Read(part, setting))
            {
                double t = to[at + r.LastToken];
                setting = setting with { TalkOf = SpokenOf.Of(r.Call) ?? setting.TalkOf, Phase = PhaseAfter(setting.Phase, r.Call) };
                calls.Add(new HeardCall(Instant<RecordingClock>.FromSeconds(t), 0.5, r.Call, r.Probability,
                    string.Join(' ', part.Skip(r.FirstToken).Take(r.LastToken - r.FirstToken + 1).Select(x => x.Text)), part[r.LastToken].CueIndex, r.Others));
            }
        }

        var talk = new TalkStatistics(tokens.Count == 0 ? 0 : to[^1] - from[0], tokens.Count, new Dictionary<string, double>(StringComparer.Ordinal), 0, 0, [0, 0, 0, 0], null, null);
        return new CallReadings(captions.Name, captions.Timing, calls, [], talk, []);
    }
}
