using System.Globalization;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Strokes;

namespace Stakeboat.Exchange.Debriefs;

/// <summary>The stroke rate by its sources, as parts of the document and in words.</summary>
public static class RateParts
{
    /// <summary>"motion", "track", "sound", "counts", "said".</summary>
    public static string Name(RateSource source) => source switch
    {
        RateSource.Motion => "motion",
        RateSource.FastFixes or RateSource.SlowFixes => "track",
        RateSource.Sound => "sound",
        RateSource.Counts => "counts",
        _ => "said",
    };

    public static string Sentence(RateDispute d)
    {
        ArgumentNullException.ThrowIfNull(d);
        string who = d.Source switch
        {
            RateSource.Motion => "The motion log",
            RateSource.FastFixes or RateSource.SlowFixes => "The track",
            RateSource.Sound => "The sound of the boat",
            RateSource.Counts => "The counted strokes",
            _ => "The called rate",
        };
        string when = d.To - d.From < 1 ? $"at {Clock(d.From)}" : $"from {Clock(d.From)} to {Clock(d.To)}";
        string how = d.Changed
            ? d.Source is RateSource.SlowFixes ? "agrees with the other sources once unfolded"
                : d.Said < d.Merged ? "agrees with the other sources once doubled" : "agrees with the other sources once halved"
            : "was left out of the merged rate";
        return string.Create(CultureInfo.InvariantCulture, $"{who} said {d.Said:0.0} strokes a minute {when} where the others came to {d.Merged:0.0}: it {how}.");
    }

    internal static List<RatePart> Merged(RaceDebrief d) =>
        [.. d.Rates.Merged.Select(m => new RatePart(DebriefWriter.R(m.Seconds, 2), DebriefWriter.R(m.Rate.Mean, 2), DebriefWriter.R(m.Rate.Sd, 2), Name(m.Agreeing[0])))];

    internal static List<RatePart> BySource(RaceDebrief d) => d.Rates.Readings.Select(r => Name(r.Source)).Distinct().Count() < 2 ? [] :
        [.. d.Rates.Readings.Where(r => r.Source is not RateSource.Motion and not RateSource.FastFixes)
            .Select(r => new RatePart(DebriefWriter.R(r.Seconds, 2), DebriefWriter.R(r.Rate.Mean, 2), DebriefWriter.R(r.Rate.Sd, 2), Name(r.Source)))];

    internal static List<RateDisputePart> Disputes(RaceDebrief d) => [.. d.Rates.Disputes.Select(x => new RateDisputePart(
        Name(x.Source), DebriefWriter.R(x.From, 1), DebriefWriter.R(x.To, 1), DebriefWriter.R(x.Said, 1), DebriefWriter.R(x.Merged, 1), x.Changed, Sentence(x)))];

    private static string Clock(double t) =>
        string.Create(CultureInfo.InvariantCulture, $"{(int)Math.Floor(Math.Max(0, t) / 60)}:{(int)Math.Max(0, t) % 60:00}");
}
