using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;

namespace Stakeboat.Readers.Captions;

/// <summary>What all caption readers share: doubtful cues, order, the last sentence.</summary>
internal static class CueList
{
    /// <summary>Notes a cue as it stands, or says why it cannot be used.</summary>
    public static void Add(List<(int Line, double Start, double End, string Raw)> cues, IssueLog log, int line, bool timed, double start, double end, string raw)
    {
        if (!timed)
        {
            log.Warn(IssueLog.Line(line), "A cue's time cannot be read.", "The cue was left out.");
            return;
        }

        if (end < start)
        {
            log.Warn(IssueLog.Line(line), "A cue ends before it begins.", "Its end was set to its beginning.");
            end = start;
        }

        cues.Add((line, start, end, raw));
    }

    /// <summary>Takes tags off, and what cues repeat; then as <see cref="Finish(List{CaptionCue},string,CaptionTiming,IssueLog)"/>.</summary>
    public static Reading<CaptionTrack> Finish(List<(int Line, double Start, double End, string Raw)> raw, string name, bool bracesToo, IssueLog log)
    {
        var cues = new List<CaptionCue>(raw.Count);
        foreach (var (_, start, end, text) in RollUp.TakeOff(raw, log))
        {
            var cue = CueText.Cue(start, end, text, bracesToo);
            if (cue.Text.Length > 0)
            {
                cues.Add(cue);
            }
        }

        return Finish(cues, name, CaptionTiming.Cues, log);
    }

    /// <summary>Puts cues in order of time and says what is left.</summary>
    public static Reading<CaptionTrack> Finish(List<CaptionCue> cues, string name, CaptionTiming timing, IssueLog log)
    {
        bool ordered = true;
        for (int i = 1; i < cues.Count && ordered; i++)
        {
            ordered = cues[i].Start.Seconds >= cues[i - 1].Start.Seconds;
        }

        if (!ordered)
        {
            log.Note("", "The cues are not in order of time.", "They were put in order.");
            cues = [.. cues.OrderBy(c => c.Start.Seconds)];
        }

        if (cues.Count == 0)
        {
            log.Error("", "There is not one caption with a time and words in it.", "Export the captions again as WebVTT or SubRip.");
            return log.Reading<CaptionTrack>(null);
        }

        return log.Reading(new CaptionTrack(name, timing, cues));
    }

    public static Instant<RecordingClock> At(double seconds) => Instant<RecordingClock>.FromSeconds(seconds);
}
