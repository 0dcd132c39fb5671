using System.IO.Compression;
using System.Text;
using Stakeboat.Core.Measurement;
using Stakeboat.Exchange;
using Stakeboat.Readers.Captions;
using Stakeboat.Readers.Sound;
using Stakeboat.Readers.Text;
using Stakeboat.Readers.Tracks;

namespace Stakeboat.Readers.Tests;

/// <summary>The known traps of the formats, one test each; the facts were measured on the library's own parsers.</summary>
public class TrapsSyntheticTests
{
    private static MemoryStream Utf8(string s) => new(Encoding.UTF8.GetBytes(s));

    private static Reading<TrackFile> Gpx(string points) => GpxReader.Read(Utf8($"<gpx version=\"1.1\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>{points}</trkseg></trk></gpx>"), "a.gpx");

    private static string Pt(string time, string lat = "48.1", string lon = "9.1", string more = "") => $"<trkpt lat=\"{lat}\" lon=\"{lon}\">{more}<time>{time}</time></trkpt>";

    [Theory]
    [InlineData("<!DOCTYPE gpx [<!ENTITY x SYSTEM \"file:///etc/passwd\">]><gpx><trk><name>&x;</name></trk></gpx>")]
    [InlineData("<!DOCTYPE gpx [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;&a;&a;&a;\"><!ENTITY c \"&b;&b;&b;&b;&b;&b;&b;&b;\">]><gpx><trk><name>&c;</name></trk></gpx>")]
    public void Entities_of_other_files_and_the_billion_laughs_are_refused(string xml)
    {
        foreach (var reading in new[] { GpxReader.Read(Utf8(xml), "a.gpx"), TcxReader.Read(Utf8(xml), "a.tcx") })
        {
            Assert.Null(reading.Value);
            Assert.Contains(reading.Issues, i => i.Severity == Severity.Error && i.What.Contains("document type", StringComparison.Ordinal));
        }
    }

    [Fact]
    public void Depth_of_200_000_elements_ends_at_64()
    {
        var deep = new StringBuilder("<gpx>" + "<trk><trkseg>" + Pt("2026-04-04T10:00:00Z"));
        for (int i = 0; i < 200_000; i++)
        {
            deep.Append("<x>");
        }

        var reading = GpxReader.Read(Utf8(deep.ToString()), "a.gpx");
        Assert.Single(reading.Value!.Tracks[0].Fixes);
        Assert.Contains(reading.Issues, i => i.What.Contains("64 deep", StringComparison.Ordinal));

        using var json = LooseJson.Parse(Encoding.UTF8.GetBytes(new string('[', 200_000)), new IssueLog("a.json"));
        Assert.True(json is null || json.RootElement.GetArrayLength() <= 1);
    }

    [Fact]
    public void A_zip_bomb_is_cut_off_by_ratio_and_by_bytes_read()
    {
        using var zip = new MemoryStream();
        using (var a = new ZipArchive(zip, ZipArchiveMode.Create, leaveOpen: true))
        {
            using (var bomb = a.CreateEntry("../../etc/bomb.csv", CompressionLevel.SmallestSize).Open())
            {
                var zeros = new byte[1 << 20];
                for (int i = 0; i < 100; i++)
                {
                    bomb.Write(zeros);
                }
            }

            using var good = a.CreateEntry("phone/track.gpx").Open();
            good.Write(Encoding.UTF8.GetBytes($"<gpx><trk><trkseg>{Pt("2026-04-04T10:00:00Z")}</trkseg></trk></gpx>"));
        }

        Assert.InRange(zip.Length, 1, 200_000);
        zip.Position = 0;
        long before = GC.GetAllocatedBytesForCurrentThread();
        var reading = FileDoor.Open(zip, "share.zip");
        Assert.InRange(GC.GetAllocatedBytesForCurrentThread() - before, 0, 80L << 20);
        Assert.Contains(reading.Issues, i => i.Severity == Severity.Error && i.Place == "bomb.csv" && i.What.Contains("swells", StringComparison.Ordinal));
        var part = Assert.Single(reading.Value!.Parts);
        Assert.Equal("share.zip/track.gpx", part.Name); // nothing of the archive's path
        Assert.Single(part.Tracks);
    }

