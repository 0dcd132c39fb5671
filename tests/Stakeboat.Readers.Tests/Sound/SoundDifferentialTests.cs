using System.Text.Json;
using Stakeboat.Readers.Sound;

namespace Stakeboat.Readers.Tests.Sound;

/// <summary>Against ffmpeg 5.1.9 on recordings made by sox and ffmpeg: oracles/readers/sound.py.</summary>
public class SoundDifferentialTests
{
    private static readonly JsonElement s_files = JsonDocument.Parse(File.ReadAllBytes(Repo.Oracle("sound.json"))).RootElement.GetProperty("files");

    public static TheoryData<string> Managed => [.. s_files.EnumerateObject().Select(p => p.Name).Where(n => !n.EndsWith(".m4a", StringComparison.Ordinal))];

    public static TheoryData<string> Lossless => [.. s_files.EnumerateObject().Select(p => p.Name).Where(n => n.EndsWith(".wav", StringComparison.Ordinal) || n.EndsWith(".flac", StringComparison.Ordinal))];

    internal static float[] All(string file, int? rate = null, double from = 0)
    {
        using var s = File.OpenRead(Repo.Oracle("sound/" + file));
        var reading = SoundReader.Open(s, file, rate, from);
        Assert.True(reading.Usable, string.Join("\n", reading.Issues));
        using var reader = reading.Value!;
        return Drain(reader);
    }

    internal static float[] Drain(SoundReader reader)
    {
        var all = new List<float>();
        var block = new float[1000];
        int n;
        while ((n = reader.Read(block)) > 0)
        {
            all.AddRange(block.AsSpan(0, n));
        }

        return [.. all];
    }

    [Theory]
    [MemberData(nameof(Managed))]
    public void Sample_counts_and_levels_agree(string file)
    {
        var x = All(file);
        var o = s_files.GetProperty(file);
        int theirs = o.GetProperty("samples").GetInt32();
        if (file == "mono.mp3")
        {
            // sox writes no length of the encoder's silence: neither side can cut it, ffmpeg takes one frame more or less. The reader says 0.1 s.
            Assert.InRange(x.Length, theirs - 1600, theirs + 1600);
        }
        else
        {
            Assert.Equal(theirs, x.Length);
        }

        double energy = x.Sum(v => (double)v * v), expected = Math.Pow(o.GetProperty("rms").GetDouble(), 2) * theirs;
        Assert.Equal(expected, energy, 0.02 * expected); // 0.1 dB
    }

    [Theory]
    [MemberData(nameof(Lossless))]
    public void Lossless_samples_are_the_same(string file) => AtPoints(file, 1e-6);

    [Theory]
    [InlineData("lame.mp3", 2e-3)]
    [InlineData("stereo.ogg", 1e-4)]
    [InlineData("mono.opus", 2e-3)]
    [InlineData("stereo.opus", 2e-3)]
    public void Lossy_samples_stand_at_the_same_time(string file, double within) => AtPoints(file, within);

    private static void AtPoints(string file, double within)
    {
        var x = All(file);
        var o = s_files.GetProperty(file);
        for (int k = 0; k < o.GetProperty("at").GetArrayLength(); k++)
        {
            Assert.Equal(o.GetProperty("values")[k].GetDouble(), x[o.GetProperty("at")[k].GetInt32()], within);
        }
    }

    [Theory]
    [MemberData(nameof(Managed))]
    public void The_head_alone_tells_the_length(string file)
    {
        using var s = File.OpenRead(Repo.Oracle("sound/" + file));
        using var reader = SoundReader.Open(s, file).Value!;
        double whole = All(file).Length / (double)reader.SampleRate;
        if (reader.DurationSeconds is { } d)
        {
            Assert.Equal(whole, d, 0.002);
        }
        else
        {
            Assert.Equal("mono.mp3", file);
        }
    }

    [Theory]
    [MemberData(nameof(Managed))]
    public void Sixteen_kilohertz_have_the_length_of_the_sound(string file)
    {
        var o = s_files.GetProperty(file);
        var x = All(file, 16000);
        double seconds = o.GetProperty("samples").GetInt32() / (double)o.GetProperty("rate").GetInt32();
        Assert.Equal(seconds, x.Length / 16000.0, file == "mono.mp3" ? 0.11 : 0.002);
    }

    [Theory]
    [InlineData("s16.flac")]
    [InlineData("f32.wav")]
    [InlineData("stereo.opus")]
    [InlineData("stereo.ogg")]
    [InlineData("lame.mp3")]
    public void Beginning_later_gives_the_same_sound(string file)
    {
        const double From = 0.37;
        var whole = All(file, 16000);
        var part = All(file, 16000, From);
        int shift = (int)Math.Round(From * 16000);
        Assert.InRange(part.Length, whole.Length - shift - 2, whole.Length - shift + 2);
        for (int i = 400; i < part.Length - 400; i += 97)
        {
            Assert.Equal(whole[i + shift], part[i], 0.03);
        }
    }

    [Theory]
    [InlineData("s16.wav")]
    [InlineData("s16.flac")]
    [InlineData("lame.mp3")]
    public void A_truncated_recording_gives_what_is_there(string file)
    {
        byte[] bytes = File.ReadAllBytes(Repo.Oracle("sound/" + file));
        using var s = new MemoryStream(bytes, 0, bytes.Length * 3 / 4);
        using var reader = SoundReader.Open(s, file).Value!;
        int all = s_files.GetProperty(file).GetProperty("samples").GetInt32(), n = Drain(reader).Length;
        Assert.InRange(n, all / 2, all * 4 / 5);
    }

    [Fact]
    public void A_truncated_opus_recording_gives_its_whole_pages()
    {
        byte[] bytes = File.ReadAllBytes(Repo.Corpus("masters-1000/recording.opus"));
        using var s = new MemoryStream(bytes, 0, bytes.Length * 3 / 4);
        using var reader = SoundReader.Open(s, "recording.opus", 16000).Value!;
        int n = Drain(reader).Length;
        Assert.InRange(n / 16000.0, 332.6 / 2, 332.6 * 4 / 5);
        Assert.Contains(reader.Issues, i => i.What.Contains("breaks off", StringComparison.Ordinal));
    }
}
