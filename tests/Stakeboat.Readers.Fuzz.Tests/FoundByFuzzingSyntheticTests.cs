using System.Buffers.Binary;
using System.Text;
using Stakeboat.Exchange;
using Stakeboat.Readers.Captions;
using Stakeboat.Readers.Sheets;
using Stakeboat.Readers.Sound;
using Stakeboat.Readers.Tracks;

namespace Stakeboat.Readers.Fuzz.Tests;

/// <summary>What the bent files showed, one test each.</summary>
public class FoundByFuzzingSyntheticTests
{
    private static MemoryStream Utf8(string s) => new(Encoding.UTF8.GetBytes(s));

    private static string Folder(string name)
    {
        string at = AppContext.BaseDirectory;
        while (!File.Exists(Path.Combine(at, "Stakeboat.slnx")))
        {
            at = Path.GetDirectoryName(at)!;
        }

        return Path.Combine(at, "tests", "fuzz", name);
    }

    private static (float[] Samples, Reading<SoundReader> Reading) Hear(byte[] file)
    {
        var reading = SoundReader.Open(new MemoryStream(file), "f");
        using var reader = reading.Value;
        var all = new List<float>();
        var block = new float[1024];
        int n;
        while (reader is not null && (n = reader.Read(block)) > 0)
        {
            all.AddRange(block.AsSpan(0, n));
        }

        return ([.. all], new Reading<SoundReader>(reader, reader?.Issues ?? reading.Issues));
    }

    private static byte[] Bent(string seed, Action<List<byte[]>> bend)
    {
        byte[] x = File.ReadAllBytes(Path.Combine(Folder("seeds"), seed));
        var pages = new List<byte[]>();
        for (int at = 0; at < x.Length;)
        {
            int next = x.AsSpan(at + 4).IndexOf("OggS"u8);
            int end = next < 0 ? x.Length : at + 4 + next;
            pages.Add(x[at..end]);
            at = end;
        }

        bend(pages);
        pages.ForEach(ContainerBending.MendPage);
        return [.. pages.SelectMany(p => p)];
    }

    [Theory]
    [InlineData("{\"words\":[{\"word\":\"up\",\"start\":1,\"end\":2,\"\\ud800\":3}]}")]
    [InlineData("{\"words\":[{\"word\":\"up \\udc00\",\"start\":1,\"end\":2}]}")]
    public void A_name_or_text_of_json_that_is_half_a_letter(string json)
    {
        var reading = WordJsonReader.Read(Utf8(json), "w.json");
        Assert.StartsWith("up", Assert.Single(reading.Value!.Cues).Text, StringComparison.Ordinal);
        Assert.Contains(reading.Issues, i => i.What.Contains("cut in half", StringComparison.Ordinal));
    }

    [Fact]
    public void A_whole_letter_of_two_halves_stays_one()
    {
        var reading = WordJsonReader.Read(Utf8("{\"words\":[{\"word\":\"\\ud83d\\ude00\",\"start\":1,\"end\":2}]}"), "w.json");
        Assert.Equal("\U0001F600", reading.Value!.Cues[0].Text);
        Assert.Empty(reading.Issues);
    }

    [Fact]
    public void A_word_beyond_a_year_is_left_out()
    {
        var reading = WordJsonReader.Read(Utf8("{\"words\":[{\"word\":\"up\",\"start\":1,\"end\":2},{\"word\":\"now\",\"start\":4294967295,\"end\":4294967296}]}"), "w.json");
        Assert.Equal("up", Assert.Single(reading.Value!.Cues).Text);
        Assert.Contains(reading.Issues, i => i.What.Contains("beyond a year", StringComparison.Ordinal));
    }

    [Fact]
    public void Words_that_are_said_again_are_no_rolling_up()
    {
        string vtt = "WEBVTT\n\n00:01.000 --> 00:02.000\nand row\n\n00:02.000 --> 00:03.000\nand row\n\n00:03.000 --> 00:04.000\nand row\n\n";
        Assert.Equal(3, WebVttReader.Read(Utf8(vtt), "a.vtt").Value!.Cues.Count);
        string flash = "WEBVTT\n\n00:01.000 --> 00:02.000\nup\n\n00:02.000 --> 00:02.010\nup\n\n00:02.010 --> 00:03.000\nup\ntwo\n\n00:03.000 --> 00:03.010\ntwo\n\n";
        Assert.Equal(["up", "two"], WebVttReader.Read(Utf8(flash), "a.vtt").Value!.Cues.Select(c => c.Text));
    }

