using System.Text;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Cli.Tests;

public class DebriefVerbTests
{
    public static TheoryData<string> Races => ["autumn-lake-8", "dual-8", "estuary-4", "long-river-head", "masters-1000", "school-quad-1500", "spring-canal-8w"];

    [Theory]
    [MemberData(nameof(Races))]
    public void EveryRaceGivesADebriefThatAPersonReads(string race)
    {
        var (code, text, error) = Cli.Run("debrief", Cli.Corpus(race));
        Assert.Equal(0, code);
        Assert.Empty(error);
        Assert.Contains("Start at ", text);
        Assert.Contains("Findings, in order of worth", text);
        Assert.Contains("Called (rates and distances on the race clock", text);
        Assert.Contains("What could not be read, or is doubtful", text);
        Assert.DoesNotContain("NaN", text);
        if (race != "long-river-head")
        {
            Assert.Contains("Margins in seats", text);
        }
    }

    [Theory]
    [MemberData(nameof(Races))]
    public void TheDocumentOfEveryRaceIsReadBack_AndItsStartIsTheTrueOne(string race)
    {
        var (code, text, _) = Cli.Run("debrief", Cli.Corpus(race), "--json");
        Assert.Equal(0, code);
        var document = DebriefJson.Read(Encoding.UTF8.GetBytes(text));
        using var truth = System.Text.Json.JsonDocument.Parse(File.ReadAllBytes(Path.Combine(Cli.Corpus(race), "truth.json")));
        double go = truth.RootElement.GetProperty("goAt").GetDouble(), finish = truth.RootElement.GetProperty("finishAt").GetDouble();
        Assert.InRange(document.Clock.GoAt!.Value, go - 6, go + 6);
        Assert.InRange(document.Clock.FinishAt!.Value, finish - 12, finish + 12);
        Assert.True(document.Called!.Calls.Count > 50);
        Assert.All(document.Findings, f => Assert.NotEmpty(f.Sentence));
    }

    [Fact]
    public void APracticeHasNoRace()
    {
        var (code, text, _) = Cli.Run("debrief", Cli.Corpus("practice-morning"));
        Assert.Equal(0, code);
        Assert.Contains("No race was found.", text);
    }

    [Fact]
    public void AMissingFolderIsNamed()
    {
        var (code, output, error) = Cli.Run("debrief", "no/such/folder");
        Assert.Equal(66, code);
        Assert.Empty(output);
        Assert.Contains("no/such/folder: there is no such file or folder.", error);
    }

    [Fact]
    public void AnEmptyFolderSaysWhatToBring()
    {
        using var folder = new TemporaryFolder();
        var (code, _, error) = Cli.Run("debrief", folder.Path);
        Assert.Equal(65, code);
        Assert.Contains(Path.GetFileName(folder.Path), error);
        Assert.Contains("The folder is empty. Put ca", error);
    }

    [Fact]
    public void ATruncatedTrackAndAPictureAreNamed_AndTheRestIsUsed()
    {
        using var folder = new TemporaryFolder();
        foreach (string name in new[] { "race.json", "captions.vtt" })
        {
            File.Copy(Path.Combine(Cli.Corpus("dual-8"), name), Path.Combine(folder.Path, name));
        }

        byte[] gpx = File.ReadAllBytes(Path.Combine(Cli.Corpus("dual-8"), "track.gpx"));
        folder.Write("track.gpx", gpx[..(gpx.Length / 2)]);
        folder.Write("more.vtt", [0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A, 0, 0, 0, 13, 0x49, 0x48, 0x44, 0x52, 0, 0, 0, 1, 0, 0, 0, 1]);
        var (code, text, _) = Cli.Run("debrief", folder.Path);
        Assert.Equal(0, code);
        Assert.Contains("track.gpx, ", text);
        Assert.Contains("more.vtt: ", text);
        Assert.Contains("Start at 1:0", text);
    }

    [Fact]
    public void CsvIsWrittenTableByTable()
    {
        using var folder = new TemporaryFolder();
        string into = Path.Combine(folder.Path, "tables");
        var (code, _, _) = Cli.Run("debrief", Cli.Corpus("dual-8"), "--csv", into);
        Assert.Equal(0, code);
        Assert.StartsWith("t,crew,metres,sd,low90,high90\r\n", File.ReadAllText(Path.Combine(into, "margins.csv")));
        Assert.StartsWith("t,rate,rateSd,metres,speed,lowest,highest,check,quality,", File.ReadAllText(Path.Combine(into, "strokes.csv")));
    }

    [Fact]
    public void APageAndAReportAreWritten()
    {
        using var folder = new TemporaryFolder();
        string html = Path.Combine(folder.Path, "race.html"), pdf = Path.Combine(folder.Path, "race.pdf");
        var (code, text, _) = Cli.Run("debrief", Cli.Corpus("dual-8"), "--html", html, "--pdf", pdf);
        Assert.Equal(0, code);
        Assert.Contains(html, text);
        Assert.StartsWith("<!DOCTYPE html>", File.ReadAllText(html), StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("src=\"http", File.ReadAllText(html));
        Assert.Equal("%PDF"u8.ToArray(), File.ReadAllBytes(pdf)[..4]);
    }

    [Fact]
    public void AFolderThatCannotBeWrittenIsNamed()
    {
        using var folder = new TemporaryFolder();
        string file = folder.Write("taken", []);
        var (code, _, error) = Cli.Run("debrief", Cli.Corpus("estuary-4"), "--csv", Path.Combine(file, "tables"));
        Assert.Equal(73, code);
        Assert.Contains("cannot be written", error);
    }

    [Theory]
    [InlineData("debreif")]
    [InlineData("debrief")]
    public void UsageErrorsTeach(string verb)
    {
        var (code, _, error) = Cli.Run(verb);
        Assert.Equal(64, code);
        Assert.Contains("--help", error);
    }

    [Fact]
    public void HelpShowsEveryVerb()
    {
        var (code, text, _) = Cli.Run("--help");
        Assert.Equal(0, code);
        Assert.All(Verbs.All(), v => Assert.Contains(v.Name, text));
    }
}
