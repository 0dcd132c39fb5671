using Stakeboat.Core.Calls;
using Stakeboat.Core.Measurement;
using Stakeboat.Simulation.Folders;
using Stakeboat.Simulation.Racing;
using Stakeboat.Simulation.Talk;

namespace Stakeboat.Simulation.Tests.Talk;

public class CoxswainTests
{
    private static readonly RaceScenario Quiet = NamedScenarios.Demo with { Satellite = null, Motion = null };

    private static SimulatedRace Race(CoxHabits habits, ulong seed, CaptionHabits? captions = null) =>
        RaceSimulator.Run(Quiet with { Cox = habits, Captions = captions ?? new CaptionHabits() }, seed);

    /// <summary>The margin that a call claims, m, by the published meanings (lexicon of the trade: cox on their k is x_cox - x_k, bow ball on their k is -x_k).</summary>
    private static double? Claimed(MarginCall c, RaceScenario s)
    {
        var g = s.Geometry;
        double cox = g.Cox!.Value.Metres;
        double sign = c.Side == Side.Behind ? -1 : 1;
        return c switch
        {
            { Mirror: true } => g.Seat(int.Parse(c.Our)).Metres - cox,
            { Our: "cox", Their: "bow" } => cox,
            { Our: "cox" } => cox - g.Seat(int.Parse(c.Their!)).Metres,
            { Our: "bow", Their: "bow" } => 0,
            { Our: "bow" } => -g.Seat(int.Parse(c.Their!)).Metres,
            { Side: Side.Level } => 0,
            { Seats: { } n } => sign * n * g.SeatSpacing.Metres,
            { OpenWater: true } => null,
            { Lengths: { } l } => sign * l * g.Length.Metres,
            _ => null,
        };
    }

    [Fact]
    public void AFlawlessCoxswainSaysWhereTheRivalsAre()
    {
        var flawless = new CoxHabits { Delay = 0, DelaySd = 0, MarginSd = 0, MarginBias = 0, GrossShare = 0, RateSd = 0 };
        int seen = 0;
        for (ulong seed = 1; seed <= 4; seed++)
        {
            var race = Race(flawless, seed);
            foreach (var (line, call) in race.Talk.Lines.SelectMany(l => l.Calls.Select(c => (l, c))).Where(c => c.c.Call is MarginCall))
            {
                var m = (MarginCall)call.Call;

                // The shortest delay is 0.2 s before the first word.
                double truth = race.MarginAt(m.Crew!, line.Start - 0.2);
                if (Claimed(m, race.Scenario) is { } claimed)
                {
                    seen++;

                    // Half a seat of rounding, or an eighth of a length; times are rounded to 0.01 s.
                    double allowed = m.Lengths is null ? 0.72 : 2.3;
                    Assert.True(Math.Abs(truth - claimed) <= allowed, FormattableString.Invariant($"{call.Line}: {truth} m"));
                }
                else
                {
                    Assert.True(truth > race.Scenario.Geometry.Length.Metres, call.Line);
                }
            }
        }

        Assert.True(seen > 60, $"{seen} margins were said");
    }

    [Fact]
    public void ABiasIsHeardInTheMargins()
    {
        double Mean(double bias)
        {
            var errors = new List<double>();
            for (ulong seed = 1; seed <= 5; seed++)
            {
                var race = Race(new CoxHabits { MarginBias = bias, MarginSd = 0.2, GrossShare = 0 }, seed);
                errors.AddRange(race.Talk.Calls.Select(c => (c.Time, Call: c.Call as MarginCall))
                    .Where(c => c.Call is { Lengths: null, OpenWater: false }).Select(c => (Claimed(c.Call!, race.Scenario)!.Value - race.MarginAt(c.Call!.Crew!, c.Time - 1.5)) / 1.4));
            }

            return errors.Average();
        }

        Assert.InRange(Mean(1) - Mean(0), 0.7, 1.3);
    }

    [Fact]
    public void DistancesAreCalledWhereTheyAre_AndRatesAreThoseRowed()
    {
        var race = Race(new CoxHabits { RateSd = 0 }, 3);
        foreach (var c in race.Talk.Calls)
        {
            if (c.Call is DistanceCall d)
            {
                double gone = d.Sense == DistanceSense.Gone ? d.Metres : race.Scenario.DistanceMetres - d.Metres;
                Assert.InRange(race.Own.MetresAt(c.Time) - gone, -1, 30);
            }

            if (c.Call is RateCall r)
            {
                Assert.InRange(race.Own.RateAt(c.Time)!.Value - r.Spm, -3, 3);
            }
        }
    }

    [Fact]
    public void WordsNeverOverlap_AndEveryCallEndsAWordOfItsLine()
    {
        var race = Race(new CoxHabits(), 9);
        double free = 0;
        foreach (var line in race.Talk.Lines)
        {
            Assert.True(line.Start >= free);
            free = line.End;
            Assert.All(line.Calls, c => Assert.Contains(line.Words, w => w.End == c.Time));
        }
    }

    [Fact]
    public void CountsFallOnTheirStrokes()
    {
        var race = Race(new CoxHabits(), 9);
        var burst = race.Bursts.First(b => b.Crew == "Foxholm");
        var counts = race.Talk.Calls.Where(c => c.Call is CountCall && c.Time > burst.From && c.Time < burst.To).ToArray();
        var catches = race.Strokes.Where(s => s.Catch > burst.From - 0.01).Select(s => s.Catch).ToArray();
        Assert.True(counts.Length >= 8);
        Assert.All(counts, c => Assert.InRange(c.Time - catches[((CountCall)c.Call).N - 1], 0, 1.2));
    }

    [Fact]
    public void CaptionsCarryTheThreeTimings_AndSpoilAsMuchAsAsked()
    {
        var clean = Race(new CoxHabits(), 4, new CaptionHabits { MishearShare = 0, DropShare = 0, JoinShare = 0, TimeSd = 0 });
        Assert.Equal([CaptionTiming.Words, CaptionTiming.Cues, CaptionTiming.Blocks], clean.Captions.Select(c => c.Timing));
        static string Plain(IEnumerable<string> texts) => string.Join(' ', texts).Replace(".", "").ToLowerInvariant();
        string said = Plain(clean.Talk.Lines.Select(l => l.Text));
        Assert.All(clean.Captions, c => Assert.Equal(said, Plain(c.Cues.Select(q => q.Text))));

        double Lost(double share)
        {
            var race = Race(new CoxHabits(), 4, new CaptionHabits { MishearShare = share, DropShare = 0, JoinShare = 0 });
            var heard = race.Captions[0].Cues.SelectMany(c => c.Words).ToArray();
            var spoken = race.Talk.Lines.SelectMany(l => l.Words).ToArray();
            Assert.Equal(spoken.Length, heard.Length);
            return spoken.Zip(heard).Count(p => Plain([p.First.Text]) != Plain([p.Second.Text])) / (double)spoken.Length;
        }

        Assert.Equal(0, Lost(0));
        Assert.InRange(Lost(0.3), 0.05, 0.3);
        Assert.True(Lost(0.8) > Lost(0.3));
    }
}
