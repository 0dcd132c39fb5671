using System.Globalization;
using BenchmarkDotNet.Attributes;
using Stakeboat.Core.Boats;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Bench.Margins;

/// <summary>Six crews, 300 calls, seven minutes: the input of oracles/margins, whose NumPy implementation is the peer.</summary>
[ShortRunJob]
[MemoryDiagnoser]
public class MarginBench
{
    private MarginProblem _fixed = null!;
    private MarginProblem _found = null!;

    [GlobalSetup]
    public void Setup()
    {
        _fixed = Problem(false, false);
        _found = Problem(true, true);
    }

    [Benchmark(Baseline = true, Description = "fixed strength")]
    public double Fixed() => MarginEngine.Solve(_fixed).LogEvidence;

    [Benchmark(Description = "strength by evidence, branches")]
    public double Found() => MarginEngine.Solve(_found).LogEvidence;

    /// <summary>
    /// Plain timing for a ratio against the peer: processor time of a solution, which other programs on the machine disturb less than a clock;
    /// the best of several rounds.
    /// </summary>
    public static int Time()
    {
        foreach (bool find in (bool[])[false, true])
        {
            foreach (bool branch in (bool[])[false, true])
            {
                var problem = Problem(find, branch);
                double best = double.PositiveInfinity;
                MarginSolution? last = null;
                for (int round = 0; round < 8; round++)
                {
                    const int each = 10;
                    using var process = System.Diagnostics.Process.GetCurrentProcess();
                    var at = process.TotalProcessorTime;
                    for (int i = 0; i < each; i++)
                    {
                        last = MarginEngine.Solve(problem);
                    }

                    process.Refresh();
                    best = Math.Min(best, (process.TotalProcessorTime - at).TotalMilliseconds / each);
                }

                Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                    $"{(find ? "strength by evidence" : "fixed strength")}, {(branch ? "branches" : "no branches")}: {best:0.0} ms, {last!.Sweeps} sweeps, {last.Modes} modes"));
            }
        }

        return 0;
    }

    private static MarginProblem Problem(bool find, bool branch)
    {
        double[] aside = [13.5, 27, 13.5, 27, 40.5];
        var at = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(at.FullName, "Stakeboat.slnx")))
        {
            at = at.Parent ?? throw new DirectoryNotFoundException("Run it inside the repository.");
        }

        var evidence = new List<MarginEvidence> { new LevelStartEvidence() };
        foreach (string line in File.ReadLines(Path.Combine(at.FullName, "oracles", "margins", "calls.csv")).Skip(1))
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
            evidence, Distance.FromMetres(2000), Instant<RaceClock>.FromSeconds(420), 1, 0.3, Settings: new MarginSettings
            {
                FindStrength = find, Branches = branch ? MarginSettings.Default.Branches : MarginSettings.Default.Branches with { MostModes = 1 },
            });
    }
}
