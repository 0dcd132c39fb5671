using Stakeboat.Core.Calls.Words;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Core.Calls.Context;

/// <summary>Lays what a person put right over a fresh reading.</summary>
internal static class Corrections
{
    private const double Reach = 6;

    public static (List<HeardCall> Calls, List<CorrectionOutcome> Outcomes) Apply(List<HeardCall> read, IReadOnlyList<CallCorrection> corrections, CaptionTrack captions)
    {
        var calls = new List<HeardCall>(read);
        var outcomes = new List<CorrectionOutcome>();
        var touched = new HashSet<HeardCall>(ReferenceEqualityComparer.Instance);
        foreach (var c in corrections)
        {
            var found = calls
                .Where(h => !touched.Contains(h) && Math.Abs(h.At.Seconds - c.At.Seconds) <= Reach && About(h, c))
                .OrderBy(h => c.Was is not null && h.Call == c.Was ? 0 : 1).ThenBy(h => Math.Abs(h.At.Seconds - c.At.Seconds)).FirstOrDefault();
            bool stands = c.Heard.Length == 0 || captions.Cues.Any(q => q.Start.Seconds <= c.At.Seconds + Reach && q.End.Seconds >= c.At.Seconds - Reach && Same(q.Text, c.Heard));
            if (found is null)
            {
                if (c.Is is null)
                {
                    outcomes.Add(new CorrectionOutcome(c, stands ? CorrectionFate.NoLongerNeeded : CorrectionFate.NotFound));
                }
                else if (calls.Exists(h => h.Call == c.Is && Math.Abs(h.At.Seconds - c.At.Seconds) <= Reach && !touched.Contains(h)))
                {
                    outcomes.Add(new CorrectionOutcome(c, CorrectionFate.NoLongerNeeded));
                }
                else if (stands)
                {
                    int cue = CueAt(captions, c.At.Seconds);
                    var added = new HeardCall(c.Moved ?? c.At, 0.5, c.Is, 1, c.Heard, cue, []);
                    calls.Add(added);
                    touched.Add(added);
                    outcomes.Add(new CorrectionOutcome(c, CorrectionFate.Applied));
                }
                else
                {
                    outcomes.Add(new CorrectionOutcome(c, CorrectionFate.NotFound));
                }

                continue;
            }

            calls.Remove(found);
            if (c.Is is null)
            {
                outcomes.Add(new CorrectionOutcome(c, CorrectionFate.Applied));
                continue;
            }

            bool already = found.Call == c.Is && c.Moved is null;
            var now = found with { Call = c.Is, At = c.Moved ?? found.At, AtSd = c.Moved is null ? found.AtSd : 0.5, Confidence = 1, Others = [] };
            calls.Add(now);
            touched.Add(now);
            outcomes.Add(new CorrectionOutcome(c, already ? CorrectionFate.NoLongerNeeded : CorrectionFate.Applied));
        }

        calls.Sort((a, b) => a.At.CompareTo(b.At));
        return (calls, outcomes);
    }

    private static bool About(HeardCall h, CallCorrection c) =>
        (c.Was is not null && h.Call == c.Was) || (c.Was is not null && c.Is is not null && h.Call == c.Is)
        || (c.Was is not null && c.Heard.Length > 0 && (Same(h.Words, c.Heard) || Same(c.Heard, h.Words)));

    private static bool Same(string text, string part) => Plain(text).Contains(Plain(part), StringComparison.Ordinal);

    private static string Plain(string text)
    {
        var tokens = new List<Learned.CallToken>();
        Tokenizer.Append(text, 0, tokens);
        return " " + string.Join(' ', tokens.Select(t => t.Text)) + " ";
    }

    private static int CueAt(CaptionTrack captions, double t)
    {
        int at = 0;
        for (int i = 0; i < captions.Cues.Count; i++)
        {
            if (captions.Cues[i].Start.Seconds <= t)
            {
                at = i;
            }
        }

        return at;
    }
}
