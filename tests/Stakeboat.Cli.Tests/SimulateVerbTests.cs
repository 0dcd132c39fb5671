namespace Stakeboat.Cli.Tests;

public sealed class SimulateVerbTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("simulate").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    private static (int Code, string Out, string Error) Run(params string[] args)
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        int code = Program.Run(args, output, error);
        return (code, output.ToString(), error.ToString());
    }

    [Fact]
    public void ANamedRaceIsWrittenWhole()
    {
        string to = Path.Combine(_folder, "duel");
        var (code, text, error) = Run("simulate", "duel", "-o", to, "--seed", "4");
        Assert.Equal((0, ""), (code, error));
        Assert.Contains("Foxholm", text);
        Assert.Equal(["calls.jsonl", "captions.vtt", "lines.tsv", "race.json", "result.json", "track.gpx", "truth.json", "words.json"],
            Directory.GetFiles(to).Select(f => Path.GetFileName(f)).Order(StringComparer.Ordinal));
    }

    [Fact]
    public void EachMistakeHasItsCodeAndItsSentence()
    {
        var missing = Run("simulate", "no-such-race", "-o", _folder);
        Assert.Equal(66, missing.Code);
        Assert.Contains("demo", missing.Error);
        Assert.Equal(64, Run("simulate", "demo").Code);
        var seed = Run("simulate", "duel", "-o", _folder, "--seed", "-1");
        Assert.Equal(64, seed.Code);
        string bad = Path.Combine(_folder, "bad.json");
        File.WriteAllText(bad, "{\"distance\": 3}");
        var data = Run("simulate", bad, "-o", _folder);
        Assert.Equal(65, data.Code);
        Assert.Contains("distance", data.Error);
        var write = Run("simulate", "duel", "-o", Path.Combine(bad, "folder"));
        Assert.Equal(73, write.Code);
        Assert.All([missing, seed, data, write], r => Assert.DoesNotContain("   at ", r.Error));
    }
}
