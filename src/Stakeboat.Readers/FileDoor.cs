using Stakeboat.Readers.Captions;
using Stakeboat.Readers.Archives;
using Stakeboat.Readers.Fit;
using Stakeboat.Readers.Maps;
using Stakeboat.Readers.Motion;
using Stakeboat.Readers.Sheets;
using Stakeboat.Readers.Sound;
using Stakeboat.Readers.Text;
using Stakeboat.Readers.Tracks;

namespace Stakeboat.Readers;

/// <summary>The one door for files of any kind: content decides what a file is, its name never does.</summary>
public static class FileDoor
{
    /// <summary>Reads a file whatever it is.</summary>
    /// <param name="stream">Read once from where it stands; seeking is used where it can be.</param>
    /// <param name="name">Shown to the person with what was wrong.</param>
    /// <param name="correction">For logs of numbers, where the guess was wrong.</param>
    /// <param name="rollOvers">Multiples of 1024 weeks to add to the dates of NMEA sentences: the answer to the reader's offer.</param>
    public static Reading<FileContents> Open(Stream stream, string name, LogCorrection? correction = null, int rollOvers = 0)
    {
        ArgumentNullException.ThrowIfNull(stream);
        var head = new byte[Sniff.Bytes];
        int have;
        try
        {
            have = stream.ReadAtLeast(head, head.Length, throwOnEndOfStream: false);
        }
        catch (IOException e)
        {
            return Failed(name, FileKind.Unknown, $"The file cannot be read: {e.Message}", "Copy it to this machine and try again.");
        }

        var kind = Sniff.Kind(head.AsSpan(0, have), out string foreign);
        if (correction is not null && kind is (FileKind.Unknown or FileKind.ResultText or FileKind.TimedText))
        {
            kind = FileKind.NumberLog; // a person says how it is laid out
        }

        Stream whole;
        if (stream.CanSeek)
        {
            stream.Seek(-have, SeekOrigin.Current);
            whole = stream;
        }
        else
        {
            whole = new HeadThenRest(head.AsMemory(0, have), stream);
        }

        return Read(kind, whole, name, foreign, correction, rollOvers);
    }

    private static Reading<FileContents> Read(FileKind kind, Stream s, string name, string foreign, LogCorrection? correction, int rollOvers)
    {
        var found = new FileContents(name, kind);
        switch (kind)
        {
            case FileKind.Empty:
                return Failed(name, kind, "The file is empty.", "Copy or export it again.");
            case FileKind.Foreign:
                return Failed(name, kind, $"This is {foreign}, which cannot be read here.", "Bring a track, a motion log, captions, a recording or a result sheet.");
            case FileKind.Labels:
                var log = new IssueLog(name);
                log.Note("", "These are labels or the truth of a simulated race.", "The file was not looked at.");
                return log.Reading(found);
            case FileKind.Gpx:
                return Of(GpxReader.Read(s, name), f => found with { Lines = f.Lines, Tracks = f.Tracks, Places = f.Places, Laps = f.Laps, Motions = f.Motions });
            case FileKind.Tcx:
                return Of(TcxReader.Read(s, name), f => found with { Tracks = f.Tracks, Places = f.Places, Laps = f.Laps, Motions = f.Motions });
            case FileKind.Fit:
                return Of(FitReader.Read(s, name), f => found with { Sessions = f.Sessions, Tracks = f.Tracks, Places = f.Places, Laps = f.Laps, Motions = f.Motions });
            case FileKind.Nmea:
                return Of(NmeaReader.Read(s, name, rollOvers), f => found with { Tracks = f.Tracks, Places = f.Places, Laps = f.Laps, Motions = f.Motions });
            case FileKind.WebVtt:
                return Of(WebVttReader.Read(s, name), c => found with { Captions = c });
            case FileKind.SubRip:
                return Of(SubRipReader.Read(s, name), c => found with { Captions = c });
            case FileKind.TimedText:
                return Of(TimedTextReader.Read(s, name), c => found with { Captions = c });
            case FileKind.WordJson:
                return Of(WordJsonReader.Read(s, name), c => found with { Captions = c });
            case FileKind.RaceSheet:
                return Of(RaceSheetReader.Read(s, name), r => found with { Sheet = r });
            case FileKind.ResultSheet:
                return Of(ResultJsonReader.Read(s, name), r => found with { Result = r });
            case FileKind.ResultText:
                return Of(ResultTextReader.Read(s, name), r => found with { Result = r });
            case FileKind.GeoJson:
                return Of(GeoJsonReader.Read(s, name), m => found with { Places = m.Places, Lines = m.Lines });
            case FileKind.Zip:
                return ZipReader.Read(s, name, correction);
            case FileKind.NumberLog:
                return Of(LogReader.Read(s, name, correction), l => found with
                {
                    Layout = l.Layout, Tracks = l.Track is null ? [] : [l.Track], Motions = l.Motion is null ? [] : [l.Motion], Turning = l.Turning,
                });
            case FileKind.Wav or FileKind.Flac or FileKind.Mp3 or FileKind.OggOpus or FileKind.OggVorbis:
                return Sound(SoundReader.Open(s, name), found);
            case FileKind.M4a:
                return Of(M4aHead.Read(s, name), f => found with { Sound = f });
            default:
                return Failed(name, FileKind.Unknown, "The content is of no kind that we know.",
                    "Bring GPX, TCX, FIT, NMEA, CSV or GeoJSON; WebVTT, SubRip or a transcript with times; WAV, FLAC, MP3, Ogg or Opus; a result sheet.");
        }
    }

    private static Reading<FileContents> Sound(Reading<SoundReader> reading, FileContents found)
    {
        using var reader = reading.Value;
        return new Reading<FileContents>(reader is null ? null : found with { Sound = reader.Facts() }, reading.Issues);
    }

    private static Reading<FileContents> Of<T>(Reading<T> reading, Func<T, FileContents> put)
        where T : class => new(reading.Value is { } v ? put(v) : null, reading.Issues);

    private static Reading<FileContents> Failed(string name, FileKind kind, string what, string done)
    {
        _ = kind;
        return new Reading<FileContents>(null, [new ReadingIssue(Severity.Error, name, "", what, done)]);
    }
}
