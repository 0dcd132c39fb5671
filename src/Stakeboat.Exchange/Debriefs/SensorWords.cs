using System.Globalization;
using Stakeboat.Core.Strokes;

namespace Stakeboat.Exchange.Debriefs;

/// <summary>What the sensors' analysis wants a reader to know, in words.</summary>
public static class SensorWords
{
    public static string Sentence(SensorIssue i)
    {
        string value = i.Value is { } v ? v.ToString("0.##", CultureInfo.InvariantCulture) : "?";
        return i.Kind switch
        {
            SensorIssueKind.NothingToAnalyse => "Neither the motion log nor the track holds anything that could be analysed.",
            SensorIssueKind.FixesWithoutTime => $"{i.Count.ToString(CultureInfo.InvariantCulture)} fixes carry no time and were left out.",
            SensorIssueKind.NoTrack => "Without a track there is no distance, and speed only as its swing within the stroke.",
            SensorIssueKind.NoMotion => "Without a motion log speed within the stroke is not resolved.",
            SensorIssueKind.RateRefusedAliasing => $"No stroke rate is given {Moments(i)}from fixes at {value} Hz: above {Top(i.Value)} strokes a minute a rate cannot be told from its mirror image below it.",
            SensorIssueKind.RateAmbiguousAliasing => $"The fixes fit {value} strokes a minute and its mirror image alike {Moments(i)}and neither is shown.",
            SensorIssueKind.RateNotResolved => "The fixes are too few or too noisy to hold a stroke rate.",
            SensorIssueKind.PolarityByShape => "Which way the phone pointed was told from the shape of the stroke, not from speed.",
            SensorIssueKind.ClocksNotJoined => "The motion log and the track could not be put on one clock; the log was used for strokes alone.",
            SensorIssueKind.NoOverlap => "The motion log and the track do not overlap in time.",
            SensorIssueKind.GapInFixes => $"A gap of {value} s in the fixes was left open.",
            SensorIssueKind.GapInMotion => $"A gap of {value} s in the motion log was left open.",
            SensorIssueKind.SpikesHeldDown => $"{Percent(i.Value)} of the fixes were spikes and held down.",
            SensorIssueKind.MotionSlow => $"The motion log has only {value} samples a second: catches are less exact.",
            SensorIssueKind.MotionClockJumped => $"The motion log's clock jumped by {value} s; its time was run on from before.",
            SensorIssueKind.PhoneMoved => $"The phone was moved by some {value} degrees.",
            _ => i.Kind.ToString(),
        };
    }

    /// <summary>27 at 1 Hz, and in proportion.</summary>
    private static string Top(double? hz) => hz is { } h ? (27 * h).ToString("0.#", CultureInfo.InvariantCulture) : "27";

    private static string Moments(SensorIssue i) => i.Count > 1 ? $"for {(2 * i.Count).ToString(CultureInfo.InvariantCulture)} s of rowing " : "";

    private static string Percent(double? share) => share is { } s ? (100 * s).ToString("0.#", CultureInfo.InvariantCulture) + " %" : "Some";
}
