using System.IO.Compression;
using System.Text;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Readers.Tests;

/// <summary>Odd but legal files, as other phones, recognisers and regattas make them.</summary>
public class OddFilesSyntheticTests
{
    private static Reading<FileContents> Open(string text, string name = "f", Encoding? encoding = null)
    {
        encoding ??= new UTF8Encoding(false);
        return FileDoor.Open(new MemoryStream([.. encoding.GetPreamble(), .. encoding.GetBytes(text)]), name);
    }

    private static string Rows(int n, Func<int, FormattableString> row) => string.Concat(Enumerable.Range(0, n).Select(i => FormattableString.Invariant(row(i))));

    private static MotionLog Motion(string text, string name = "f", Encoding? encoding = null) => Assert.Single(Open(text, name, encoding).Value!.Motions);

    private static IReadOnlyList<Fix> Fixes(string text) => Assert.Single(Open(text).Value!.Tracks).Fixes;

    private const double At10 = 1775296800;

    [Fact]
    public void Time_since_1970_in_nanoseconds_and_axes_in_any_order()
    {
        var m = Motion("time,seconds_elapsed,z,y,x\n" + Rows(50, i => $"{1775296800000000000 + (i * 10000000L)},{i * .01:0.00},9.8,0.2,0.{i}\n"));
        Assert.Equal(At10 + 0.01, m.Seconds[1], 1e-6);
        Assert.Equal((0.1, 0.2, 9.8), (m.AccelerationX[1], m.AccelerationY[1], m.AccelerationZ[1]));
        Assert.True(m.HasGravity);
    }

    [Fact]
    public void Semicolons_decimal_commas_a_mark_and_words_of_another_language()
    {
        string csv = "\uFEFF\"Zeit (s)\";\"Beschleunigung x (m/s^2)\";\"Beschleunigung y (m/s^2)\";\"Beschleunigung z (m/s^2)\"\r\n" + Rows(50, i => $"{i * .01:0.00};0.1;0.2;9.81\r\n").Replace('.', ',');
        var m = Motion(csv);
        Assert.Equal((0.01, 0.1, 9.81), (m.Seconds[1], m.AccelerationX[1], m.AccelerationZ[1]));
        var f = Fixes("Zeit;Breitengrad;Längengrad;Geschwindigkeit (km/h)\n" + Rows(5, i => $"2026-04-04T10:00:0{i}Z;48.1;9.{i};18\n").Replace('.', ','));
        Assert.Equal(5, f.Count);
        Assert.Equal(5, f[4].SpeedMps!.Value, 1e-9);
    }

    [Theory]
    [InlineData("utf-16")]
    [InlineData("utf-16BE")]
    public void A_log_in_utf_16(string encoding) =>
        Assert.Equal(50, Motion("time,ax,ay,az\n" + Rows(50, i => $"{i * .01:0.00},0.1,0.2,9.8\n"), encoding: Encoding.GetEncoding(encoding)).Count);

    [Fact]
    public void Lines_that_end_with_a_return_alone() => Assert.Equal(50, Motion(("time,ax,ay,az\n" + Rows(50, i => $"{i * .01:0.00},0.1,0.2,9.8\n")).Replace('\n', '\r')).Count);

    [Fact]
    public void Rows_of_several_sensors_in_one_table_are_not_mixed()
    {
        var reading = Open("timestamp,sensor,x,y,z\n" + Rows(100, i => i % 2 == 0 ? $"{i * 5},Accelerometer,0.1,0.2,9.8\n" : (FormattableString)$"{i * 5},Gyroscope,5,5,5\n"));
        var m = Assert.Single(reading.Value!.Motions);
        Assert.All(m.AccelerationZ, z => Assert.Equal(9.8, z));
        Assert.Equal(50, Assert.Single(reading.Issues, i => i.What.Contains("another sensor", StringComparison.Ordinal)).Count);
    }

    [Fact]
    public void Gravity_in_columns_of_its_own_is_added_and_tells_the_unit()
    {
        var m = Motion("t,userAcceleration.x,userAcceleration.y,userAcceleration.z,gravity.x,gravity.y,gravity.z,rotationRate.x,rotationRate.y,rotationRate.z\n"
            + Rows(50, i => $"{i * .01:0.00},0.1,0,0,0,0,-1,0.1,0,0\n"));
        Assert.True(m.HasGravity);
        Assert.Equal(0.1 * 9.80665, m.AccelerationX[0], 1e-9);
        Assert.Equal(-9.80665, m.AccelerationZ[0], 1e-9);
        Assert.Equal(0.1, m.RotationX![0]);
    }

