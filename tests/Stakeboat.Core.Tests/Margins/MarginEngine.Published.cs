using Stakeboat.Core.Boats;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Margins;

/// <summary>
/// Published results by themselves. Men's eights, Olympic heat 1, 28 July 2012: cumulative times at 500, 1000, 1500 and 2000 m. A rival that
/// passes a mark dt after us is behind, at that moment, by about dt times its own speed there.
/// </summary>
public class MarginEnginePublished
{
    private static readonly Dictionary<string, double[]> Heat = new()
    {
        ["USA"] = [80.70, 163.14, 247.02, 330.72],
        ["AUS"] = [81.94, 165.99, 249.79, 332.43],
        ["POL"] = [82.36, 167.15, 251.63, 335.64],
        ["UKR"] = [82.15, 168.93, 254.59, 338.02],
    };

    private static Instant<RaceClock> At(double s) => Instant<RaceClock>.FromSeconds(s);

    private static MarginSolution Solve(string us, params string[] rivals)
    {
        var evidence = new List<MarginEvidence> { new LevelStartEvidence() };
        foreach (string crew in (string[])[us, .. rivals])
        {
            for (int i = 0; i < Heat[crew].Length; i++)
            {
                evidence.Add(new MarkTimeEvidence(At(Heat[crew][i]), crew == us ? null : crew, 2000.0 * (i + 1) / Heat[crew].Length, 0.003));
            }
        }

        return MarginEngine.Solve(new MarginProblem(BoatClass.Eight.Geometry,
            [.. rivals.Select(r => new Rival(r, BoatClass.Eight.Geometry, null))], evidence, Distance.FromMetres(2000), null));
    }

    [Fact]
    public void MarginsAtTheMarksAreTimeTimesSpeed()
    {
        var s = Solve("USA", "AUS", "POL", "UKR");
        foreach (string crew in (string[])["AUS", "POL", "UKR"])
        {
            for (int i = 0; i < 4; i++)
            {
                double gap = Heat[crew][i] - Heat["USA"][i];

                // The speed of the crew behind around the mark, from its neighbouring splits; good to 3 %.
                double before = Heat[crew][i] - (i > 0 ? Heat[crew][i - 1] : 0);
                double speed = 500 / (i > 0 ? before : before - 2);
                double margin = s.MarginAt(crew, At(Heat["USA"][i])).Mean;
                Assert.InRange(margin, gap * speed * 0.95 - 0.3, gap * speed * 1.05 + 0.3);
            }
        }
    }

    [Fact]
    public void TheOrderIsCertainAtTheFinishAndChangedOnTheWay()
    {
        var s = Solve("USA", "AUS", "POL", "UKR");
        var end = Standings.At(s, s.End);
        for (int c = 0; c < 4; c++)
        {
            Assert.True(end.Place[c][c] > 0.99);
        }

        // Ukraine lay third at 500 m (82.15 against 82.36) and last after that.
        Assert.True(Standings.At(s, At(80.7)).AheadOf[3][2] > 0.8);
        Assert.True(Standings.At(s, At(163)).AheadOf[3][2] < 0.05);
    }

    [Fact]
    public void OurOwnDistanceAndSpeedComeFromOurSplits()
    {
        var s = Solve("USA", "AUS");
        Assert.InRange(s.OwnMetresAt(At(163.14)).Mean, 999, 1001);
        int k = Array.IndexOf(s.Seconds, 200);
        Assert.InRange(s.Own.Speed[k].Mean, 0.95 * 500 / 83.88, 1.05 * 500 / 83.88);
        Assert.InRange(s.Rival("AUS").Speed[k].Mean, 0.95 * 500 / 83.80, 1.05 * 500 / 83.80);
    }

    /// <summary>M2x 2012 heat 1: 6:17.74, then 6:17.78 twice: a dead heat for second.</summary>
    [Fact]
    public void ADeadHeatStaysOpen()
    {
        var s = MarginEngine.Solve(new MarginProblem(BoatClass.Double.Geometry,
            [new Rival("LTU", BoatClass.Double.Geometry, null), new Rival("SLO", BoatClass.Double.Geometry, null)],
            [
                new LevelStartEvidence(), new MarkTimeEvidence(At(377.74), null, 2000, 0.003), new MarkTimeEvidence(At(377.78), "LTU", 2000, 0.003),
                new MarkTimeEvidence(At(377.78), "SLO", 2000, 0.003), new DeadHeatEvidence(At(377.78), "LTU", "SLO"),
            ], Distance.FromMetres(2000), null));
        var end = Standings.At(s, s.End);
        Assert.InRange(end.AheadOf[1][2], 0.3, 0.7);
        Assert.True(end.Place[0][0] > 0.95);
        Assert.InRange(s.MarginAt("LTU", s.End).Mean, 0.05, 0.4);
    }

    /// <summary>Women's eights, final, 2016: final times alone.</summary>
    [Fact]
    public void FinalTimesAlone_LeaveTheMiddleWide()
    {
        double[] times = [361.49, 363.98, 364.10, 365.48, 366.04, 368.37];
        var rivals = Enumerable.Range(1, 5).Select(i => new Rival("crew " + i, BoatClass.Eight.Geometry, null)).ToList();
        var s = MarginEngine.Solve(new MarginProblem(BoatClass.Eight.Geometry, rivals,
            [new LevelStartEvidence(), .. times.Select((t, i) => new MarkTimeEvidence(At(t), i == 0 ? null : rivals[i - 1].Name, 2000, 0.003))],
            Distance.FromMetres(2000), null));
        for (int i = 1; i < 6; i++)
        {
            var end = s.MarginAt(rivals[i - 1].Name, s.End);
            Assert.InRange(end.Mean, (times[i] - times[0]) * 5.4, (times[i] - times[0]) * 6.1 + 0.3);
            Assert.True(s.MarginAt(rivals[i - 1].Name, At(180)).Sd > 4 * end.Sd);
        }

        var lead = Standings.WhenAhead(s, null, Lead.ForGood);
        Assert.True(lead.Never < 0.02);
        Assert.True(lead.High90 > lead.Low90);
        Assert.Equal(1, lead.Probability.Sum() + lead.Never, 9);
    }
}
