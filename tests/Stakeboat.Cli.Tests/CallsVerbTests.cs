using System.Text.Json;

namespace Stakeboat.Cli.Tests;

public class CallsVerbTests
{
    [Fact]
    public void AFolderGivesACallALine()
    {
        var (code, output, error) = Cli.Run("calls", Cli.Corpus("dual-8"), "--plain", "--jsonl");
        Assert.Equal(0, code);
        Assert.Equal("", error);
        var rows = output.Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(l => JsonDocument.Parse(l).RootElement).ToList();
        Assert.True(rows.Count > 80);
        Assert.All(rows, r => Assert.True(r.GetProperty("confidence").GetDouble() is >= 0 and <= 1 && r.TryGetProperty("t", out _) && r.TryGetProperty("type", out _) && r.TryGetProperty("evidence", out _)));
    }

    [Fact]
    public void LinesGiveTheirNumber()
    {
        var (code, output, _) = Cli.Run("calls", Cli.Corpus("phrases/voices-1.jsonl"), "--lines", "--jsonl");
        Assert.Equal(0, code);
        Assert.All(output.Split('\n', StringSplitOptions.RemoveEmptyEntries), l => Assert.InRange(JsonDocument.Parse(l).RootElement.GetProperty("line").GetInt32(), 1, 261));
    }

    [Fact]
    public void ExplainShowsWordsAndRivals()
    {
        var (code, output, _) = Cli.Run("calls", Cli.Corpus("dual-8"), "--plain", "--explain", "233");
        Assert.Equal(0, code);
        Assert.Contains("may be:", output);
        Assert.Contains("chosen", output);
        Assert.Contains("offered", output);
    }

    [Fact]
    public void AMissingFileIsNamed()
    {
        var (code, _, error) = Cli.Run("calls", "no-such-file.vtt");
        Assert.Equal(66, code);
        Assert.Contains("no-such-file.vtt", error);
    }
}