    [Fact]
    public void Turning_rates_too_large_for_radians_are_degrees()
    {
        var m = Motion("t,ax,ay,az,gx,gy,gz\n" + Rows(50, i => $"{i * .01:0.00},0,0,9.8,{(i % 2 == 0 ? 6 : -6)},0,0\n"));
        Assert.Equal(6 * Math.PI / 180, m.RotationX![0], 1e-12);
    }

    [Fact]
    public void A_file_for_each_sensor_in_one_archive_becomes_one_log()
    {
        using var zip = new MemoryStream();
        using (var a = new ZipArchive(zip, ZipArchiveMode.Create, leaveOpen: true))
        {
            void Put(string name, string text)
            {
                using var w = new StreamWriter(a.CreateEntry(name).Open());
                w.Write(text);
            }

            Put("run/Accelerometer.csv", "time,seconds_elapsed,z,y,x\n" + Rows(100, i => $"{1775296800000000000 + (i * 10000000L)},{i * .01:0.00},9.8,0.2,0.1\n"));
            Put("run/Gyroscope.csv", "time,seconds_elapsed,z,y,x\n" + Rows(51, i => $"{1775296800000000000 + (i * 20000000L)},{i * .02:0.00},0.3,0.2,0.{i:00}\n"));
            Put("run/Metadata.csv", "version,device\n3,phone\n");
        }

        zip.Position = 0;
        var reading = FileDoor.Open(zip, "share.zip");
        var m = Assert.Single(reading.Value!.Flatten().SelectMany(f => f.Motions));
        Assert.Equal(0.005, m.RotationX![1], 1e-6); // half-way between 0.00 and 0.01; seconds since 1970 have steps of 0.24 µs
        Assert.Equal(0.3, m.RotationZ![7], 1e-6);
        Assert.DoesNotContain(reading.Issues, i => i.Severity == Severity.Error);
    }

    [Theory]
    [InlineData("Date,Time,Latitude,Longitude\n2026-04-04,10:00:0@,48.1,9.1\n")]
    [InlineData("Date;Time;Lat;Lon\n04.04.2026;10:00:0@;48.1;9.1\n")]
    [InlineData("date,time,lat,lon\n2026/04/04,10:00:0@.000,48.1,9.1\n")]
    [InlineData("timestamp\tlat\tlon\n2026-04-04 10:00:0@\t48.1\t9.1\n")]
    [InlineData("Date,Time,Lat,Lon\n4/4/2026,10:00:0@ AM,48.1,9.1\n")]
    [InlineData("time,lat,lon\n2026-04-04T12:00:0@+02:00,48.1,9.1\n")]
    public void Dates_and_times_as_people_write_them(string pattern)
    {
        string head = pattern[..(pattern.IndexOf('\n') + 1)], row = pattern[head.Length..];
        var f = Fixes(head + Rows(5, i => $"{row.Replace("@", i.ToString(System.Globalization.CultureInfo.InvariantCulture), StringComparison.Ordinal)}"));
        Assert.Equal([0, 1, 2, 3, 4], f.Select(x => x.Time!.Value.Seconds - At10));
    }

    [Fact]
    public void Month_first_is_told_from_a_day_beyond_twelve_and_an_open_question_is_said()
    {
        var f = Fixes("Date,Time,Lat,Lon\n" + Rows(5, i => $"4/27/2026,10:00:0{i},48.1,9.1\n"));
        Assert.Equal(new DateTimeOffset(2026, 4, 27, 10, 0, 0, TimeSpan.Zero).ToUnixTimeSeconds(), f[0].Time!.Value.Seconds);
        var open = Open("Date,Time,Lat,Lon\n" + Rows(5, i => $"4/5/2026,10:00:0{i},48.1,9.1\n"));
        Assert.Equal(new DateTimeOffset(2026, 5, 4, 10, 0, 0, TimeSpan.Zero).ToUnixTimeSeconds(), open.Value!.Tracks[0].Fixes[0].Time!.Value.Seconds);
        Assert.Contains(open.Issues, i => i.Severity == Severity.Warning && i.What.Contains("day or the month", StringComparison.Ordinal));
    }

    [Fact]
    public void A_time_of_day_without_a_date_runs_on_across_midnight()
    {
        var f = Fixes("time,lat,lon\n23:59:58,48.1,9.1\n23:59:59,48.1,9.1\n00:00:00,48.1,9.1\n00:00:01,48.1,9.1\n");
        Assert.Equal([86398, 86399, 86400, 86401], f.Select(x => x.Time!.Value.Seconds));
    }

