using Stakeboat.Words.Recognisers;

namespace Stakeboat.Words.Tests;

/// <summary>The embedded recogniser without a model: what it needs is said, and its native library loads. No transcript is tested here.</summary>
public class WhisperRecogniserTests
{
    [Fact]
    public void WithoutAModelItSaysWhichFileWhereAndUnderWhichLicence()
    {
        string folder = Directory.CreateTempSubdirectory("stakeboat-test-").FullName;
        using var r = new WhisperRecogniser(folder);
        var state = r.Check();
        Assert.False(state.Ready);
        Assert.Contains("ggml-base.en.bin", state.Sentence);
        Assert.Contains("142 MB", state.Sentence);
        Assert.Contains("MIT", state.Sentence);
        Assert.Contains(folder, state.Sentence);
        Assert.Equal(state.Sentence, Assert.Throws<RecogniserException>(() => r.Recognise(new float[16000], RecogniserHints.None, default)).Message);
    }

    [Fact]
    public void AFileThatIsNoModelIsNamed()
    {
        string folder = Directory.CreateTempSubdirectory("stakeboat-test-").FullName;
        File.WriteAllText(Path.Combine(folder, "ggml-base.en.bin"), "not a model");
        using var r = new WhisperRecogniser(folder);
        Assert.Contains("is no model", r.Check().Sentence);
    }

    [Theory]
    [InlineData(false, "its head makes no sense")]
    [InlineData(true, "was not copied to the end")]
    public void ADamagedModelIsASentenceAndNoCrash(bool head, string sentence)
    {
        string folder = Directory.CreateTempSubdirectory("stakeboat-test-").FullName;
        int[] fields = head ? [51864, 1500, 512, 8, 6, 448, 512, 8, 6, 80, 1] : new int[16];
        File.WriteAllBytes(Path.Combine(folder, "ggml-base.en.bin"), [.. "lmgg"u8, .. fields.SelectMany(BitConverter.GetBytes)]);
        using var r = new WhisperRecogniser(folder);
        Assert.False(r.Check().Ready);
        Assert.All([Path.Combine(folder, "ggml-base.en.bin"), "(0.0 MB)", "142 MB", "MIT licence"], part => Assert.Contains(part, r.Check().Sentence));
        Assert.Contains(sentence, Assert.Throws<RecogniserException>(() => r.Recognise(new float[16000], RecogniserHints.None, default)).Message);
    }

    [Fact]
    public void TheNativeLibraryLoads() => Assert.True(WhisperRecogniser.CheckLibrary() is { Ready: true } state, WhisperRecogniser.CheckLibrary().Sentence);
}