    [Fact]
    public void An_archive_in_an_archive_is_left_out()
    {
        static byte[] Zip(string name, byte[] content)
        {
            using var m = new MemoryStream();
            using (var a = new ZipArchive(m, ZipArchiveMode.Create, leaveOpen: true))
            {
                using var e = a.CreateEntry(name).Open();
                e.Write(content);
            }

            return m.ToArray();
        }

        var reading = FileDoor.Open(new MemoryStream(Zip("inner.zip", Zip("a.gpx", [1, 2, 3]))), "outer.zip");
        Assert.Null(reading.Value);
        Assert.Contains(reading.Issues, i => i.What.Contains("archive within", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("NaN")]
    [InlineData("Infinity")]
    [InlineData("-Infinity")]
    [InlineData("1e400")]
    [InlineData("48,1")] // which a plain parse takes for 481
    [InlineData("91")]
    [InlineData("")]
    public void Not_a_number_infinity_and_a_comma_are_no_latitude(string lat)
    {
        var reading = Gpx(Pt("2026-04-04T10:00:00Z", lat) + Pt("2026-04-04T10:00:01Z"));
        Assert.Equal(48.1, Assert.Single(reading.Value!.Tracks[0].Fixes).LatitudeDegrees);
        Assert.Contains(reading.Issues, i => i.Severity == Severity.Warning);
    }

    [Theory]
    [InlineData("NaN")]
    [InlineData("1e400")]
    [InlineData("1,5")]
    public void Not_a_number_and_infinity_are_no_speed_and_the_fix_stays(string speed)
    {
        var reading = Gpx(Pt("2026-04-04T10:00:00Z", more: $"<extensions><a:speed xmlns:a=\"urn:a\">{speed}</a:speed></extensions>"));
        Assert.Null(Assert.Single(reading.Value!.Tracks[0].Fixes).SpeedMps);
        Assert.Contains(reading.Issues, i => i.What.Contains("no number", StringComparison.Ordinal));
    }

    [Fact]
    public void Json_with_1e400_not_a_number_and_a_name_twice()
    {
        var big = WordJsonReader.Read(Utf8("{\"words\":[{\"word\":\"row\",\"start\":1e400,\"end\":2},{\"word\":\"now\",\"start\":1,\"end\":1.5}]}"), "w.json");
        Assert.Equal(["now"], big.Value!.Cues.SelectMany(c => c.Words).Select(w => w.Text));
        var nan = WordJsonReader.Read(Utf8("{\"words\":[{\"word\":\"row\",\"start\":0.5,\"end\":1},{\"word\":\"now\",\"start\":NaN,\"end\":1.5}]}"), "w.json");
        Assert.Equal("row", nan.Value!.Cues[0].Words[0].Text);
        Assert.Contains(nan.Issues, i => i.Severity == Severity.Error);
        var twice = Stakeboat.Readers.Sheets.RaceSheetReader.Read(Utf8("{\"us\":\"Old Quay\",\"boat\":\"8+\",\"distance\":1000,\"distance\":2000}"), "race.json");
        Assert.Equal(2000, twice.Value!.Distance!.Value.Metres); // the last wins
    }

    [Theory]
    [InlineData("2016-12-31T23:59:60Z", 1483228799.999, "second 60")]
    [InlineData("2026-04-04T24:00:00Z", 1775347200.0, "24:00:00")]
    [InlineData("2026-04-04T23:59:59+14:30", 1775294999.0 - 3600, null)]
    [InlineData("2026-04-04T10:00:00", 1775296800.0, "no zone")]
    [InlineData("2026-04-04 10:00:00,250Z", 1775296800.25, null)]
    public void Times_that_the_librarys_parser_refuses_or_misreads(string time, double unix, string? said)
    {
        if (time.Contains("+14:30", StringComparison.Ordinal))
        {
            unix = new DateTimeOffset(2026, 4, 4, 23, 59, 59, TimeSpan.Zero).ToUnixTimeSeconds() - (14.5 * 3600);
        }

        var reading = Gpx(Pt(time));
        Assert.Equal(unix, reading.Value!.Tracks[0].Fixes[0].Time!.Value.Seconds, 6);
        Assert.Equal(said is not null, reading.Issues.Any(i => said is not null && i.What.Contains(said, StringComparison.Ordinal)));
    }

    [Fact]
    public void No_regular_expression_reads_untrusted_text()
    {
        var users = Directory.EnumerateFiles(Path.Combine(Repo.Root, "src", "Stakeboat.Readers"), "*.cs", SearchOption.AllDirectories)
            .Where(f => File.ReadAllText(f).Contains("RegularExpressions", StringComparison.Ordinal)).Select(Path.GetFileName);
        Assert.Empty(users);
    }

    [Fact]
    public void No_tree_is_built_of_untrusted_xml()
    {
        var users = Directory.EnumerateFiles(Path.Combine(Repo.Root, "src", "Stakeboat.Readers"), "*.cs", SearchOption.AllDirectories)
            .Where(f => File.ReadAllText(f) is var t && ((string[])["XDocument", "XElement", "XmlDocument", "XPathDocument", "System.Xml.Linq"]).Any(w => t.Contains(w, StringComparison.Ordinal)))
            .Select(Path.GetFileName);
        Assert.Empty(users);
    }

    [Theory]
    [InlineData(0u)]
    [InlineData(uint.MaxValue)]
    [InlineData(1_000_000_000u)]
    public void The_size_that_a_wav_file_declares_is_bounded_by_the_file(uint declared)
    {
        byte[] wav = File.ReadAllBytes(Repo.Oracle("sound/s16.wav"));
        BitConverter.TryWriteBytes(wav.AsSpan(40), declared);
        long before = GC.GetAllocatedBytesForCurrentThread();
        using var reader = SoundReader.Open(new MemoryStream(wav), "a.wav").Value!;
        Assert.Equal(4800, Sound.SoundDifferentialTests.Drain(reader).Length);
        Assert.Equal(0.6, reader.DurationSeconds!.Value, 9);
        Assert.InRange(GC.GetAllocatedBytesForCurrentThread() - before, 0, 1 << 20);
        Assert.NotEmpty(reader.Issues);
    }

    [Fact]
    public void The_size_that_a_fit_file_declares_is_bounded_by_the_file()
    {
        byte[] fit = File.ReadAllBytes(Repo.Oracle("tracks/babel.fit"));
        BitConverter.TryWriteBytes(fit.AsSpan(4), uint.MaxValue);
        var reading = Stakeboat.Readers.Fit.FitReader.Read(new MemoryStream(fit), "a.fit");
        Assert.Equal(80, reading.Value!.Tracks[0].Fixes.Count);
        Assert.Contains(reading.Issues, i => i.What.Contains("shorter than its head", StringComparison.Ordinal));
    }

    [Fact]
    public void An_hour_field_of_twenty_digits_is_no_time()
    {
        var reading = WebVttReader.Read(Utf8("WEBVTT\n\n99999999999999999999:00:01.000 --> 99999999999999999999:00:02.000\nlost\n\n00:01.000 --> 00:02.000\nkept\n"), "a.vtt");
        Assert.Equal("kept", Assert.Single(reading.Value!.Cues).Text);
        Assert.Contains(reading.Issues, i => i.Place == "line 3" && i.What.Contains("time cannot be read", StringComparison.Ordinal));
    }

    [Fact]
    public void Times_that_step_back_a_little_are_sorted_and_far_begin_a_segment()
    {
        var reading = Gpx(Pt("2026-04-04T10:00:00Z") + Pt("2026-04-04T10:00:02Z") + Pt("2026-04-04T10:00:01Z") + Pt("2026-04-04T10:00:03Z")
            + Pt("2026-04-04T09:00:00Z") + Pt("2026-04-04T09:00:01Z"));
        var f = reading.Value!.Tracks[0].Fixes;
        Assert.Equal([0, 1, 2, 3, -3600, -3599], f.Select(x => x.Time!.Value.Seconds - 1775296800));
        Assert.Equal([0, 0, 0, 0, 1, 1], f.Select(x => x.Segment));
        Assert.Contains(reading.Issues, i => i.What.Contains("two seconds or less", StringComparison.Ordinal));
        Assert.Contains(reading.Issues, i => i.What.Contains("more than two seconds", StringComparison.Ordinal));
    }

    [Fact]
    public void Of_two_fixes_of_one_time_the_better_hdop_stays()
    {
        var reading = Gpx(Pt("2026-04-04T10:00:00Z", more: "<hdop>4</hdop>") + Pt("2026-04-04T10:00:00Z", lat: "48.2", more: "<hdop>1</hdop>") + Pt("2026-04-04T10:00:00Z", lat: "48.3"));
        Assert.Equal(48.2, Assert.Single(reading.Value!.Tracks[0].Fixes).LatitudeDegrees);
        Assert.Equal(2, Assert.Single(reading.Issues, i => i.What.Contains("same time", StringComparison.Ordinal)).Count);
    }

    [Fact]
    public void A_missing_time_and_a_gap_are_kept_and_counted()
    {
        var reading = Gpx(Pt("2026-04-04T10:00:00Z") + Pt("soon") + Pt("2026-04-04T10:00:08Z") + Pt("2026-04-04T10:00:09Z"));
        var f = reading.Value!.Tracks[0].Fixes;
        Assert.Equal(4, f.Count);
        Assert.Null(f[1].Time);
        Assert.Contains(reading.Issues, i => i.What.Contains("A time cannot be read", StringComparison.Ordinal));
        var gaps = Gpx(Pt("2026-04-04T10:00:00Z") + Pt("2026-04-04T10:00:08Z"));
        Assert.Equal(2, gaps.Value!.Tracks[0].Fixes.Count); // nothing was put in between
        Assert.Contains(gaps.Issues, i => i.What.Contains("longest gap has 8 s", StringComparison.Ordinal));
    }

    [Fact]
    public void Spikes_are_counted_and_kept_the_position_zero_is_not()
    {
        var reading = Gpx(Pt("2026-04-04T10:00:00Z") + Pt("2026-04-04T10:00:01Z", lat: "48.1009") + Pt("2026-04-04T10:00:02Z", lat: "0", lon: "0.0")
            + Pt("2026-04-04T10:00:03Z", more: "<hdop>9</hdop>"));
        Assert.Equal(3, reading.Value!.Tracks[0].Fixes.Count);
        Assert.Equal(2, Assert.Single(reading.Issues, i => i.What.Contains("9 m/s", StringComparison.Ordinal)).Count);
        Assert.Contains(reading.Issues, i => i.What.Contains("exactly 0, 0", StringComparison.Ordinal));
        Assert.Contains(reading.Issues, i => i.What.Contains("HDOP", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("=1+1")]
    [InlineData("+1")]
    [InlineData("-2")]
    [InlineData("@x")]
    public void Text_that_a_spreadsheet_would_compute_is_made_harmless(string text)
    {
        var track = new CaptionTrack("c", CaptionTiming.Cues, [CueText.Cue(0, 1, text)]);
        Assert.EndsWith($",'{text}\n", CaptionText.Csv(track), StringComparison.Ordinal);
    }

    [Fact]
    public void Tags_in_captions_come_out_as_text_and_go_back_escaped()
    {
        var cue = CueText.Cue(0, 1, "&lt;script&gt;alert(1)&lt;/script&gt; --&gt; up <b>two</b>");
        Assert.Equal("<script>alert(1)</script> --> up two", cue.Text);
        string vtt = CaptionText.WebVtt(new CaptionTrack("c", CaptionTiming.Cues, [cue]));
        Assert.DoesNotContain("<script", vtt, StringComparison.Ordinal);
        Assert.Equal(cue.Text, WebVttReader.Read(Utf8(vtt), "b.vtt").Value!.Cues[0].Text);
    }

    [Theory]
    [InlineData(179.9999, -179.9999, 0.0002)]
    [InlineData(-179.9999, 179.9999, -0.0002)]
    [InlineData(10, 20, 10)]
    public void Longitude_steps_across_the_date_line(double a, double b, double step) => Assert.Equal(step, TrackTidy.LongitudeStep(a, b), 9);
}
