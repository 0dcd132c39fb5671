using System.Text;
using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Captions;

namespace Stakeboat.Readers.Tests.Captions;

public class CaptionReadersSyntheticTests
{
    private static CaptionTrack Door(string text, Encoding? encoding = null) =>
        FileDoor.Open(new MemoryStream([.. (encoding ?? Encoding.UTF8).GetPreamble(), .. (encoding ?? Encoding.UTF8).GetBytes(text)]), "x").Value!.Captions!;

    private static string[] Cues(CaptionTrack t) => [.. t.Cues.Select(c => FormattableString.Invariant($"{c.Start.Seconds:0.###}-{c.End.Seconds:0.###} {c.Text}"))];

    [Fact]
    public void Webvtt_notes_styles_regions_settings_identifiers_and_nul()
    {
        var t = Door("WEBVTT\n\nNOTE\nnot said\n\nREGION\nid:a\n\nSTYLE\n::cue{}\n\nidentifier\n00:01.000 --> 00:02.000 line:0 position:20%,center\nCatch\0es\n\n00:02.000 --> 00:03.000\nup two\n");
        Assert.Equal(["1-2 Catch\uFFFDes", "2-3 up two"], Cues(t));
    }

    [Fact]
    public void Times_within_a_cue_become_words_and_a_voice_is_kept()
    {
        var c = Door("WEBVTT\n\n00:01.000 --> 00:03.000\n<v Cox>Sit <00:01.500>ready <00:02.000><c.loud>row</c>\n").Cues[0];
        Assert.Equal("Cox", c.Voice);
        Assert.Equal("Sit ready row", c.Text);
        Assert.Equal([(1.0, 1.5, "Sit"), (1.5, 2.0, "ready"), (2.0, 3.0, "row")], c.Words.Select(w => (w.Start.Seconds, w.End.Seconds, w.Text)));
    }

    [Fact]
    public void Captions_that_roll_up_are_not_said_twice()
    {
        var t = Door("WEBVTT\n\n00:01.000 --> 00:03.000\nsit ready\n\n00:03.000 --> 00:03.010\nsit ready\n\n00:03.010 --> 00:05.000\nsit ready\nattention row\n\n00:05.000 --> 00:07.000\nattention row\npower ten\n");
        Assert.Equal(["1-3 sit ready", "3.01-5 attention row", "5-7 power ten"], Cues(t));
    }

    [Theory]
    [InlineData("1\n00:00:01.500 --> 00:00:02.000\nfull stop\n", "1.5-2 full stop")]
    [InlineData("1\r00:00:01,5 --> 00:00:02,000\rold line ends\r", "1.5-2 old line ends")]
    [InlineData("00:01,500 --> 00:02,000 X1:1 X2:2\nno number, no hours\n", "1.5-2 no number, no hours")]
    [InlineData("1\n\n00:00:01,500 --> 00:00:02,000\n\n{\\an8}<font color=\"#fff\">blank lines</font>\n\n", "1.5-2 blank lines")]
    [InlineData("1\n00:00:01,500-->00:00:02,000\nno spaces\n", "1.5-2 no spaces")]
    public void Subrip_as_it_occurs(string text, string cue) => Assert.Equal([cue], Cues(Door(text)));

    [Fact]
    public void Old_encodings_are_read_and_said()
    {
        byte[] b = Encoding.Latin1.GetBytes("1\n00:00:01,500 --> 00:00:02,000\nSo\u00F1a\n");
        var reading = FileDoor.Open(new MemoryStream(b), "x.srt");
        Assert.Equal("Soña", reading.Value!.Captions!.Cues[0].Text);
        Assert.Contains(reading.Issues, i => i.Done.Contains("Windows-1252", StringComparison.Ordinal));
        Assert.Equal("Soña", Door("1\n00:00:01,500 --> 00:00:02,000\nSoña\n", Encoding.Unicode).Cues[0].Text);
        Assert.Equal("Soña", Door("1\n00:00:01,500 --> 00:00:02,000\nSoña\n", Encoding.UTF8).Cues[0].Text);
    }

    [Theory]
    [InlineData("[0:20] Ready all\n[0:25] row\n", "20-25 Ready all")]
    [InlineData("(0:20) Ready all\n(1:05) row\n", "20-65 Ready all")]
    [InlineData("0:20 Ready all\n62:05 row\n", "20-3725 Ready all")]
    [InlineData("[0:20]\nReady\nall\n\n[1:00:25]\nrow\n", "20-3625 Ready all")]
    [InlineData("00:20 - Ready all\n00:25 - row\n", "20-25 Ready all")]
    public void Transcripts_with_times(string text, string first)
    {
        var t = Door(text);
        Assert.Equal(CaptionTiming.Blocks, t.Timing);
        Assert.Equal(first, Cues(t)[0]);
    }

