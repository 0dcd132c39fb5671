using System.Text.Json;
using Stakeboat.Simulation.Folders;
using Stakeboat.Simulation.Racing;

namespace Stakeboat.Simulation.Tests.Folders;

public class RaceFilesTests
{
    private static string Root()
    {
        string at = AppContext.BaseDirectory;
        while (!File.Exists(Path.Combine(at, "Stakeboat.slnx")))
        {
            at = Path.GetDirectoryName(at) ?? throw new InvalidOperationException("Stakeboat.slnx was not found above the tests.");
        }

        return at;
    }

    [Fact]
    public void TheSameSeedGivesTheSameBytes_AnotherSeedOthers()
    {
        var a = RaceFiles.Of(RaceSimulator.Run(NamedScenarios.All["duel"].Race, 3));
        var b = RaceFiles.Of(RaceSimulator.Run(NamedScenarios.All["duel"].Race, 3));
        var c = RaceFiles.Of(RaceSimulator.Run(NamedScenarios.All["duel"].Race, 4));
        Assert.Equal(a.Select(f => f.Name), b.Select(f => f.Name));
        for (int i = 0; i < a.Count; i++)
        {
            Assert.True(a[i].Bytes.AsSpan().SequenceEqual(b[i].Bytes), a[i].Name);
        }

        Assert.False(a.Single(f => f.Name == "track.gpx").Bytes.AsSpan().SequenceEqual(c.Single(f => f.Name == "track.gpx").Bytes));
    }

    [Fact]
    public void TheCommittedDemoIsTheRaceThatTheProgramRows()
    {
        string folder = Path.Combine(Root(), "data", "demo");
        long total = Directory.GetFiles(folder).Sum(f => new FileInfo(f).Length);
        Assert.InRange(total, 1, 8_000_000);
        Assert.InRange(new FileInfo(Path.Combine(folder, "recording.opus")).Length, 500_000, 3_000_000);
        Assert.InRange(new FileInfo(Path.Combine(folder, "motion.csv")).Length, 1, 3_000_000);

        // Another machine's mathematics library may differ in the last bit, and that may turn a rounded digit: the words must agree, the numbers nearly.
        var race = RaceSimulator.Run(NamedScenarios.Demo, NamedScenarios.DemoSeed);
        using var truth = JsonDocument.Parse(File.ReadAllText(Path.Combine(folder, "truth.json")));
        Assert.Equal(race.FinishAt, truth.RootElement.GetProperty("finishAt").GetDouble(), 0.02);
        string lines = string.Join('\n', File.ReadLines(Path.Combine(folder, "lines.tsv")).Select(l => l.Split('\t')[2]));
        Assert.Equal(string.Join('\n', race.Talk.Lines.Select(l => l.Text)), lines);
    }

    [Fact]
    public void TheDemoIsWorthWatching()
    {
        var race = RaceSimulator.Run(NamedScenarios.Demo, NamedScenarios.DemoSeed);
        double Seats(double t) => race.MarginAt("Wyndrush", t) / 1.4;
        Assert.True(Seats(race.GoAt + 180) < -1.5);
        Assert.InRange(Seats(race.FinishAt), 0.5, 4);
        Assert.Equal(3, race.Bursts.Count(b => b.Crew == "Foxholm"));
        Assert.Single(race.Bursts, b => b.Answer && b.Crew == "Foxholm");
    }

    [Fact]
    public void CallsHaveTheFieldsOfTheLabelledRaces()
    {
        // Every field that a type has in the labelled races stands in ours too, and no type is unknown there.
        var known = new Dictionary<string, HashSet<string>>();
        foreach (string f in Directory.GetFiles(Path.Combine(Root(), "data", "corpus"), "calls.jsonl", SearchOption.AllDirectories))
        {
            foreach (string l in File.ReadLines(f).Where(l => l.Length > 0))
            {
                using var d = JsonDocument.Parse(l);
                string type = d.RootElement.GetProperty("type").GetString()!;
                var names = d.RootElement.EnumerateObject().Select(p => p.Name);
                known[type] = known.TryGetValue(type, out var set) ? [.. set.Union(names)] : [.. names];
            }
        }

        foreach (string l in File.ReadLines(Path.Combine(Root(), "data", "demo", "calls.jsonl")))
        {
            using var d = JsonDocument.Parse(l);
            string type = d.RootElement.GetProperty("type").GetString()!;
            Assert.Contains(type, known.Keys);
            Assert.Subset(known[type], d.RootElement.EnumerateObject().Select(p => p.Name).ToHashSet());
        }
    }

    [Theory]
    [InlineData("{", "line 1")]
    [InlineData("{\"speeed\": 4}", "speeed")]
    [InlineData("{\"distance\": 5}", "distance")]
    [InlineData("{\"boat\": \"9+\"}", "9+")]
    [InlineData("{\"crews\": [{\"lane\": 1}]}", "number 1")]
    [InlineData("{\"crews\": [{\"name\": \"A\", \"bursts\": [{\"at\": \"x\"}]}]}", "bursts, at")]
    [InlineData("{\"wind\": [[1]]}", "wind")]
    [InlineData("[]", "object")]
    public void ASlipInADescriptionIsNamed(string json, string named) =>
        Assert.Contains(named, Assert.Throws<ScenarioException>(() => ScenarioReader.Read(json)).Message);

    [Fact]
    public void TheExampleOfTheManualIsARace()
    {
        string manual = File.ReadAllText(Path.Combine(Root(), "docs", "simulation.md"));
        string json = manual.Split("```json\n")[1].Split("```")[0];
        var (race, seed, captions) = ScenarioReader.Read(json);
        Assert.Equal(9ul, seed);
        Assert.Equal("srt", captions);
        var result = RaceSimulator.Run(race, 9);
        Assert.Equal(2, result.Result.Rows.Count);
        Assert.Contains(RaceFiles.Of(result, captions), f => f.Name == "captions.srt");
    }
}