    [Fact]
    public void A_gpx_file_of_several_tracks_segments_places_and_a_route()
    {
        const string time = "<time>2026-04-04T10:0";
        var c = Open("<?xml version=\"1.0\"?><gpx xmlns=\"http://www.topografix.com/GPX/1/1\" version=\"1.1\"><metadata><time>2026-04-04T09:00:00Z</time><name>Day</name></metadata>"
            + "<wpt lat=\"48\" lon=\"9\"><name>Start <![CDATA[& go]]></name></wpt><rte><name>Plan</name><rtept lat=\"48.2\" lon=\"9.2\"><name>one</name></rtept><rtept lat=\"48.3\" lon=\"9.2\"/></rte>"
            + $"<trk><name>A</name><trkseg><trkpt lat=\"48.1\" lon=\"9\">{time}0:00Z</time></trkpt></trkseg><trkseg/><trkseg><trkpt lat=\"48.1\" lon=\"9\">{time}1:00Z</time></trkpt></trkseg></trk>"
            + $"<trk><name>B</name><trkseg><trkpt lat=\"48.1\" lon=\"9\">{time}2:00Z</time></trkpt></trkseg></trk></gpx>").Value!;
        Assert.Equal(["f: A", "f: B"], c.Tracks.Select(t => t.Name));
        Assert.Equal([0, 2], c.Tracks[0].Fixes.Select(x => x.Segment));
        Assert.Equal(("Start & go", 48.0), (c.Places[0].Name, c.Places[0].LatitudeDegrees));
        Assert.Equal(2, Assert.Single(c.Lines).Points.Count); // a route was planned, not rowed
    }

    [Theory]
    [InlineData("http://www.garmin.com/xmlschemas/TrackPointExtension/v1", false)]
    [InlineData("http://www.garmin.com/xmlschemas/TrackPointExtension/v2", false)]
    [InlineData("http://www.cluetrust.com/XML/GPXDATA/1/0", false)]
    [InlineData("urn:some-watch", true)]
    public void Extensions_are_known_by_name_space_and_local_name_whatever_the_prefix(string space, bool said)
    {
        foreach (string prefix in (string[])["gpxtpx", "tpx", "ns3"])
        {
            var reading = Open($"<gpx xmlns=\"http://www.topografix.com/GPX/1/1\" xmlns:{prefix}=\"{space}\"><trk><trkseg><trkpt lat=\"48\" lon=\"9\"><time>2026-04-04T10:00:00Z</time>"
                + $"<extensions><{prefix}:X><{prefix}:hr>150</{prefix}:hr><{prefix}:cad>31</{prefix}:cad></{prefix}:X></extensions></trkpt></trkseg></trk></gpx>");
            var f = reading.Value!.Tracks[0].Fixes[0];
            Assert.Equal((150.0, 31.0), (f.HeartRate, f.Cadence));
            Assert.Equal(said, reading.Issues.Any(i => i.What.Contains(space, StringComparison.Ordinal)));
        }
    }

    [Fact]
    public void Nmea_with_something_before_each_sentence_and_positions_without_a_date()
    {
        string Sentence(string body) => "NMEA,$" + body + "*" + body.Aggregate(0, (x, c) => x ^ c).ToString("X2", System.Globalization.CultureInfo.InvariantCulture) + ",1775296800123\n";
        var f = Fixes(string.Concat(Enumerable.Range(0, 3).Select(i => Sentence(FormattableString.Invariant($"GNRMC,10000{i}.00,A,4806.000{i},N,00906.0000,E,8.75,10.0,040426,,,A")))));
        Assert.Equal([0, 1, 2], f.Select(x => x.Time!.Value.Seconds - At10));
        f = Fixes(string.Concat(Enumerable.Range(0, 3).Select(i => Sentence(FormattableString.Invariant($"GPGLL,4806.000{i},N,00906.0000,E,10000{i}.00,A,A")))));
        Assert.Equal([36000, 36001, 36002], f.Select(x => x.Time!.Value.Seconds));
    }