    public static TheoryData<string, string> Shapes => new()
    {
        { "segments with words", """{"segments":[{"id":0,"start":1.0,"end":2.0,"text":" Up two","words":[{"word":" Up","start":1.0,"end":1.4,"probability":0.9},{"word":" two","start":1.5,"end":2.0,"probability":0.8}]}]}""" },
        { "flat words in milliseconds", """{"words":[{"text":"Up","start":1000,"end":1400,"confidence":0.9},{"text":"two","start":1500,"end":2000,"confidence":0.8}]}""" },
        { "a result list", """{"result":[{"conf":0.9,"end":1.4,"start":1.0,"word":"Up"},{"conf":0.8,"end":2.0,"start":1.5,"word":"two"}],"text":"Up two"}""" },
        { "documents in a row", "{\"result\":[{\"conf\":0.9,\"end\":1.4,\"start\":1.0,\"word\":\"Up\"}]}\n{\"result\":[{\"conf\":0.8,\"end\":2.0,\"start\":1.5,\"word\":\"two\"}]}\n" },
        { "times as text with a unit", """{"results":[{"alternatives":[{"transcript":"Up two","words":[{"startTime":"1.000s","endTime":"1.400s","word":"Up","confidence":0.9},{"startTime":"1.500s","endTime":"2s","word":"two","confidence":0.8}]},{"transcript":"a two"}]}]}""" },
        { "items with contents", """{"results":{"items":[{"type":"pronunciation","start_time":"1.0","end_time":"1.4","alternatives":[{"confidence":"0.9","content":"Up"}]},{"type":"pronunciation","start_time":"1.5","end_time":"2.0","alternatives":[{"confidence":"0.8","content":"two"}]}]}}""" },
        { "channels", """{"results":{"channels":[{"alternatives":[{"transcript":"Up two","words":[{"word":"up","punctuated_word":"Up","start":1.0,"end":1.4,"confidence":0.9},{"word":"two","start":1.5,"end":2.0,"confidence":0.8}]}]}]}}""" },
        { "hundreds of nanoseconds", """{"NBest":[{"Confidence":0.9,"Words":[{"Word":"Up","Offset":10000000,"Duration":4000000,"Confidence":0.9},{"Word":"two","Offset":15000000,"Duration":5000000,"Confidence":0.8}]}]}""" },
        { "events with offsets", """{"events":[{"tStartMs":1000,"dDurationMs":1000,"segs":[{"utf8":"Up","acAsrConf":230},{"utf8":" two","tOffsetMs":500,"acAsrConf":204}]}]}""" },
        { "chunks with pairs", """{"text":"Up two","chunks":[{"text":" Up","timestamp":[1.0,1.4]},{"text":" two","timestamp":[1.5,2.0]}]}""" },
    };

    [Theory]
    [MemberData(nameof(Shapes))]
    public void Words_in_json(string shape, string json)
    {
        Assert.NotEmpty(shape);
        var t = Door(json);
        Assert.Equal(CaptionTiming.Words, t.Timing);
        var words = t.Cues.SelectMany(c => c.Words).ToList();
        Assert.Equal(["Up", "two"], words.Select(w => w.Text));
        Assert.Equal([1.0, 1.5], words.Select(w => Math.Round(w.Start.Seconds, 6)));
        Assert.Equal(2.0, words[1].End.Seconds, 6);
        if (words[0].Probability is { } p)
        {
            Assert.Equal(0.9, p, 0.01);
        }
    }

    [Fact]
    public void Segments_without_words_are_cues()
    {
        var t = Door("""{"transcription":[{"timestamps":{"from":"00:00:01,000","to":"00:00:02,000"},"offsets":{"from":1000,"to":2000},"text":" Up two"}]}""");
        Assert.Equal(CaptionTiming.Cues, t.Timing);
        Assert.Equal(["1-2 Up two"], Cues(t));
    }

    [Fact]
    public void Json_that_breaks_off_keeps_its_whole_words()
    {
        var reading = FileDoor.Open(new MemoryStream(Encoding.UTF8.GetBytes("""{"segments":[{"start":1.0,"end":2.0,"text":"Up two","words":[{"word":"Up","start":1.0,"end":1.4},{"word":"tw""")), "w.json");
        Assert.Equal("Up", Assert.Single(reading.Value!.Captions!.Cues).Text);
        Assert.Contains(reading.Issues, i => i.Severity == Severity.Error);
    }

    [Fact]
    public void Written_webvtt_is_read_back()
    {
        using var s = File.OpenRead(Repo.Corpus("masters-1000/words.json"));
        var t = WordJsonReader.Read(s, "words.json").Value!;
        var back = Door(Stakeboat.Exchange.CaptionText.WebVtt(t));
        Assert.Equal(t.Cues.Select(c => c.Text), back.Cues.Select(c => c.Text));
        Assert.Equal(t.Cues.Select(c => Math.Round(c.Start.Seconds, 3)), back.Cues.Select(c => c.Start.Seconds));
        Assert.Equal(t.Cues.Sum(c => c.Words.Count), back.Cues.Sum(c => Math.Max(c.Words.Count, c.Text.Split(' ').Length)));
    }
}
