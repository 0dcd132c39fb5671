using System.Text;

namespace Stakeboat.Readers.Tests;

/// <summary>What a person brings that cannot be used: each a sentence with file, place and remedy.</summary>
public class OutingFolderTroubleSyntheticTests
{
    private static OutingFile Bytes(string name, byte[] b) => new(name, () => new MemoryStream(b));

    private static readonly byte[] s_picture = [0x89, (byte)'P', (byte)'N', (byte)'G', 13, 10, 26, 10, 0, 0];

    [Fact]
    public void A_truncated_track_keeps_its_fixes_and_names_the_line()
    {
        byte[] gpx = File.ReadAllBytes(Repo.Corpus("dual-8/track.gpx"))[..20000];
        var reading = OutingFolder.Read("race", [Bytes("track.gpx", gpx)]);
        Assert.Equal(198, reading.Value!.Tracks[0].Fixes.Count); // grep -c '</trkpt>' of the first 20 000 bytes
        var i = Assert.Single(reading.Issues, i => i.Severity == Severity.Error);
        Assert.Equal(("track.gpx", "line 202"), (i.File, i.Place));
        Assert.Contains("again", i.Done, StringComparison.Ordinal);
    }

    [Fact]
    public void Captions_that_are_a_picture_are_named_as_one()
    {
        var reading = OutingFolder.Read("race", [Bytes("captions.vtt", s_picture)]);
        Assert.Null(reading.Value);
        Assert.Contains(reading.Issues, i => i.File == "captions.vtt" && i.What.Contains("a picture (PNG)", StringComparison.Ordinal));
    }

    [Fact]
    public void An_empty_folder_and_a_missing_one()
    {
        string empty = Directory.CreateTempSubdirectory("stakeboat-readers-").FullName;
        try
        {
            Assert.Contains(OutingFolder.Read(empty).Issues, i => i.What == "The folder is empty." && i.Done.Length > 20);
        }
        finally
        {
            Directory.Delete(empty);
        }

        Assert.Contains(OutingFolder.Read(empty).Issues, i => i.What.Contains("no such file or folder", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("track.gpx", "")]
    [InlineData("track.gpx", "hello there")]
    [InlineData("motion.csv", "a,b\nc,d\n")]
    [InlineData("words.json", "{\"a\":")]
    [InlineData("x.zip", "PK\u0003\u0004broken")]
    [InlineData("a.wav", "RIFF....WAVE")]
    [InlineData("a.ogg", "OggS")]
    [InlineData("a.flac", "fLaC")]
    [InlineData("a.mp3", "ID3")]
    [InlineData("a.fit", "\u000E\u0010..\u0000\u0000\u0000\u0000.FIT")]
    public void Whatever_else_says_what_it_is_and_what_to_do(string name, string content)
    {
        var reading = OutingFolder.Read("race", [Bytes(name, Encoding.UTF8.GetBytes(content))]);
        Assert.Null(reading.Value);
        Assert.All(reading.Issues, i => Assert.True(i.What.EndsWith('.') && i.Done.EndsWith('.'), i.ToString()));
        Assert.Contains(reading.Issues, i => i.File == name && i.Severity == Severity.Error);
    }

    [Fact]
    public void Content_decides_and_not_the_name()
    {
        var reading = OutingFolder.Read("race", [Bytes("photo.jpg", File.ReadAllBytes(Repo.Corpus("dual-8/track.gpx"))), Bytes("track.gpx", File.ReadAllBytes(Repo.Corpus("dual-8/captions.vtt")))]);
        Assert.Equal(466, reading.Value!.Tracks[0].Fixes.Count);
        Assert.Equal(110, reading.Value.Captions[0].Cues.Count);
    }

    [Fact]
    public void Recordings_that_need_another_program_say_so()
    {
        using var s = File.OpenRead(Repo.Oracle("sound/mono.m4a"));
        Assert.Null(Stakeboat.Readers.Sound.OutsideDecoder.Find("ffmpeg", ""));
        var reading = FileDoor.Open(s, "mono.m4a");
        Assert.Equal(1.0, reading.Value!.Sound!.DurationSeconds, 0.05);
    }

    [Theory]
    [InlineData(null, "needs the program ffmpeg, which is not installed here")]
    [InlineData("/no/such/folder/ffmpeg", "could not be used")]
    public void An_m4a_recording_without_the_program_gets_a_sentence_and_a_remedy(string? program, string sentence)
    {
        using var s = File.OpenRead(Repo.Oracle("sound/mono.m4a"));
        var log = new IssueLog("mono.m4a");
        Assert.Null(Stakeboat.Readers.Sound.OutsideDecoder.Open(s, log, 0, program, search: ""));
        var issue = Assert.Single(log.ToList());
        Assert.Equal(Severity.Error, issue.Severity);
        Assert.Contains(sentence, issue.What, StringComparison.Ordinal);
        Assert.Contains("save the recording as WAV, FLAC, MP3 or Opus", issue.Done, StringComparison.OrdinalIgnoreCase);
    }
}
