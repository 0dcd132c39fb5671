using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Archives;
using Stakeboat.Readers.Captions;
using Stakeboat.Readers.Fit;
using Stakeboat.Readers.Maps;
using Stakeboat.Readers.Motion;
using Stakeboat.Readers.Sheets;
using Stakeboat.Readers.Sound;
using Stakeboat.Readers.Tracks;

namespace Stakeboat.Readers.Fuzz;

/// <summary>Every reader, the door that recognises, and the way out and in again.</summary>
public static class Targets
{
    private const int K = 1 << 10;
    private static readonly string[] s_everything =
        ["gpx", "tcx", "fit", "nmea", "log", "webvtt", "subrip", "transcript", "words", "wav", "flac", "mp3", "opus", "m4a", "results", "racesheet", "geojson", "zip"];

    public static IReadOnlyList<Target> All { get; } =
    [
        Of("gpx", s => GpxReader.Read(s, "f"), Promises.File, TextBending.Bend, 128, 128 * K),
        Of("tcx", s => TcxReader.Read(s, "f"), Promises.File, TextBending.Bend, 128, 128 * K),
        Of("fit", s => FitReader.Read(s, "f"), Promises.File, FitBending.Bend, 256, 128 * K),
        Of("nmea", s => NmeaReader.Read(s, "f"), Promises.File, ContainerBending.Nmea, 128, 128 * K),
        Of("log", s => LogReader.Read(s, "f"), Promises.Log, TextBending.Bend, 512, 512 * K),
        Of("webvtt", s => WebVttReader.Read(s, "f"), Promises.Captions, TextBending.Bend, 256, 128 * K),
        Of("subrip", s => SubRipReader.Read(s, "f"), Promises.Captions, TextBending.Bend, 256, 128 * K),
        Of("transcript", s => TimedTextReader.Read(s, "f"), Promises.Captions, TextBending.Bend, 256, 128 * K),
        Of("words", s => WordJsonReader.Read(s, "f"), Promises.Captions, TextBending.Bend, 512, 128 * K),
        Sound("wav", ContainerBending.Riff, 64, 512 * K),
        Sound("flac", ContainerBending.Flac, 512, 8192 * K),
        Sound("mp3", ByteBending.Bend, 2048, 1024 * K),
        Sound("vorbis", ContainerBending.Ogg, 2048, 4096 * K),
        Sound("opus", ContainerBending.Ogg, 2048, 1024 * K),
        Of("m4a", s => M4aHead.Read(s, "f"), f => f.DurationSeconds >= 0 ? 1 : throw new BrokenPromiseException("a length is not negative"), ByteBending.Bend, 64, 128 * K),
        Of("results", s => ResultTextReader.Read(s, "f"), Promises.Result, TextBending.Bend, 512, 128 * K),
        Of("resultjson", s => ResultJsonReader.Read(s, "f"), Promises.Result, TextBending.Bend, 512, 128 * K, "results"),
        Of("racesheet", s => RaceSheetReader.Read(s, "f"), r => r.Lanes.Count + (16 * r.Rivals.Count), TextBending.Bend, 512, 128 * K),
        Of("geojson", s => GeoJsonReader.Read(s, "f"), m => Promises.Places(m.Places) + m.Places.Count + (16 * m.Lines.Count), TextBending.Bend, 512, 128 * K),
        Of("zip", s => ZipReader.Read(s, "f"), Promises.Contents, ContainerBending.Zip, 4096, 4096 * K),
        Of("door", s => FileDoor.Open(s, "f"), Promises.Contents, Any, 2048, 1024 * K, s_everything),
        new("written", ["gpx", "tcx", "fit", "nmea", "log", "webvtt", "subrip", "words", "results", "geojson"], Written.AndReadAgain, Any, 4096, 2048 * K),
    ];

    private static byte[] Any(byte[] x, byte[] other, Dice d) => d.OneIn(2) ? TextBending.Bend(x, other, d) : ByteBending.Bend(x, other, d);

    private static Target Of<T>(string name, Func<Stream, Reading<T>> read, Func<T, int> promise, Func<byte[], byte[], Dice, byte[]> bend, int multiple, int constant, params string[] folders)
        where T : class => new(name, folders.Length > 0 ? folders : [name], bytes =>
        {
            var reading = read(new MemoryStream(bytes, false));
            Promises.Keep(reading.Value is not null || reading.Issues.Any(i => i.Severity == Severity.Error), "what cannot be read says why");
            return (reading.Issues, reading.Value is { } v ? promise(v) : -1);
        }, bend, multiple, constant);

    private static Target Sound(string name, Func<byte[], byte[], Dice, byte[]> bend, int multiple, int constant) => new(name, [name], bytes =>
    {
        var reading = SoundReader.Open(new MemoryStream(bytes, false), "f");
        using var reader = reading.Value;
        int shape = Promises.Sound(reader);
        return (reader?.Issues ?? reading.Issues, shape);
    }, bend, multiple, constant);
}
