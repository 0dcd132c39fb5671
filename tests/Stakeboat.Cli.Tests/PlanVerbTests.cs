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

    [Fact]
    public void The_same_plan_in_other_winds_beside_it_and_written_back()
    {
        string path = File("p.txt", Good);
        var r = Run("plan", "check", path, "--wind", "head 4 m/s", "--wind", "tail 4 m/s", "--json");
        Assert.Equal(0, r.Code);
        var sides = JsonDocument.Parse(r.Out).RootElement.GetProperty("inOtherWinds");
        Assert.Equal(2, sides.GetArrayLength());
        Assert.True(sides[0].GetProperty("seconds").GetDouble() > sides[1].GetProperty("seconds").GetDouble() + 25);
        var text = Run("plan", "check", path, "--text");
        string again = File("q.txt", text.Out);
        static string Body(string s) => string.Join('\n', s.Split('\n').Where(l => !l.StartsWith('#')));
        Assert.Equal(Body(text.Out), Body(Run("plan", "check", again, "--text").Out));
        var wrong = Run("plan", "check", path, "--wind", "sideways");
        Assert.Equal(ExitCode.Usage, wrong.Code);
        Assert.Contains("'wind head 3 m/s'", wrong.Error, StringComparison.Ordinal);
        Assert.Equal(ExitCode.Usage, Run("plan", "check", path, "--wind", "from 200 at 3 m/s").Code);
    }

    [Fact]
    public void Rivals_plans_answers_waves_and_oxygen_are_in_the_price()
    {
        string ours = File("ours.txt", Good + "wind head 3 m/s\nfetch 1500 m\nefforts 470 W 2:00, 400 W 4:00, 372 W 8:00\nwhen they move: ten at 38 for hold\n");
        string rival = File("larkmoor.txt", "boat 8+\ndistance 2000 m\npace 1:33\nrate 37\nbase\n");
        var r = Run("plan", "price", ours, rival, "--json");
        Assert.True(r.Code == 0, r.Error);
        var j = JsonDocument.Parse(r.Out).RootElement;
        Assert.Equal("larkmoor", j.GetProperty("beside")[0].GetProperty("name").GetString());
        Assert.Equal(8, j.GetProperty("beside")[0].GetProperty("marks").GetArrayLength());
        Assert.Equal(4, j.GetProperty("waves").GetArrayLength());
        Assert.Equal("efforts", j.GetProperty("energy").GetString());
        Assert.True(j.GetProperty("covariance")[0][1].GetDouble() < 0);
        Assert.True(j.GetProperty("againstEvenPower").GetProperty("demandDriven").GetDouble() < j.GetProperty("againstEvenPower").GetProperty("saturating").GetDouble());
        Assert.True(j.GetProperty("answers")[0].GetProperty("storeSpent").GetDouble() > 0);
        var text = Run("plan", "price", ours, rival).Out;
        Assert.Contains("larkmoor", text, StringComparison.Ordinal);
        Assert.Contains("worth tenths", text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_card_as_a_page_and_an_ending_that_is_none()
    {
        string path = File("p.txt", Good);
        string html = Path.Combine(_folder, "card.html");
        Assert.Equal(0, Run("plan", "card", path, "-o", html, "--date", "2026-05-16").Code);
        string page = System.IO.File.ReadAllText(html);
        Assert.Contains("@page card{size:105mm 148mm", page, StringComparison.Ordinal);
        Assert.Contains("Printed 2026-05-16", page, StringComparison.Ordinal);
        var wrong = Run("plan", "card", path, "-o", Path.Combine(_folder, "card.doc"));
        Assert.Equal(ExitCode.Usage, wrong.Code);
        Assert.Contains(".pdf", wrong.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void Both_models_and_the_waves_stand_in_a_prediction()
    {
        var r = Run("predict", "--pace", "94", "--wind", "4", "--fetch", "1500", "--json");
        var j = JsonDocument.Parse(r.Out).RootElement;
        Assert.StartsWith("relative", j.GetProperty("model").GetString(), StringComparison.Ordinal);
        Assert.StartsWith("full: ITTC 1957", j.GetProperty("besideModel").GetString(), StringComparison.Ordinal);
        Assert.Equal(j.GetProperty("speed").GetDouble(), j.GetProperty("besideSpeed").GetDouble(), 0.05);
        Assert.Equal(4, j.GetProperty("waves").GetArrayLength());
        Assert.Equal(ExitCode.Usage, Run("predict", "--wind", "-30", "--pace", "200").Code);
    }

    [Fact]
    public void Tables_are_fitted_with_covariance_or_refused_by_line()
    {
        var efforts = Run("fit", File("e.csv", "seconds,watts\n2:00,470\n240,400\n480,372\n"), "--json");
        Assert.True(efforts.Code == 0, efforts.Error);
        var j = JsonDocument.Parse(efforts.Out).RootElement;
        Assert.True(j.GetProperty("covariance")[0][1].GetDouble() < 0);
        Assert.StartsWith("efforts 470 W 2:00.0", j.GetProperty("planLine").GetString(), StringComparison.Ordinal);
        var pairs = Run("fit", File("p.csv", "speed,headwind,pair,back\n5.0,3,1,0\n5.6,-3,1,1\n5.2,1,2,0\n5.4,-1,2,1\n"), "--json");
        Assert.True(pairs.Code == 0, pairs.Error);
        Assert.Equal(2, JsonDocument.Parse(pairs.Out).RootElement.GetProperty("logCovariance").GetArrayLength());
        var ladder = Run("fit", File("l.csv", "rate,pace\n28,1:46\n32,1:40\n36,1:36\n"));
        Assert.Contains("ladder 28 1:46.0, 32 1:40.0, 36 1:36.0", ladder.Out, StringComparison.Ordinal);
        var bad = Run("fit", File("b.csv", "seconds,watts\n120,470\n240,fast\n480,372\n"));
        Assert.Equal(ExitCode.Data, bad.Code);
        Assert.Contains("b.csv:3: 'fast' under watts is no number", bad.Error, StringComparison.Ordinal);
        var few = Run("fit", File("f.csv", "seconds,watts\n120,470\n"));
        Assert.Equal(ExitCode.Data, few.Code);
        Assert.Contains("at least three best efforts", few.Error, StringComparison.Ordinal);
        Assert.Contains("the head line must name the columns", Run("fit", File("n.csv", "120,470\n240,400\n")).Error, StringComparison.Ordinal);
        Assert.Equal(ExitCode.NotFound, Run("fit", Path.Combine(_folder, "none.csv")).Code);
    }

    [Fact]
    public void An_outing_with_pieces_out_and_back_is_a_calibration()
    {
        var b = new System.Text.StringBuilder("<?xml version=\"1.0\"?>\n<gpx version=\"1.1\" creator=\"stakeboat test\" xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>\n");
        double north = 0;
        for (int t = 0; t < 480; t++)
        {
            north += t is > 30 and <= 180 ? 5.55 : t is > 260 and <= 410 ? -5.15 : 0;
            string time = DateTimeOffset.FromUnixTimeSeconds(1778911200 + t).UtcDateTime.ToString("yyyy-MM-ddTHH:mm:ssZ", System.Globalization.CultureInfo.InvariantCulture);
            b.Append(System.Globalization.CultureInfo.InvariantCulture, $"<trkpt lat=\"{46.7312 + north / 111_190:0.0000000}\" lon=\"-31.2486\"><time>{time}</time></trkpt>\n");
        }

        string path = File("reach.gpx", b.Append("</trkseg></trk></gpx>\n").ToString());
        var r = Run("fit", path, "--json");
        Assert.True(r.Code == 0, r.Error + r.Out);
        var j = JsonDocument.Parse(r.Out).RootElement;
        Assert.Equal(2, j.GetProperty("pieces").GetArrayLength());
        Assert.Equal(5.35, j.GetProperty("referenceSpeed").GetProperty("mean").GetDouble(), 0.06);
        var one = Run("fit", path, "--skip", "2");
        Assert.Equal(ExitCode.Data, one.Code);
        Assert.Contains("out and back", one.Error, StringComparison.Ordinal);
        Assert.Equal(ExitCode.Usage, Run("fit", path, "--wind", "4").Code);
    }
}