    [Fact]
    public void Two_times_at_one_mark_are_one()
    {
        var reading = ResultTextReader.Read(Utf8("Crew\t500m\t500m\t2000m\nOld Quay\t1:23.4\t1:24.0\t5:40.1\n"), "r.tsv");
        Assert.Equal([500, 2000], reading.Value!.Rows[0].Times.Select(t => t.Mark.Metres));
        Assert.Contains(reading.Issues, i => i.What.Contains("two times at 500 m", StringComparison.Ordinal));
    }

    [Fact]
    public void Two_fixes_of_one_time_are_one_also_with_a_fix_without_a_time_between()
    {
        const string gpx = "<gpx><trk><trkseg><trkpt lat=\"1\" lon=\"2\"><time>2026-04-04T10:00:00Z</time></trkpt><trkpt lat=\"1\" lon=\"2.1\"/>"
            + "<trkpt lat=\"1\" lon=\"2.2\"><time>2026-04-04T10:00:00Z</time></trkpt></trkseg></trk></gpx>";
        var reading = GpxReader.Read(Utf8(gpx), "a.gpx");
        Assert.Equal([2, 2.1], reading.Value!.Tracks[0].Fixes.Select(f => f.LongitudeDegrees));
        Assert.Contains(reading.Issues, i => i.What.Contains("same time", StringComparison.Ordinal));
    }

    [Fact]
    public void A_route_of_one_point_is_written_to_geojson_as_a_point()
    {
        var c = FileDoor.Open(Utf8("<gpx><rte><rtept lat=\"1\" lon=\"2\"/></rte></gpx>"), "a.gpx").Value!;
        using var geo = new MemoryStream();
        Stakeboat.Exchange.Tracks.TrackWriter.GeoJson(geo, c.Tracks, c.Places, c.Lines);
        geo.Position = 0;
        Assert.Equal((1, 2), Assert.Single(FileDoor.Open(geo, "a.geojson").Value!.Places) is var p ? (p.LatitudeDegrees, p.LongitudeDegrees) : default);
    }

    [Fact]
    public void A_vorbis_position_with_which_a_decoder_never_came_back()
    {
        var (samples, reading) = Hear(File.ReadAllBytes(Path.Combine(Folder("found"), "position-that-never-ends.ogg")));
        Assert.NotNull(reading.Value);
        Assert.InRange(samples.Length, 0, 10_000);
    }

    [Fact]
    public void A_vorbis_codebook_that_declares_sixteen_million_entries_is_refused()
    {
        byte[] file = Bent("vorbis/a.ogg", pages =>
        {
            byte[] page = pages.Single(p => p.AsSpan().IndexOf("BCV"u8) > 0);
            int at = page.AsSpan().IndexOf("BCV"u8);
            page.AsSpan(at + 5, 3).Fill(0xFF);
        });
        long before = GC.GetAllocatedBytesForCurrentThread();
        var (samples, reading) = Hear(file);
        Assert.InRange(GC.GetAllocatedBytesForCurrentThread() - before, 0, 1 << 20);
        Assert.Empty(samples);
        Assert.Contains(reading.Issues, i => i.Severity == Severity.Error && i.What.Contains("Vorbis", StringComparison.Ordinal));
    }

    [Fact]
    public void An_opus_gain_of_128_decibels_stays_finite()
    {
        byte[] file = Bent("opus/a.opus", pages => BinaryPrimitives.WriteInt16LittleEndian(pages[0].AsSpan(pages[0].AsSpan().IndexOf("OpusHead"u8) + 16), short.MaxValue));
        var (samples, _) = Hear(file);
        Assert.NotEmpty(samples);
        Assert.All(samples, v => Assert.InRange(v, -8f, 8f));
    }

