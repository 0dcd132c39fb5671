using System.Globalization;
using System.IO.Compression;
using System.Text;
using System.Text.Json;
using Stakeboat.Core.Measurement;
using Stakeboat.Readers;

namespace Stakeboat.Cli.Tests;

/// <summary><c>inspect</c> and <c>convert</c> as a person meets them.</summary>
public sealed class InspectAndConvertTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("stakeboat-convert-").FullName;

    public void Dispose() => Directory.Delete(_folder, true);

    private static (int Code, string Out, string Error) Run(params string[] args)
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        int code = Program.Run(args, output, error);
        return (code, output.ToString(), error.ToString());
    }

    private string Put(string name, string text) => Put(name, Encoding.UTF8.GetBytes(text));

    private string Put(string name, byte[] bytes)
    {
        string path = Path.Combine(_folder, name);
        File.WriteAllBytes(path, bytes);
        return path;
    }

    private string At(string name) => Path.Combine(_folder, name);

    private static FileContents Read(string path)
    {
        using var s = File.OpenRead(path);
        return FileDoor.Open(s, Path.GetFileName(path)).Value!;
    }

    private const int N = 200;

    // Two segments, a gap of 30 s, every kind of value, one fix without a time.
    private string Track()
    {
        var b = new StringBuilder("<gpx version=\"1.1\" xmlns=\"http://www.topografix.com/GPX/1/1\"><wpt lat=\"48.2\" lon=\"9.2\"><name>bridge</name></wpt><trk><name>reach</name><trkseg>");
        for (int i = 0; i < N; i++)
        {
            int t = i + (i > 60 ? 30 : 0);
            string time = i == 17 ? "" : DateTime.UnixEpoch.AddSeconds(1775296800 + t).ToString("'<time>'yyyy-MM-ddTHH:mm:ssZ'</time>'", CultureInfo.InvariantCulture);
            b.Append(i == 120 ? "</trkseg><trkseg>" : "");
            b.Append(CultureInfo.InvariantCulture, $"<trkpt lat=\"{48.1 + (i * 4.123456e-5):0.0000000}\" lon=\"{-9.1 - (i * 1e-6):0.0000000}\"><ele>{402 + (i % 7 * 0.1):0.0}</ele>{time}<hdop>0.9</hdop>")
                .Append(CultureInfo.InvariantCulture, $"<extensions><x:hr xmlns:x=\"urn:x\">{140 + (i % 9)}</x:hr><x:cad xmlns:x=\"urn:x\">{30 + (i % 3)}</x:cad><x:speed xmlns:x=\"urn:x\">4.{i % 9}</x:speed></extensions></trkpt>");
        }

        return Put("reach.gpx", b.Append("</trkseg></trk></gpx>").ToString());
    }

    [Fact]
    public void Inspect_tells_kind_span_rate_gaps_clock_and_issues()
    {
        var r = Run("inspect", Track());
        Assert.Equal(0, r.Code);
        Assert.Empty(r.Error);
        Assert.Contains("reach.gpx: GPX track", r.Out, StringComparison.Ordinal);
        Assert.Contains("track: 200 fixes, 3 min 49 s, 1 a second, 1 gap, the longest 31 s; satellite clock, 2026-04-04 10:00:00 UTC to 2026-04-04 10:03:49 UTC", r.Out, StringComparison.Ordinal);
        Assert.Contains("warning: reach.gpx: A fix has no time. It was kept without one.", r.Out, StringComparison.Ordinal);
        Assert.Contains("1 named place", r.Out, StringComparison.Ordinal);
    }

    [Fact]
    public void Inspect_for_machines_has_every_part()
    {
        var r = Run("inspect", Track(), "--json");
        var f = Assert.Single(JsonDocument.Parse(r.Out).RootElement.EnumerateArray());
        Assert.Equal("GPX track", f.GetProperty("kind").GetString());
        var s = Assert.Single(f.GetProperty("series").EnumerateArray());
        Assert.Equal(("track", 200, 1775296800.0, 1775297029.0, 1.0, 1, 31.0, "satellite"), (s.GetProperty("what").GetString()!, s.GetProperty("count").GetInt32(), s.GetProperty("start").GetDouble(),
            s.GetProperty("end").GetDouble(), s.GetProperty("perSecond").GetDouble(), s.GetProperty("gaps").GetInt32(), s.GetProperty("longestGap").GetDouble(), s.GetProperty("clock").GetString()!));
        foreach (var i in f.GetProperty("issues").EnumerateArray())
        {
            Assert.All((string[])["severity", "file", "place", "what", "done", "count"], p => Assert.True(i.TryGetProperty(p, out _)));
        }
    }

    [Theory]
    [InlineData(".gpx")]
    [InlineData(".csv")]
    [InlineData(".geojson")]
    public void Every_fix_is_written_and_none_invented(string extension)
    {
        string from = Track(), into = At("out" + extension);
        var fixes = Read(from).Tracks.SelectMany(t => t.Fixes).ToList();
        Assert.Equal(N, fixes.Count);
        var r = Run("convert", from, "-o", into);
        Assert.Equal(0, r.Code);
        Assert.Contains("200 fixes", r.Out, StringComparison.Ordinal);
        Assert.Contains("A fix has no time", r.Error, StringComparison.Ordinal); // a warning is never silent
        Assert.False(File.Exists(into + ".part"));
        var back = Read(into);
        if (extension == ".geojson")
        {
            Assert.Equal(fixes.Select(f => (f.LatitudeDegrees, f.LongitudeDegrees)), back.Lines.SelectMany(l => l.Points));
            Assert.Equal("bridge", Assert.Single(back.Places).Name);
            Assert.Contains("left out: speed, course, HDOP, heart rate and cadence", r.Out, StringComparison.Ordinal);
            return;
        }

        if (extension == ".csv")
        {
            // A row each; the fix without a time has an empty field, which a reader of logs cannot place.
            Assert.Equal(N + 1, File.ReadAllLines(into).Length);
            Assert.Contains("left out: 1 named place or line", r.Out, StringComparison.Ordinal);
            fixes.RemoveAt(17);
        }

        var same = back.Tracks.SelectMany(t => t.Fixes).ToList();
        Assert.Equal(fixes.Select(Values), same.Select(Values));
    }

    private static (double?, double, double, double?, double?, double?, double?, double?) Values(Fix f) =>
        (f.Time?.Seconds, f.LatitudeDegrees, f.LongitudeDegrees, f.AltitudeMetres, f.SpeedMps, f.HorizontalDilution, f.HeartRate, f.Cadence);

    [Fact]
    public void Captions_keep_every_cue_voice_and_word_time()
    {
        string from = Put("c.json", "{\"segments\":[{\"start\":1,\"end\":3,\"text\":\"up two\",\"words\":[{\"word\":\"up\",\"start\":1,\"end\":1.5},{\"word\":\"<two>\",\"start\":2,\"end\":3}]},{\"start\":4,\"end\":5,\"text\":\"go\",\"words\":[{\"word\":\"go\",\"start\":4,\"end\":5}]}]}");
        var r = Run("convert", from, "-o", At("c.vtt"));
        Assert.Equal((0, ""), (r.Code, r.Error));
        Assert.Equal("WEBVTT\n\n00:00:01.000 --> 00:00:03.000\nup <00:00:02.000>&lt;two&gt;\n\n00:00:04.000 --> 00:00:05.000\ngo\n\n", File.ReadAllText(At("c.vtt")));
        Assert.Equal(0, Run("convert", At("c.vtt"), "-o", At("c.csv")).Code);
        Assert.Equal("t,end,voice,text\n1,3,,up <two>\n4,5,,go\n", File.ReadAllText(At("c.csv")));
    }

    [Fact]
    public void A_motion_log_keeps_every_sample_and_its_units()
    {
        string rows = string.Concat(Enumerable.Range(0, 300).Select(i => string.Create(CultureInfo.InvariantCulture, $"{i * 10},0.0{i % 9},0,-1,{i % 5},0,0\n")));
        string from = Put("m.csv", "time_ms,ax (g),ay (g),az (g),gx (deg/s),gy (deg/s),gz (deg/s)\n" + rows);
        Assert.Equal(0, Run("convert", from, "-o", At("out.csv")).Code);
        var a = Read(from).Motions[0];
        var b = Read(At("out.csv")).Motions[0];
        Assert.Equal(300, b.Count);
        Assert.Equal(a.HasGravity, b.HasGravity);
        for (int i = 0; i < 300; i++)
        {
            Assert.Equal(a.Seconds[i], b.Seconds[i], 1e-6);
            Assert.Equal(a.AccelerationX[i], b.AccelerationX[i], 1e-6);
            Assert.Equal(a.RotationX![i], b.RotationX![i], 1e-6);
        }
    }

    [Fact]
    public void What_a_format_cannot_hold_is_said_and_not_dropped_in_silence()
    {
        string zip = At("share.zip");
        using (var a = ZipFile.Open(zip, ZipArchiveMode.Create))
        {
            a.CreateEntryFromFile(Track(), "reach.gpx");
            using (var w = new StreamWriter(a.CreateEntry("a.vtt").Open()))
            {
                w.Write("WEBVTT\n\n00:01.000 --> 00:02.000\nup\n");
            }

            using var m = new StreamWriter(a.CreateEntry("m.csv").Open());
            m.Write("time,ax,ay,az\n0.00,0,0,9.8\n0.01,0,0,9.8\n0.02,0,0,9.8\n");
        }

        var r = Run("convert", zip, "-o", At("out.gpx"));
        Assert.Equal(0, r.Code);
        Assert.Contains("left out: 1 motion log", r.Out, StringComparison.Ordinal);
        Assert.Contains("left out: 1 set of captions", r.Out, StringComparison.Ordinal);
        Assert.Contains("left out: the track", Run("convert", zip, "-o", At("out.vtt")).Out, StringComparison.Ordinal);
    }

    [Fact]
    public void A_wrong_guess_is_put_right()
    {
        string rows = string.Concat(Enumerable.Range(0, 100).Select(i => string.Create(CultureInfo.InvariantCulture, $"{i},{i % 7},0.1,0.2,0.98\n")));
        string from = Put("odd.csv", "count,temperature,p,q,r\n" + rows);
        Assert.Equal(ExitCode.Data, Run("inspect", from).Code);
        var r = Run("inspect", from, "--take", "1=time", "--take", "time=ms", "--take", "3=accelerationX", "--take", "4=accelerationY", "--take", "5=accelerationZ", "--take", "acceleration=g");
        Assert.Equal(0, r.Code);
        Assert.Contains("motion: 100 samples, 0.1 s, 1000 a second", r.Out, StringComparison.Ordinal);
        Assert.Contains("acceleration in g with gravity", r.Out, StringComparison.Ordinal);
        foreach (string wrong in (string[])["time", "time=fortnights", "9x=time", "3=banana", "week=x"])
        {
            var w = Run("inspect", from, "--take", wrong);
            Assert.Equal(ExitCode.Usage, w.Code);
            Assert.StartsWith("--take " + wrong, w.Error, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void A_roll_over_of_the_satellites_week_is_offered_and_only_made_when_asked()
    {
        string from = Put("old.nmea", "$GPRMC,100000,A,4807.038,N,00906.000,E,9.0,84.4,190806,,*17\n".Replace("*17", "", StringComparison.Ordinal).Replace("190806", "190805", StringComparison.Ordinal));
        var asked = Run("inspect", from);
        Assert.Contains("2005-08-19", asked.Out, StringComparison.Ordinal);
        Assert.Contains("Nothing was altered. If the outing was on 2025-04-04", asked.Out, StringComparison.Ordinal);
        Assert.Contains("2025-04-04 10:00:00 UTC", Run("inspect", from, "--take", "week=+1").Out, StringComparison.Ordinal);
    }

    [Fact]
    public void Nonsense_gets_a_sentence_and_an_exit_code()
    {
        string junk = Put("junk.bin", [1, 2, 3, 250, 251, 252, 0, 9]), empty = Put("empty.gpx", ""), track = Track();
        Assert.Equal(ExitCode.Data, Run("inspect", junk).Code);
        Assert.Contains("The file is empty.", Run("inspect", empty).Out, StringComparison.Ordinal);
        Assert.Equal(ExitCode.NotFound, Run("inspect", At("nowhere")).Code);
        Assert.Equal(ExitCode.Usage, Run("inspect").Code);
        Assert.Equal(ExitCode.Usage, Run("inspect", "--jsonl", track).Code);
        Assert.Equal(ExitCode.Usage, Run("convert", track, "-o", At("x.xyz")).Code);
        Assert.Equal(ExitCode.Usage, Run("convert", track, "-o", track).Code);
        Assert.Equal(ExitCode.Usage, Run("convert", _folder, "-o", At("x.gpx")).Code);
        Assert.Equal(ExitCode.NotFound, Run("convert", At("nowhere"), "-o", At("x.gpx")).Code);
        Assert.Equal(ExitCode.CannotWrite, Run("convert", track, "-o", At("no/such/folder/x.gpx")).Code);
        var none = Run("convert", track, "-o", At("x.vtt"));
        Assert.Equal(ExitCode.Data, none.Code);
        Assert.Contains("Use .gpx, .geojson or .csv.", none.Error, StringComparison.Ordinal);
        Assert.False(File.Exists(At("x.vtt")) || File.Exists(At("x.vtt.part")));
        Assert.Equal(ExitCode.Data, Run("convert", junk, "-o", At("x.gpx")).Code);
        Assert.DoesNotContain("   at ", string.Concat(Run("inspect", junk).Out, none.Error), StringComparison.Ordinal);
    }
}
