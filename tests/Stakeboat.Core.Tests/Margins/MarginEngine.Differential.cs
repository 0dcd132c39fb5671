using System.Globalization;
using System.Text.Json;
using Stakeboat.Core.Boats;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Margins;

/// <summary>
/// The whole engine at fixed strengths against the same model written from its equations in NumPy (oracles/margins/margin_ep.py, its output and
/// versions beside it): six crews, 300 calls.
/// </summary>
public class MarginEngineDifferential
{
    private static string Root()
    {
        var at = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(at.FullName, "Stakeboat.slnx")))
        {
            at = at.Parent ?? throw new DirectoryNotFoundException("The solution's folder was not found.");
        }

        return at.FullName;
    }

    internal static MarginProblem Problem()
    {
        double[] aside = [13.5, 27, 13.5, 27, 40.5];
        var evidence = new List<MarginEvidence> { new LevelStartEvidence() };
        foreach (string line in File.ReadLines(Path.Combine(Root(), "oracles", "margins", "calls.csv")).Skip(1))
        {
            string[] p = line.Split(',');
            double N(int i) => p[i] switch
            {
                "inf" => double.PositiveInfinity,
                "-inf" => double.NegativeInfinity,
                _ => double.Parse(p[i], CultureInfo.InvariantCulture),
            };
            evidence.Add(new PositionEvidence(Instant<RaceClock>.FromSeconds(N(0)), "crew " + p[1], N(2), N(3), SightSpread.Usual));
        }

        return new MarginProblem(BoatClass.Eight.Geometry,
            [.. aside.Select((a, i) => new Rival("crew " + (i + 1).ToString(CultureInfo.InvariantCulture), BoatClass.Eight.Geometry, Distance.FromMetres(a)))],
            evidence, Distance.FromMetres(2000), Instant<RaceClock>.FromSeconds(420), 1, 0.3, Settings: new MarginSettings { FindStrength = false, Tolerance = 1e-4, Branches = MarginSettings.Default.Branches with { MostModes = 1 } });
    }

    [Fact]
    public void EveryMeanAndSdAgrees()
    {
        var s = MarginEngine.Solve(Problem());
        Assert.True(s.Converged);
        using var expected = JsonDocument.Parse(File.ReadAllText(Path.Combine(Root(), "oracles", "margins", "margin_ep.json")));
        int compared = 0;
        foreach (var row in expected.RootElement.GetProperty("rows").EnumerateArray())
        {
            int t = row.GetProperty("t").GetInt32();
            for (int i = 0; i < 5; i++)
            {
                var rival = s.Rivals[i];
                Assert.Equal(row.GetProperty("mean")[i].GetDouble(), rival.Mean[t], 0.002);
                Assert.Equal(row.GetProperty("sd")[i].GetDouble(), rival.Sd[t], 0.002);
                compared++;
            }
        }

        Assert.Equal(75, compared);
    }
}
