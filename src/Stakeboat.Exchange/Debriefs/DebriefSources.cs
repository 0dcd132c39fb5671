using Stakeboat.Core.Debrief;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Strokes;

namespace Stakeboat.Exchange.Debriefs;

/// <summary>What went into a debrief, what was doubtful in it, and what a further file would give.</summary>
internal static class DebriefSources
{
    public static IReadOnlyList<SourcePart> Of(RaceDebrief d)
    {
        var o = d.Input.Outing;
        var parts = new List<SourcePart>();
        if (o.Sheet is { } sheet)
        {
            parts.Add(new SourcePart("sheet", "race sheet", true, sheet.Rivals.Count == 0 ? "no other crew named" : ""));
        }

        parts.AddRange(o.Captions.Select(c => new SourcePart("captions", c.Name, ReferenceEquals(c, d.Captions), c.Timing switch
        {
            CaptionTiming.Words => "a time for each word",
            CaptionTiming.Cues => "a time for each line",
            _ => "a time for each block only: calls are placed within it by tempo",
        })));
        if (o.Sound is { } sound)
        {
            parts.Add(new SourcePart("recording", sound.FileName, true, ""));
        }

        var track = o.Tracks.OrderByDescending(t => t.Fixes.Count).FirstOrDefault();
        parts.AddRange(o.Tracks.Select(t => new SourcePart("track", t.Name, ReferenceEquals(t, track), ReferenceEquals(t, track) ? "" : "a longer track is used")));
        var motion = o.Motions.OrderByDescending(m => m.Count).FirstOrDefault();
        parts.AddRange(o.Motions.Select(m => new SourcePart("motion", m.Name, ReferenceEquals(m, motion), ReferenceEquals(m, motion) ? "" : "a longer log is used")));
        if (o.Result is not null)
        {
            parts.Add(new SourcePart("result", "result sheet", true, ""));
        }

        if (d.Input.Plan is { } plan)
        {
            parts.Add(new SourcePart("plan", plan.Title ?? "plan", true, ""));
        }

        return parts;
    }

    public static IEnumerable<IssuePart> Issues(RaceDebrief d)
    {
        foreach (var i in d.Sensors?.Issues ?? [])
        {
            bool note = i.Kind is SensorIssueKind.NoTrack or SensorIssueKind.NoMotion or SensorIssueKind.SpikesHeldDown or SensorIssueKind.PhoneMoved;
            yield return new IssuePart(note ? "note" : "warning", "sensors", "", SensorWords.Sentence(i), "", i.Count);
        }

        if (d.Sensors is not null && d.SensorMap is null)
        {
            yield return new IssuePart("warning", "sensors", "", "Nothing that was said could be matched to the sensors, so their clock is unknown.",
                "Pair an instant of the recording with one of the track by hand.", 1);
        }

        foreach (var x in d.Rates.Disputes)
        {
            yield return new IssuePart(x.Changed ? "note" : "warning", RateParts.Name(x.Source), "", RateParts.Sentence(x), "", 1);
        }

        if (d.Times.Go is null && d.OnRecording)
        {
            yield return new IssuePart("note", d.Captions?.Name ?? "recording", "", "No start of a race was found in it.", "If there was one, set the second of \"go\" by hand.", 1);
        }
    }

    public static IReadOnlyList<string> MoreWouldGive(RaceDebrief d)
    {
        var o = d.Input.Outing;
        var more = new List<string>();
        if (o.Captions.Count == 0)
        {
            more.Add("Captions or a recording would give what was called, and from it the margins.");
        }
        else if (o.Captions.All(c => c.Timing == CaptionTiming.Blocks))
        {
            more.Add("Captions with a time for each line would place calls to the second instead of to the block.");
        }

        if (o.Tracks.Count == 0)
        {
            more.Add("A track from a watch or phone would give distance, pace and the line rowed.");
        }

        if (o.Motions.Count == 0)
        {
            more.Add("A phone's motion log would give each stroke, its rate and the speed within it.");
        }

        if (o.Result is null && d.Times.Go is not null)
        {
            more.Add("The result sheet with 500 m times would narrow every margin to about a metre at the marks.");
        }

        if (d.Input.Plan is null)
        {
            more.Add("The race plan would show what was planned beside what was called and rowed.");
        }

        if (o.Sheet is null)
        {
            more.Add("Who raced in which lane, and the boat, would let position calls be read as metres.");
        }

        return more;
    }
}
