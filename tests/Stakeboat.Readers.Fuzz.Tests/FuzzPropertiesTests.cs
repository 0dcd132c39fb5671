namespace Stakeboat.Readers.Fuzz.Tests;

/// <summary>
/// A hundred thousand bent files for every reader: nothing is thrown, nothing takes over a second, nothing costs more memory than its target allows, and
/// what is read keeps its promises (order, finite numbers, positions on the globe). Two classes, so that two cores share them.
/// </summary>
public class FuzzTextPropertiesTests
{
    internal const long Inputs = 100_000;

    [Theory]
    [InlineData("gpx")]
    [InlineData("tcx")]
    [InlineData("nmea")]
    [InlineData("log")]
    [InlineData("webvtt")]
    [InlineData("subrip")]
    [InlineData("transcript")]
    [InlineData("words")]
    [InlineData("results")]
    [InlineData("resultjson")]
    [InlineData("racesheet")]
    [InlineData("geojson")]
    [InlineData("door")]
    [InlineData("written")]
    public void A_hundred_thousand_bent_files_do_no_harm(string reader) => Run(reader);

    internal static void Run(string reader)
    {
        var result = new FuzzRun(Targets.All.Single(t => t.Name == reader), seed: 20260404).Run(Inputs);
        Assert.Equal(Inputs, result.Inputs);
        Assert.True(result.Failures.Count == 0, string.Join('\n', result.Failures));
        Assert.True(result.Kept > 1, "The bent files all came out alike: they do not reach the reader.");
    }

    [Fact]
    public void Every_reader_has_its_run()
    {
        var run = new[] { typeof(FuzzTextPropertiesTests), typeof(FuzzBinaryPropertiesTests) }
            .SelectMany(c => c.GetMethod("A_hundred_thousand_bent_files_do_no_harm")!.GetCustomAttributes(typeof(InlineDataAttribute), false).Cast<InlineDataAttribute>())
            .Select(a => (string)a.Data[0]!);
        Assert.Equal(Targets.All.Select(t => t.Name).Order(), run.Order());
    }
}

/// <summary>The same for the readers of bytes.</summary>
public class FuzzBinaryPropertiesTests
{
    [Theory]
    [InlineData("fit")]
    [InlineData("wav")]
    [InlineData("flac")]
    [InlineData("mp3")]
    [InlineData("vorbis")]
    [InlineData("opus")]
    [InlineData("m4a")]
    [InlineData("zip")]
    public void A_hundred_thousand_bent_files_do_no_harm(string reader) => FuzzTextPropertiesTests.Run(reader);

    [Fact]
    public void A_reader_that_throws_swells_or_breaks_its_word_is_caught()
    {
        var kept = Targets.All.Single(t => t.Name == "webvtt");
        Assert.Single(new FuzzRun(kept with { Read = _ => throw new InvalidOperationException("planted") }, 1).Run(10).Failures, f => f.Contains("planted", StringComparison.Ordinal));
        Assert.Contains(new FuzzRun(kept with { Read = b => ([], new byte[10 << 20].Length + b.Length) }, 1).Run(10).Failures, f => f.Contains("allocated", StringComparison.Ordinal));
        Assert.Contains(new FuzzRun(kept with { Read = _ => throw new BrokenPromiseException("planted") }, 1).Run(10).Failures, f => f.Contains("Broken promise", StringComparison.Ordinal));
        Assert.Contains(new FuzzRun(kept with { Read = b => { Thread.Sleep(1100); return ([], b.Length); } }, 1).Run(0).Failures, f => f.Contains("four times over", StringComparison.Ordinal));
    }
}