    [Theory]
    [InlineData("opus/a.opus")]
    [InlineData("vorbis/a.ogg")]
    public void A_last_position_that_the_file_cannot_hold_is_no_length(string seed)
    {
        byte[] file = Bent(seed, pages => BinaryPrimitives.WriteInt64LittleEndian(pages[^1].AsSpan(6), 1L << 49));
        var (samples, reading) = Hear(file);
        Assert.NotEmpty(samples);
        Assert.Null(reading.Value!.DurationSeconds);
        Assert.Contains(reading.Issues, i => i.What.Contains("cannot hold", StringComparison.Ordinal));
    }

    [Fact]
    public void A_flac_sample_that_does_not_fit_its_bits_is_damage()
    {
        // One frame of 16 samples: predictor of order one, first sample 32767, every difference 30000; both checksums right.
        var bits = new StringBuilder();
        void Put(int n, long v) => bits.Append(Convert.ToString(v & ((1L << n) - 1), 2).PadLeft(n, '0'));
        byte[] head = [0xFF, 0xF8, 0x60, 0x00, 0x00, 15];
        Put(8, 0b0_001001_0);
        Put(16, 32767);
        Put(2, 0);
        Put(4, 0);
        Put(4, 15);
        Put(5, 16);
        for (int i = 1; i < 16; i++)
        {
            Put(16, 30000);
        }

        string b = bits.ToString().PadRight((bits.Length + 7) / 8 * 8, '0');
        byte[] body = [.. Enumerable.Range(0, b.Length / 8).Select(i => Convert.ToByte(b.Substring(i * 8, 8), 2))];
        byte[] frame = [.. head, ContainerBending.Crc8(head), .. body];
        ushort crc = ContainerBending.Crc16(frame);
        byte[] stream = [0, 16, 0, 16, 0, 0, 0, 0, 0, 0, 0x01, 0xF4, 0x00, 0xF0, 0, 0, 0, 16, .. new byte[16]]; // 8000 Hz, mono, 16 bits, 16 samples
        var (samples, reading) = Hear([.. "fLaC"u8, 0x80, 0, 0, 34, .. stream, .. frame, (byte)(crc >> 8), (byte)crc, 0]);
        Assert.All(samples, v => Assert.Equal(0, v));
        Assert.Equal(16, samples.Length);
        Assert.Contains(reading.Issues, i => i.What.Contains("frame is damaged", StringComparison.Ordinal));
    }

    [Fact]
    public void A_flac_head_alone_costs_no_buffers()
    {
        byte[] stream = [0, 16, 0xFF, 0xFF, 0, 0, 0, 0, 0, 0, 0x01, 0xF4, 0x0E, 0xF0, 0, 0, 0, 16, .. new byte[16]]; // 8 channels, blocks of 65535
        long before = GC.GetAllocatedBytesForCurrentThread();
        FileDoor.Open(new MemoryStream([.. "fLaC"u8, 0x80, 0, 0, 34, .. stream, 0, 0, 0, 0]), "a.flac");
        Assert.InRange(GC.GetAllocatedBytesForCurrentThread() - before, 0, 1 << 18);
    }

    [Fact]
    public void Captions_that_were_read_come_back_as_written()
    {
        var read = WebVttReader.Read(Utf8("WEBVTT\n\n00:01.000 --> 00:02.000\n<v Cox & Co>up &lt;b&gt; --&gt; <00:01.500>two\n"), "a.vtt").Value!;
        var back = WebVttReader.Read(Utf8(CaptionText.WebVtt(read)), "b.vtt").Value!;
        Assert.Equal(read.Cues[0].Text, back.Cues[0].Text);
        Assert.Equal(read.Cues[0].Voice, back.Cues[0].Voice);
        Assert.Equal(read.Cues[0].Words.Select(w => (w.Text, Math.Round(w.Start.Seconds, 3), Math.Round(w.End.Seconds, 3))), back.Cues[0].Words.Select(w => (w.Text, w.Start.Seconds, w.End.Seconds))); // thousandths are all that WebVTT has
    }
}
