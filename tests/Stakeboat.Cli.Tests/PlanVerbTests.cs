using System.Text.Json;

namespace Stakeboat.Cli.Tests;

public sealed class PlanVerbTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("stakeboat-plan-").FullName;

    public void Dispose() => Directory.Delete(_folder, true);

    private (int Code, string Out, string Error) Run(params string[] args)
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        int code = Program.Run(args, output, error);
        return (code, output.ToString(), error.ToString());
    }

    private string File(string name, string text)
    {
        string path = Path.Combine(_folder, name);
        System.IO.File.WriteAllText(path, text);
        return path;
    }

    private const string Good = "boat 8+\ndistance 2000 m\npace 1:34\nrate 35\nhigh 20 strokes at 42\nbase\nat 620 m: ten for legs in 2\n";

    [Fact]
    public void Check_says_the_plan_in_three_units()
    {
        var r = Run("plan", "check", File("p.txt", Good), "--json");
        Assert.Equal(0, r.Code);
        Assert.Empty(r.Error);
        var plan = JsonDocument.Parse(r.Out).RootElement.GetProperty("plans")[0];
        Assert.Equal(2, plan.GetProperty("segments").GetArrayLength());
        var cue = plan.GetProperty("cues")[0];
        Assert.Equal(620, cue.GetProperty("fromMetres").GetDouble(), 0.1);
        Assert.Equal(2, cue.GetProperty("inStrokes").GetInt32());
    }

    [Fact]
    public void A_contradiction_is_named_by_line_and_ends_with_65()
    {
        string path = File("p.txt", Good.Replace("20 strokes", "30 strokes 500 m", StringComparison.Ordinal));
        var r = Run("plan", "check", path);
        Assert.Equal(ExitCode.Data, r.Code);
        Assert.Contains($"{path}:5: 30 strokes is", r.Out, StringComparison.Ordinal);
    }

    [Fact]
    public void Price_and_card()
    {
        string path = File("p.txt", Good);
        var price = Run("plan", "price", path, "--json");
        Assert.Equal(0, price.Code);
        var j = JsonDocument.Parse(price.Out).RootElement;
        Assert.InRange(j.GetProperty("shapeSeconds").GetDouble(), 0, 5);
        Assert.InRange(j.GetProperty("chanceEmpty").GetDouble(), 0, 1);
        string pdf = Path.Combine(_folder, "card.pdf");
        Assert.Equal(0, Run("plan", "card", path, "-o", pdf, "--date", "2026-05-16").Code);
        Assert.StartsWith("%PDF", System.IO.File.ReadAllText(pdf)[..4], StringComparison.Ordinal);
        Assert.Equal(ExitCode.CannotWrite, Run("plan", "card", path, "-o", Path.Combine(_folder, "none", "card.pdf")).Code);
    }

    [Fact]
    public void Predict_pace_and_fit()
    {
        var head = JsonDocument.Parse(Run("predict", "--pace", "94", "--wind", "3", "--json").Out).RootElement;
        Assert.InRange(head.GetProperty("speed").GetDouble(), 4.8, 5.2);
        Assert.True(head.GetProperty("air").GetDouble() > 0);
        var pace = JsonDocument.Parse(Run("pace", "--time", "377", "--json").Out).RootElement;
        Assert.Equal(376, pace.GetProperty("seconds").GetDouble(), 3.0);
        var fit = Run("fit", File("e.csv", "seconds,watts\n150,420\n280,372\n420,350\n780,330\n"), "--json");
        Assert.Equal(0, fit.Code);
        Assert.Equal(310, JsonDocument.Parse(fit.Out).RootElement.GetProperty("cp").GetProperty("mean").GetDouble(), 3.0);
        var refused = Run("fit", File("f.csv", "seconds,watts\n150,420\n280,372\n"));
        Assert.Equal(ExitCode.Data, refused.Code);
        Assert.Contains("at least three", refused.Error, StringComparison.Ordinal);
        Assert.Equal(ExitCode.NotFound, Run("plan", "check", Path.Combine(_folder, "none.txt")).Code);
    }
}
