using System.Globalization;
using System.Text.Json;

namespace Stakeboat.Cli.Tests;

/// <summary>The verbs strokes and hull on labelled races without their labels and truth, and on nonsense.</summary>
public sealed class StrokesVerbTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    private string Race(string name, params string[] files)
    {
        foreach (string file in files)
        {
            File.Copy(Path.Combine(Cli.Corpus(name), file), Path.Combine(_folder.Path, file));
        }

        return _folder.Path;
    }

    private static List<string[]> Rows(string csv) =>
        [.. csv.Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries).Select(l => l.Split(','))];

    private static double N(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    /// <summary>Truth of the folder: seconds of the recording, metres, strokes/min.</summary>
    private static List<(double T, double Metres, double Rate)> Truth(string name)
    {
        using var document = JsonDocument.Parse(File.ReadAllText(Path.Combine(Cli.Corpus(name), "truth.json")));
        return [.. document.RootElement.GetProperty("own").EnumerateArray()
            .Select(o => (o.GetProperty("t").GetDouble(), o.GetProperty("metres").GetDouble(), o.GetProperty("rate").GetDouble()))];
    }

    [Fact]
    public void Strokes_Csv_HasTheColumnsAndTheTruthsRate()
    {
        var (code, output, error) = Cli.Run("strokes", Race("masters-1000", "motion.csv", "track.gpx", "race.json", "captions.vtt"), "--csv");
        Assert.Equal(0, code);
        Assert.Equal("", error);
        var rows = Rows(output);
        Assert.Equal(["t", "rate", "rateSd", "metres", "speed", "lowest", "highest", "check", "quality"], rows[0][..9]);
        Assert.All(rows.Skip(1), r => Assert.Equal(rows[0].Length, r.Length));
        var truth = Truth("masters-1000");
        var off = new List<double>();
        foreach (var r in rows.Skip(1))
        {
            double t = N(r[0]);
            Assert.Contains(r[8], (string[])["good", "fair", "poor"]);
            if (truth.FindIndex(o => o.T >= t) is var i and > 1 && t > truth[0].T + 10)
            {
                off.Add(N(r[1]) - truth[i].Rate);
                Assert.True(N(r[5]) < N(r[4]) && N(r[4]) < N(r[6]));
            }
        }

        Assert.True(off.Count > 100);
        Assert.Equal(0, off.Average(), 0.5);
        Assert.True(off.Count(d => Math.Abs(d) < 2) > 0.93 * off.Count);
    }

    [Fact]
    public void Strokes_Json_IsTheSameTable()
    {
        string path = Race("masters-1000", "motion.csv", "track.gpx");
        var rows = Rows(Cli.Run("strokes", path, "--csv").Output);
        using var json = JsonDocument.Parse(Cli.Run("strokes", path, "--json").Output);
        var items = json.RootElement.EnumerateArray().ToList();
        Assert.Equal(rows.Count - 1, items.Count);
        Assert.Equal(rows[0], items[0].EnumerateObject().Select(p => p.Name));
        Assert.Equal(N(rows[10][1]), items[9].GetProperty("rate").GetDouble(), 9);
        Assert.Equal(rows[10][8], items[9].GetProperty("quality").GetString());
    }

    [Fact]
    public void Strokes_Text_HasPiecesSplitsAndWhatIsDoubtful()
    {
        var (code, output, _) = Cli.Run("strokes", Race("masters-1000", "motion.csv", "track.gpx", "race.json"));
        Assert.Equal(0, code);
        Assert.Contains("Race:", output, StringComparison.Ordinal);
        Assert.Contains("500-1000 m:", output, StringComparison.Ordinal);
        Assert.Contains("spikes", output, StringComparison.Ordinal);
        Assert.Contains("since the sensors' first sample", output, StringComparison.Ordinal);
    }

    [Fact]
    public void Strokes_OfOneFixASecond_AreRefusedWithTheReason_AndSoundGivesTheRate()
    {
        var (code, output, _) = Cli.Run("strokes", Race("autumn-lake-8", "track.gpx", "race.json", "recording.opus"));
        Assert.Equal(0, code);
        Assert.Contains("mirror image", output, StringComparison.Ordinal);
        Assert.Contains("Rate by all sources together", output, StringComparison.Ordinal);
        Assert.Contains("sound", output, StringComparison.Ordinal);
    }

    [Fact]
    public void Hull_Csv_FollowsTheTruthsDistance()
    {
        var (code, output, error) = Cli.Run("hull", Race("spring-canal-8w", "track.gpx", "race.json", "captions.vtt"), "--csv", "--hz", "2");
        Assert.Equal(0, code);
        Assert.Equal("", error);
        var rows = Rows(output);
        Assert.Equal(["t", "metres", "speed", "speedSd"], rows[0][..4]);
        var samples = rows.Skip(1).Select(r => (T: N(r[0]), Metres: N(r[1]), Speed: N(r[2]), Sd: N(r[3]))).ToList();
        Assert.All(samples.Zip(samples.Skip(1)), p => Assert.Equal(0.5, p.Second.T - p.First.T, 2));
        Assert.All(samples, s => Assert.True(s.Sd > 0));

        // Clocks apart, the distance of any two minutes of the race is the truth's.
        var truth = Truth("spring-canal-8w");
        double longest = truth[^1].Metres - truth[20].Metres, seconds = truth[^1].T - truth[20].T;
        double best = samples.Where(s => s.T + seconds <= samples[^1].T).Max(s => samples.First(e => e.T >= s.T + seconds - 1e-6).Metres - s.Metres);
        Assert.Equal(longest, best, 12.0);
    }

    [Fact]
    public void Hull_TextAndJson()
    {
        string path = Race("spring-canal-8w", "track.gpx");
        Assert.Contains("±", Cli.Run("hull", path).Output, StringComparison.Ordinal);
        using var json = JsonDocument.Parse(Cli.Run("hull", path, "--json", "--hz", "0.1").Output);
        Assert.True(json.RootElement.GetArrayLength() > 20);
    }

    [Theory]
    [InlineData(66, "strokes", "no-such-folder")]
    [InlineData(66, "hull", "no-such-folder")]
    [InlineData(64, "strokes")]
    [InlineData(64, "hull")]
    public void MissingPathsAreNamed(int expected, params string[] words)
    {
        var (code, _, error) = Cli.Run(words);
        Assert.Equal(expected, code);
        Assert.NotEqual("", error);
        Assert.DoesNotContain("   at ", error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("0")]
    [InlineData("-1")]
    [InlineData("1e9")]
    [InlineData("often")]
    public void ARateOfSamplesThatIsNoneIsRefused(string hz)
    {
        var (code, _, error) = Cli.Run("hull", Race("spring-canal-8w", "track.gpx"), "--hz", hz);
        Assert.Equal(64, code);
        Assert.Contains(hz == "often" ? "often" : "hz", error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("captions.vtt", "WEBVTT\n\n00:01.000 --> 00:02.000\npower ten\n")]
    [InlineData("motion.csv", "t,ax,ay,az\n0,1,2,9\n0.02,1,2,9\n")]
    [InlineData("motion.csv", "hello\n")]
    [InlineData("track.gpx", "<gpx/>")]
    public void FilesWithoutStrokesSayWhatIsMissing(string name, string text)
    {
        _folder.Write(name, System.Text.Encoding.UTF8.GetBytes(text));
        foreach (string verb in (string[])["strokes", "hull"])
        {
            var (code, output, error) = Cli.Run(verb, _folder.Path, "--csv");
            Assert.Equal(65, code);
            Assert.Equal("", output);
            Assert.True(error.Length > 20 && !error.Contains("Exception", StringComparison.Ordinal), error);
        }
    }

    [Fact]
    public void Hull_OfALogAloneAsksForTheTrack()
    {
        var (code, _, error) = Cli.Run("hull", Race("masters-1000", "motion.csv"));
        Assert.Equal(65, code);
        Assert.Contains("track", error, StringComparison.Ordinal);
    }

    /// <summary>A still phone on a desk: no strokes, and no crash.</summary>
    [Fact]
    public void APhoneOnADeskRowsNoStroke()
    {
        var text = new System.Text.StringBuilder("t,ax,ay,az\n");
        var dice = new Random(1);
        for (int i = 0; i < 6000; i++)
        {
            text.Append(CultureInfo.InvariantCulture, $"{i * 0.02:0.00},{0.05 * dice.NextDouble():0.000},{0.05 * dice.NextDouble():0.000},{9.8 + (0.05 * dice.NextDouble()):0.000}\n");
        }

        _folder.Write("motion.csv", System.Text.Encoding.UTF8.GetBytes(text.ToString()));
        var (_, output, _) = Cli.Run("strokes", _folder.Path, "--csv");
        Assert.True(Rows(output).Count <= 1, output);
    }
}
