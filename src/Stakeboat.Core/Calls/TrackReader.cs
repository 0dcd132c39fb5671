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
    public static CallReadings Read(CallDecoder decoder, CaptionTrack captions, RaceSheet? sheet, CallContext context)
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

        var crews = sheet is null ? [] : sheet.Rivals.Select((r, i) => new CrewName(i, r, sheet.LaneOf(r))).ToList();
        var names = sheet?.Us.Names ?? [];
        int seats = sheet?.Us.Boat.Rowers ?? 8;
        double? distance = sheet?.Distance?.Metres;
        var calls = new List<HeardCall>();
        string? talkOf = null;
        int at = 0;
        while (at < tokens.Count)
        {
            int end = Math.Min(tokens.Count, at + 60);
            while (end < tokens.Count && !tokens[end].BreakBefore && end < at + 90)
            {
                end++;
            }

            var part = tokens.GetRange(at, end - at);
            var setting = new Setting(crews, names, talkOf, null, seats, distance, context.CrewLexicon);
            foreach (var r in decoder.Read(part, setting))
            {
                double t = to[at + r.LastToken];
                talkOf = SpokenOf.Of(r.Call) ?? talkOf;
                calls.Add(new HeardCall(Instant<RecordingClock>.FromSeconds(t), 0.5, r.Call, r.Probability,
                    string.Join(' ', part.Skip(r.FirstToken).Take(r.LastToken - r.FirstToken + 1).Select(x => x.Text)), part[r.LastToken].CueIndex, r.Others));
            }

            at = end;
        }

        var talk = new TalkStatistics(tokens.Count == 0 ? 0 : to[^1] - from[0], tokens.Count, new Dictionary<string, double>(StringComparer.Ordinal), 0, 0, [0, 0, 0, 0], null, null);
        return new CallReadings(captions.Name, captions.Timing, calls, [], talk, []);
    }
}
