using Stakeboat.Core.Measurement;

namespace Stakeboat.Readers;

/// <summary>One run of samples, cues or sound within a file, as a person wants to know it.</summary>
/// <param name="What">"track", "motion", "captions", "words", "sound".</param>
/// <param name="Count">Fixes, samples or cues.</param>
/// <param name="Start">First time on <paramref name="Clock"/>, s; null where there is none.</param>
/// <param name="End">Last time, s.</param>
/// <param name="PerSecond">One over the median step; null for captions.</param>
/// <param name="Gaps">Steps of more than ten medians (tracks: more than 5 s).</param>
/// <param name="LongestGap">The longest of them, s; 0 where there is none.</param>
/// <param name="Clock">Whose clock: satellite, motion log, recording, or none.</param>
public sealed record SeriesSummary(string What, string Name, long Count, double? Start, double? End, double? PerSecond, int Gaps, double LongestGap, string Clock)
{
    public double? Seconds => End - Start;
}

/// <summary>What a file is and what it spans.</summary>
public sealed record FileSummary(string Name, string Kind, IReadOnlyList<SeriesSummary> Series)
{
    public static FileSummary Of(FileContents file)
    {
        ArgumentNullException.ThrowIfNull(file);
        var series = new List<SeriesSummary>();
        series.AddRange(file.Tracks.Select(Track));
        series.AddRange(file.Motions.Select(m => Steps("motion", m.Name, m.Seconds, 0, "motion log")));
        if (file.Captions is { } c)
        {
            int words = c.Cues.Sum(q => q.Words.Count);
            series.Add(new SeriesSummary(c.Timing == CaptionTiming.Words ? "words" : "captions", c.Name, words > 0 ? words : c.Cues.Count,
                c.Cues[0].Start.Seconds, c.Cues.Max(q => q.End.Seconds), null, 0, 0, "recording"));
        }

        if (file.Sound is { } s)
        {
            series.Add(new SeriesSummary("sound", s.FileName, 1, 0, s.DurationSeconds, null, 0, 0, "recording"));
        }

        return new FileSummary(file.Name, Word(file), series);
    }

    private static SeriesSummary Track(Track t)
    {
        var times = t.Fixes.Where(f => f.Time is not null).Select(f => f.Time!.Value.Seconds).ToArray();
        return times.Length == 0
            ? new SeriesSummary("track", t.Name, t.Fixes.Count, null, null, null, 0, 0, "none")
            : Steps("track", t.Name, times, Tracks.TrackTidy.Gap, "satellite") with { Count = t.Fixes.Count };
    }

    private static SeriesSummary Steps(string what, string name, double[] t, double gap, string clock)
    {
        double step = Motion.LogUnits.MedianStep(t), longest = 0;
        int gaps = 0;
        double least = double.PositiveInfinity, most = double.NegativeInfinity;
        for (int i = 0; i < t.Length; i++)
        {
            least = Math.Min(least, t[i]);
            most = Math.Max(most, t[i]);
            double d = i > 0 ? t[i] - t[i - 1] : 0;
            if (d > (gap > 0 ? gap : Math.Max(10 * step, 0.5)))
            {
                gaps++;
                longest = Math.Max(longest, d);
            }
        }

        return new SeriesSummary(what, name, t.Length, least, most, step > 0 ? 1 / step : null, gaps, longest, clock);
    }

    private static string Word(FileContents f) => f.Kind switch
    {
        FileKind.Gpx => "GPX track",
        FileKind.Tcx => "TCX track",
        FileKind.Fit => "FIT track",
        FileKind.Nmea => "NMEA 0183 track",
        FileKind.NumberLog => f.Motions.Count > 0 && f.Tracks.Count > 0 ? "log of motion and positions" : f.Motions.Count > 0 ? "motion log" : f.Turning is not null ? "log of turning rates" : "log of positions",
        FileKind.WebVtt => "WebVTT captions",
        FileKind.SubRip => "SubRip captions",
        FileKind.TimedText => "transcript with times",
        FileKind.WordJson => "words with times (JSON)",
        FileKind.RaceSheet => "race sheet",
        FileKind.ResultSheet or FileKind.ResultText => "result sheet",
        FileKind.GeoJson => "GeoJSON drawing",
        FileKind.Wav => "WAV recording",
        FileKind.Flac => "FLAC recording",
        FileKind.Mp3 => "MP3 recording",
        FileKind.OggVorbis => "Ogg Vorbis recording",
        FileKind.OggOpus => "Opus recording",
        FileKind.M4a => "M4A recording",
        FileKind.Zip => "zip archive",
        FileKind.Labels => "labels of a simulated race",
        _ => "unknown",
    };
}
