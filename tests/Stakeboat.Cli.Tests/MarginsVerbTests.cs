using System.Globalization;
using System.Text.Json;

namespace Stakeboat.Cli.Tests;

/// <summary>The verbs margins and moves on a labelled race without its labels and truth.</summary>
public sealed class MarginsVerbTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    private string Race(string name, params string[] without)
    {
        foreach (string file in Directory.GetFiles(Cli.Corpus(name)))
        {
            string n = Path.GetFileName(file);
            if (n is not ("calls.jsonl" or "truth.json" or "recording.opus") && !without.Contains(n))
            {
                File.Copy(file, Path.Combine(_folder.Path, n));
            }
        }

        return _folder.Path;
    }

    public void Dispose() => _folder.Dispose();

    private static List<string[]> Rows(string csv) =>
        [.. csv.Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries).Select(l => l.Split(','))];

    private static double N(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    [Fact]
    public void Csv_HasEverySecondOfEveryCrewFromGoToFinish()
    {
        var (code, output, error) = Cli.Run("margins", Race("estuary-4"), "--csv");
        Assert.Equal(0, code);
        Assert.Equal("", error);
        var rows = Rows(output);
        Assert.Equal(["t", "crew", "metres", "sd", "low90", "high90"], rows[0][..6]);
        string[] crews = [.. rows.Skip(1).Select(r => r[1]).Distinct()];
        Assert.Equal(3, crews.Length);
        var one = rows.Skip(1).Where(r => r[1] == crews[0]).Select(r => N(r[0])).ToList();
        Assert.InRange(one[0], 135, 145);
        Assert.InRange(one[^1] - one[0], 414.5, 415.5); // our published time
        for (int i = 1; i < one.Count - 1; i++)
        {
            Assert.Equal(1, one[i] - one[i - 1], 2);
        }

        Assert.All(rows.Skip(1), r => Assert.True(N(r[4]) < N(r[2]) && N(r[2]) < N(r[5])));

        // The result sheet puts us first by half a second before Corbel.
        var corbel = rows.Last(r => r[1] == "Corbel");
        Assert.InRange(N(corbel[2]), 2, 3.6);
    }

    [Fact]
    public void Json_HasTheFullCovarianceOnRequest()
    {
        var (code, output, _) = Cli.Run("margins", Race("dual-8", "motion.csv", "recogniser.srt"), "--json", "--covariance");
        Assert.Equal(0, code);
        using var json = JsonDocument.Parse(output);
        var crew = json.RootElement.GetProperty("crews")[0];
        int n = json.RootElement.GetProperty("t").GetArrayLength();
        Assert.Equal(n, crew.GetProperty("covariance").GetArrayLength());
        double variance = crew.GetProperty("covariance")[200][200].GetDouble(), sd = crew.GetProperty("sd")[200].GetDouble();
        Assert.Equal(sd * sd, variance, 0.002);
        Assert.Equal(crew.GetProperty("covariance")[10][300].GetDouble(), crew.GetProperty("covariance")[300][10].GetDouble());
        Assert.True(json.RootElement.GetProperty("order").GetArrayLength() > 30);
        Assert.True(json.RootElement.GetProperty("understood").GetArrayLength() > 5);
    }

    [Fact]
    public void AResultSheetAlone_IsEnough()
    {
        string folder = Race("spring-canal-8w", "captions.vtt", "track.gpx");
        var (code, output, error) = Cli.Run("margins", folder, "--csv");
        Assert.Equal(0, code);
        Assert.Equal("", error);
        var rows = Rows(output);
        Assert.Equal(0, N(rows[1][0]), 3);
        var saltern = rows.Last(r => r[1] == "Saltern"); // first, 1.16 s before us
        Assert.InRange(N(saltern[2]), -6.5, -4.5);
    }

    [Fact]
    public void Moves_HaveTheColumnsAndAnIntervalAroundEachGain()
    {
        var (code, output, _) = Cli.Run("moves", Race("estuary-4"), "--csv");
        Assert.Equal(0, code);
        var rows = Rows(output);
        Assert.Equal(["crew", "from", "to", "strokes", "rival", "seats", "low90", "high90", "held"], rows[0][..9]);
        Assert.Contains(rows.Skip(1), r => r[0] == "Wickham Staithe");
        Assert.All(rows.Skip(1), r =>
        {
            Assert.True(N(r[1]) < N(r[2]));
            Assert.True(N(r[6]) <= N(r[5]) && N(r[5]) <= N(r[7]));
            bool distinguishable = N(r[6]) > 0 || N(r[7]) < 0;
            Assert.Equal(distinguishable ? "yes" : "no", r[18]);
        });
    }

    [Fact]
    public void Text_SaysWhoWasWhere()
    {
        var (code, output, _) = Cli.Run("margins", Race("estuary-4"));
        Assert.Equal(0, code);
        Assert.Contains("Margins in seats", output, StringComparison.Ordinal);
        Assert.Contains("we: place 1", output, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("metres")]
    [InlineData("lengths")]
    [InlineData("seconds")]
    public void Text_InOtherUnits(string unit)
    {
        var (code, output, _) = Cli.Run("margins", Race("school-quad-1500"), "--in", unit);
        Assert.Equal(0, code);
        Assert.Contains("Margins in " + unit, output, StringComparison.Ordinal);
    }

    [Fact]
    public void OptionsThatContradict_AreRefused()
    {
        Assert.Equal(64, Cli.Run("margins", Race("school-quad-1500"), "--covariance").Code);
        Assert.Equal(64, Cli.Run("margins", _folder.Path, "--csv", "--json").Code);
        Assert.Equal(64, Cli.Run("margins", _folder.Path, "--in", "furlongs").Code);
    }

    /// <summary>From the captions alone, without labels, truth or result sheet: most of the truth inside the intervals, the order right.</summary>
    [Fact]
    public void FromCaptionsAlone_TheTruthIsHeldAndTheOrderRight()
    {
        var (code, output, _) = Cli.Run("margins", Race("estuary-4", "result.json"), "--csv");
        Assert.Equal(0, code);
        using var truth = JsonDocument.Parse(File.ReadAllText(Path.Combine(Cli.Corpus("estuary-4"), "truth.json")));
        double finish = truth.RootElement.GetProperty("finishAt").GetDouble();
        int all = 0, held = 0;
        foreach (var crew in truth.RootElement.GetProperty("margins").EnumerateObject())
        {
            var rows = Rows(output).Skip(1).Where(r => r[1] == crew.Name).ToList();
            foreach (var p in crew.Value.EnumerateArray())
            {
                double t = p.GetProperty("t").GetDouble(), metres = p.GetProperty("metres").GetDouble();
                if (t > N(rows[0][0]) && t < Math.Min(finish, N(rows[^1][0])))
                {
                    var row = rows.MinBy(r => Math.Abs(N(r[0]) - t))!;
                    all++;
                    held += metres >= N(row[4]) && metres <= N(row[5]) ? 1 : 0;
                }
            }

            Assert.True(N(rows[^1][2]) > 0, crew.Name + " was behind us at the finish");
        }

        Assert.InRange(held / (double)all, 0.75, 1);
    }

    [Fact]
    public void AFolderThatIsNotThere_IsSaidSo()
    {
        var (code, _, error) = Cli.Run("margins", Path.Combine(_folder.Path, "nowhere"));
        Assert.Equal(66, code);
        Assert.Contains("nowhere", error, StringComparison.Ordinal);
    }

    [Fact]
    public void AFolderWithoutARace_IsSaidSo()
    {
        _folder.Write("notes.txt", "hello"u8.ToArray());
        Assert.Equal(65, Cli.Run("moves", _folder.Path).Code);
    }
}
