using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Sound;
using Stakeboat.Words.Recognisers;
using Stakeboat.Words.Speech;

namespace Stakeboat.Words.Tests;

/// <summary>Sounds that are not what one hopes for: each gets its sentence. The talk is a labelled recording, the rest is made here.</summary>
public class WrongSoundsTests
{
    private sealed class StandIn : IRecogniser
    {
        public string Name => "stand-in";

        public RecogniserState Check() => new(true, "");

        public IReadOnlyList<RecognisedWord> Recognise(ReadOnlySpan<float> samples, RecogniserHints hints, CancellationToken cancel) => [new(0.1, 0.4, "stretch", 0.5)];
    }

    private static WordsResult Run(byte[] wav) => new WordsJob(() => new MemoryStream(wav), "outing.wav", new StandIn(), RecogniserHints.None).Run();

    private static byte[] Wav(int rate, params float[][] channels)
    {
        using var bytes = new MemoryStream();
        using var w = new BinaryWriter(bytes);
        int frame = 2 * channels.Length, n = channels[0].Length;
        w.Write("RIFF"u8);
        w.Write(36 + frame * n);
        w.Write("WAVEfmt "u8);
        w.Write(16);
        w.Write((short)1);
        w.Write((short)channels.Length);
        w.Write(rate);
        w.Write(frame * rate);
        w.Write((short)frame);
        w.Write((short)16);
        w.Write("data"u8);
        w.Write(frame * n);
        for (int i = 0; i < n; i++)
        {
            foreach (float[] c in channels)
            {
                w.Write((short)Math.Clamp(32767 * c[i], -32768, 32767));
            }
        }

        return bytes.ToArray();
    }

    /// <summary>Half a minute of a labelled recording.</summary>
    private static float[] Talk(int rate)
    {
        string root = AppContext.BaseDirectory;
        while (!File.Exists(Path.Combine(root, "Stakeboat.slnx")))
        {
            root = Path.GetDirectoryName(root)!;
        }

        using var stream = File.OpenRead(Path.Combine(root, "data", "corpus", "masters-1000", "recording.opus"));
        using var sound = SoundReader.Open(stream, "recording.opus", rate, 100).Value!;
        var x = new float[30 * rate];
        int at = 0, n;
        while (at < x.Length && (n = sound.Read(x.AsSpan(at))) > 0)
        {
            at += n;
        }

        return x;
    }

    /// <summary>Chords that change every half second, struck and fading, with a beat of noise; with pauses or held like an organ.</summary>
    private static float[] Music(bool organ)
    {
        double[][] chords = [[220, 277.2, 329.6], [196, 246.9, 293.7], [174.6, 220, 261.6], [196, 246.9, 392]];
        var random = new Random(5);
        var x = new float[40 * 16000];
        for (int i = 0; i < x.Length; i++)
        {
            double t = i / 16000.0, since = t % 0.5;
            double[] chord = chords[(int)(t / 0.5) % 4];
            double gain = organ ? 0.3 : 0.4 * Math.Exp(-4 * since);
            double y = chord.Sum(f => gain * (Math.Sin(2 * Math.PI * f * t) + 0.5 * Math.Sin(4 * Math.PI * f * t) + 0.25 * Math.Sin(6 * Math.PI * f * t))) / 3;
            y += since < 0.03 ? 0.2 * (random.NextDouble() - 0.5) : 0;
            x[i] = (float)(y + 0.001 * (random.NextDouble() - 0.5));
        }

        return x;
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void MusicIsSaid(bool organ)
    {
        var result = Run(Wav(16000, Music(organ)));
        Assert.Empty(result.Words);
        Assert.StartsWith("outing.wav: no speech was found in it: it sounds like", result.Sentence);
    }

    [Fact]
    public void TalkIsNoMusic_AndNothingIsOddAboutIt()
    {
        var result = Run(Wav(16000, Talk(16000)));
        Assert.Equal(SoundVerdict.Speech, result.Verdict);
        Assert.Equal("", result.Sentence);
    }

    [Fact]
    public void SoundThroughATelephoneIsSaid_AndStillTurnedIntoWords()
    {
        var result = Run(Wav(8000, Talk(8000)));
        Assert.NotEmpty(result.Words);
        Assert.Contains("nothing lies above 4 kHz", result.Sentence);
    }

    [Theory]
    [InlineData(true, "left")]
    [InlineData(false, "right")]
    public void ADeadChannelIsSaid_AndTheOtherIsUsed(bool left, string side)
    {
        float[] talk = Talk(16000), none = new float[talk.Length];
        var result = Run(left ? Wav(16000, none, talk) : Wav(16000, talk, none));
        Assert.Equal(Run(Wav(16000, talk)).Words.Select(w => w.Start), result.Words.Select(w => w.Start));
        Assert.Equal($"outing.wav: its {side} channel is dead; the other was used.", result.Sentence);
    }

    [Fact]
    public void ASteadyNoiseIsSaid()
    {
        var random = new Random(9);
        var result = Run(Wav(16000, [.. Enumerable.Range(0, 30 * 16000).Select(_ => (float)(0.2 * (random.NextDouble() - 0.5)))]));
        Assert.Equal(SoundVerdict.NoSpeech, result.Verdict);
        Assert.Contains("one steady noise", result.Sentence);
    }
}