    [Fact]
    public void Captions_that_roll_up_with_a_flash_between()
    {
        const string vtt = "WEBVTT\nKind: captions\nLanguage: en\n\n00:00:00.080 --> 00:00:02.389 align:start position:0%\n \nsit<00:00:00.240><c> ready</c>\n\n"
            + "00:00:02.389 --> 00:00:02.399 align:start position:0%\nsit ready\n \n\n00:00:02.399 --> 00:00:04.630 align:start position:0%\nsit ready\nattention<00:00:02.640><c> go</c>\n\n"
            + "00:00:04.630 --> 00:00:04.640 align:start position:0%\nattention go\n \n";
        Assert.Equal(["sit ready", "attention go"], Open(vtt).Value!.Captions!.Cues.Select(c => c.Text));
    }

    [Theory]
    [InlineData("(0:05) up two (0:09) up three (0:12) ten\n", "5 up two|9 up three|12 ten")]
    [InlineData("Speaker 1  0:05\nup two and\n\nSpeaker 2  0:09\nup three\n", "5 up two and|9 up three")]
    [InlineData("0:05 - 0:09: up two\n0:09 - 0:12: up three\n", "5 up two|9 up three")]
    [InlineData("0:05\nup two\n0:09\nup three\n", "5 up two|9 up three")]
    [InlineData("1\n00:00:05,000 --> 00:00:09,000\nup two\n2\n00:00:09,000 --> 00:00:10,000\n36\n3\n00:00:10,000 --> 00:00:11,000\nten\\Nmore\n", "5 up two|9 36|10 ten more")]
    public void Transcripts_in_further_manners(string text, string cues) =>
        Assert.Equal(cues, string.Join('|', Open(text).Value!.Captions!.Cues.Select(c => FormattableString.Invariant($"{c.Start.Seconds:0.##} {c.Text}"))));

    [Theory]
    [InlineData("{\"words\":[{\"value\":\"up\",\"start_ms\":500,\"end_ms\":900,\"confidence\":90},{\"value\":\"two\",\"start_ms\":900,\"end_ms\":1300}]}")]
    [InlineData("{\"monologues\":[{\"speaker\":0,\"elements\":[{\"type\":\"text\",\"value\":\"up\",\"ts\":0.5,\"end_ts\":0.9},{\"type\":\"punct\",\"value\":\" \"},{\"type\":\"text\",\"value\":\"two\",\"ts\":0.9,\"end_ts\":1.3}]}]}")]
    [InlineData("{\"results\":[{\"type\":\"word\",\"start_time\":0.5,\"end_time\":0.9,\"alternatives\":[{\"content\":\"up\",\"confidence\":0.9}]},{\"type\":\"word\",\"start_time\":0.9,\"end_time\":1.3,\"alternatives\":[{\"content\":\"two\"}]}]}")]
    [InlineData("{\"results\":[{\"final\":true,\"alternatives\":[{\"transcript\":\"up two\",\"timestamps\":[[\"up\",0.5,0.9],[\"two\",0.9,1.3]]}]}]}")]
    [InlineData("{\"recognizedPhrases\":[{\"offset\":\"PT0.5S\",\"duration\":\"PT0.8S\",\"nBest\":[{\"confidence\":0.9,\"words\":[{\"word\":\"up\",\"offset\":\"PT0.5S\",\"duration\":\"PT0.4S\",\"offsetInTicks\":5000000.0,\"durationInTicks\":4000000.0},{\"word\":\"two\",\"offset\":\"PT0.9S\",\"duration\":\"PT0.4S\",\"offsetInTicks\":9000000.0,\"durationInTicks\":4000000.0}]}]}]}")]
    [InlineData("{\"transcription\":[{\"offsets\":{\"from\":500,\"to\":1300},\"text\":\" up two\",\"tokens\":[{\"text\":\"[_BEG_]\",\"offsets\":{\"from\":500,\"to\":500}},{\"text\":\" up\",\"offsets\":{\"from\":500,\"to\":900}},{\"text\":\" tw\",\"offsets\":{\"from\":900,\"to\":1100}},{\"text\":\"o\",\"offsets\":{\"from\":1100,\"to\":1300}}]}]}")]
    [InlineData("{\"text\":\" up two\",\"chunks\":[{\"text\":\" up\",\"timestamp\":[0.5,0.9]},{\"text\":\" two\",\"timestamp\":[0.9,1.3]}]}")]
    [InlineData("{\"word\":\"up\",\"start\":0.5,\"end\":0.9}\n{\"word\":\"two\",\"start\":0.9,\"end\":1.3}\n")]
    public void Words_in_further_shapes(string json)
    {
        var words = Open(json).Value!.Captions!.Cues.SelectMany(c => c.Words).ToList();
        Assert.Equal(["up", "two"], words.Select(w => w.Text));
        Assert.Equal([0.5, 0.9, 0.9, 1.3], words.SelectMany(w => new[] { Math.Round(w.Start.Seconds, 6), Math.Round(w.End.Seconds, 6) }));
    }

    [Theory]
    [InlineData("Final A\n\nRank\tLane\tCrew\t500m\t1000m\t1500m\tTime\n1\t3\tOld Quay (A)\t1:23.4\t2:48.9\t4:15.0\t5:40.1\n\t\t\t(1)\t(1)\t(1)\n2\t4\tLarkmoor\t1:24.0\t2:50.0\t4:17.1\t5:42.0 +1.9\n", "1/3 Old Quay (A) 500=83.4 1000=168.9 1500=255 2000=340.1|2/4 Larkmoor 500=84 1000=170 1500=257.1 2000=342 [1.9 s]")]
    [InlineData("1\nOld Quay\n5:40.1\n2\nLarkmoor\n5:42.0\n", "1/ Old Quay 2000=340.1|2/ Larkmoor 2000=342")]
    [InlineData("Pos\nLane\nCrew\nTime\n1\n3\nOld Quay\n5:40.1\n2\n4\nLarkmoor\n5:42.0\n", "1/3 Old Quay 2000=340.1|2/4 Larkmoor 2000=342")]
    [InlineData("1st  Old Quay  5:40.1\n2nd  Larkmoor  DNF\n", "1/ Old Quay 2000=340.1|2/ Larkmoor [DNF]")]
    [InlineData("\uFEFFPos;Bahn;Verein;500 m;2000 m\r\n1;3;Old Quay;1:23,4;5:40,1\r\n", "1/3 Old Quay 500=83.4 2000=340.1")]
    [InlineData("Old Quay bt Larkmoor, 1 1/4 lengths, 6:32\n", "1/ Old Quay 2000=392|2/ Larkmoor [1 1/4 lengths]")]
    [InlineData("Fenwick beat Marsh easily\n", "1/ Fenwick|2/ Marsh [easily]")]
    [InlineData("1. Old Quay (5:40.1), 2. Larkmoor (5:42.0)\n", "1/ Old Quay 2000=340.1|2/ Larkmoor 2000=342")]
    [InlineData("First: Old Quay\nSecond: Larkmoor, three-quarters of a length\nThird: Fenwick, a canvas\n", "1/ Old Quay|2/ Larkmoor [three-quarters of a length]|3/ Fenwick [a canvas]")]
    [InlineData("1. Old Quay 5:40.1\n2. Larkmoor B half a length\n", "1/ Old Quay 2000=340.1|2/ Larkmoor B [half a length]")]
    [InlineData("Event,Place,Lane,Team,Raw Time,Adjusted,Margin\nM8+,1,3,Old Quay,5:40.1,5:40.1,0.000\nM8+,2,4,\"Larkmoor, B\",5:42.0,5:42.0,1.9\n", "1/3 Old Quay 2000=340.1|2/4 Larkmoor, B 2000=342 [1.9 s]")]
    [InlineData("| Pl | Lane | Crew | 2000 m |\n|----|------|------|--------|\n| 1 | 3 | Old Quay | 5:40.1 |\n", "1/3 Old Quay 2000=340.1")]
    [InlineData("Lane 3 Old Quay 5:40.1\nLane 4 Larkmoor 5:42.0\n", "/3 Old Quay 2000=340.1|/4 Larkmoor 2000=342")]
    [InlineData("1 (4) Old Quay 5.40.1\n2 (3) Larkmoor +1.9\n", "1/4 Old Quay 2000=340.1|2/3 Larkmoor [1.9 s]")]
    [InlineData("Lane\tCrew\tSplit 500\tSplit 1000\tSplit 1500\tFinal\n3\tOld Quay\t1:23.4\t1:25.5\t1:26.1\t5:40.1\n", "/3 Old Quay 500=83.4 1000=168.9 1500=255 2000=340.1")]
    public void Results_as_they_are_pasted(string sheet, string rows)
    {
        var r = Open(sheet).Value!.Result!;
        Assert.Equal(rows, string.Join('|', r.Rows.Select(x => $"{x.Place}/{x.Lane} {x.Crew}"
            + string.Concat(x.Times.Select(t => FormattableString.Invariant($" {t.Mark.Metres:0}={t.Time.Seconds:0.##}"))) + (x.Verdict is { } v ? $" [{v}]" : ""))));
    }
}
