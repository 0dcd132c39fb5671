using Stakeboat.Core.Boats;
using Stakeboat.Core.Energetics;
using Stakeboat.Core.Pacing;
using Stakeboat.Core.Physics;
using Stakeboat.Core.Plans;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Plans;

/// <summary>Bends, the crew's own facts, "instead" and several plans in the arithmetic of a plan.</summary>
public sealed class PlanCourseAndCrewTests
{
    private const string Head = "boat 8+\ndistance 2000 m\npace 1:34\nrate 35\nlift 0 %\ngo rolling\n";

    private static CompiledPlan Good(string text)
    {
        var r = PlanCompiler.Compile(text);
        Assert.True(r.Plan is not null, string.Join('\n', r.Issues));
        return r.Plan;
    }

    [Fact]
    public void Wind_along_a_bend_moves_the_splits_and_keeps_the_mean()
    {
        var plan = Good(Head + "wind from 180 at 4 m/s\nheading 180 to 1000 m, 0\nbase");
        var q = plan.Quarters();
        Assert.True(q[0].Seconds > 94 * 1.05 && q[2].Seconds < 94 * 0.97, "Head wind first, tail wind after the turn.");
        Assert.Equal(q[0].Seconds, q[1].Seconds, 0.03);
        Assert.Equal(4 * 94, plan.Finish.Time.Seconds, 0.01);

        // The ratio of the two speeds is the relative model's own.
        var hull = ReferenceHull.Of(BoatClass.Eight);
        double lo = 4, hi = 8;
        for (int i = 0; i < 60; i++)
        {
            double mid = (lo + hi) / 2;
            var m = new RelativeSpeedModel(hull, SpeedOverGround.FromMetresPerSecond(mid));
            double t = 1000 / m.Solve(1, Conditions.WithHeadWind(4)).Speed.MetresPerSecond + 1000 / m.Solve(1, Conditions.WithHeadWind(-4)).Speed.MetresPerSecond;
            (lo, hi) = t > 376 ? (mid, hi) : (lo, mid);
        }

        double head = 500 / new RelativeSpeedModel(hull, SpeedOverGround.FromMetresPerSecond(lo)).Solve(1, Conditions.WithHeadWind(4)).Speed.MetresPerSecond;
        Assert.Equal(head, q[0].Seconds, 0.03);
    }

    [Fact]
    public void A_bend_of_the_same_bearing_is_no_bend()
    {
        var straight = Good(Head + "wind from 200 at 4 m/s\nheading 180\nbase");
        var parts = Good(Head + "wind from 200 at 4 m/s\nheading 180 to 700 m, 180\nbase");
        Assert.Equal(straight.Finish.Time.Seconds, parts.Finish.Time.Seconds, 1e-6);
    }

    [Fact]
    public void The_price_knows_the_bend()
    {
        const string Text = Head + "wind from 180 at 4 m/s\nheading 180 to 1000 m, 0\nbase";
        var sheet = PlanText.Parse(Text);
        var priced = PlanPricing.Price(sheet.Variants[0], PlanCompiler.Compile(sheet).Plan!, draws: 200);
        Assert.Equal(2, priced.Along.Count);

        // Rowed at even power through the pacing model the halves differ as the plan says, and the whole takes the plan's time.
        var even = priced.Price.Written;
        Assert.Equal(376, even.Seconds, 1.5);
        Assert.True(even.TimeAt(1000) > 195);

        // The fastest way puts a little more power into the wind.
        Assert.True(priced.Price.Fastest.MeanWatts(200, 900) > priced.Price.Fastest.MeanWatts(1100, 1800));
    }

    [Fact]
    public void A_reference_pace_is_carried_into_the_wind()
    {
        const string Own = "boat 8+\ndistance 2000 m\nreference 1:34 ± 0.5\nairshare 14 %\nrate 35\nlift 0 %\ngo rolling\n";
        var calm = Good(Own + "base");
        Assert.Equal(4 * 94, calm.Finish.Time.Seconds, 0.01);
        Assert.True(calm.Assumptions.BaseFromReference);
        var head = Good(Own + "wind head 4 m/s\nbase");
        double expected = new RelativeSpeedModel(ReferenceHull.Of(BoatClass.Eight), SpeedOverGround.FromMetresPerSecond(500 / 94.0), 0.14)
            .Solve(1, Conditions.WithHeadWind(4)).Speed.MetresPerSecond;
        Assert.Equal(2000 / expected, head.Finish.Time.Seconds, 0.01);
    }

    [Fact]
    public void The_crews_own_ladder_sets_the_lift_with_the_published_slopes_as_prior()
    {
        var plan = Good("boat 8+\ndistance 2000 m\npace 1:34\nrate 35\nladder 25 1:50, 30 1:44, 35 1:38, 40 1:33\nbase");
        Assert.True(plan.Assumptions.LiftFromLadder);
        var own = RatePower.Fit([.. new[] { (25.0, 110.0), (30, 104), (35, 98), (40, 93) }.Select(x => new RateStep(x.Item1, Math.Pow(500 / x.Item2, 2.85)))], 35);
        Assert.Equal(100 * (Math.Exp(own.Slope.Mean / 2.85) - 1), plan.Assumptions.LiftPercent, 9);
        Assert.InRange(plan.Assumptions.LiftPercent, 1.0, 1.25);
        Assert.True(own.Slope.Sd < RatePower.PriorSlopeSd / 3);
    }

    [Fact]
    public void Energy_comes_from_the_head_with_its_covariance()
    {
        PricedPlan Price(string facts)
        {
            var sheet = PlanText.Parse(Head + facts + "\nbase");
            var r = PlanCompiler.Compile(sheet);
            Assert.True(r.Plan is not null, string.Join('\n', r.Issues));
            return PlanPricing.Price(sheet.Variants[0], r.Plan, draws: 200);
        }

        var given = Price("energy 410 W ± 8 22 kJ ± 3");
        Assert.Equal(EnergySource.Given, given.Source);
        Assert.Equal(22_000, given.Crew.Power.WPrime);
        Assert.Equal((8, 3000), (given.Day.CpSd, given.Day.StoreSd));

        var efforts = Price("efforts 520 W 2:00, 455 W 4:00, 421 W 8:00, 410 W 14:00");
        var fit = EffortFit.Fit([new(120, 520), new(240, 455), new(480, 421), new(840, 410)]).Fit!;
        Assert.Equal(EnergySource.Efforts, efforts.Source);
        Assert.Equal(fit.Cov, efforts.Day.Cov, 9);
        Assert.True(efforts.Day.Cov < 0, "CP and W' pull against each other.");

        var pieces = Price("pieces 500 m 1:27, 1000 m 3:00, 2000 m 6:08");
        Assert.Equal(EnergySource.BoatPieces, pieces.Source);
        Assert.True(pieces.Day.Cov < 0 && pieces.Day.CpSd / pieces.Crew.Power.Cp is > 0.005 and < 0.06);

        // The forecast of a crew known from its pieces is where its pieces say: 2000 m in 6:08 and a standing start on top does not apply to a rolling one.
        Assert.InRange(pieces.Forecast.Median, 364, 372);
    }

    [Fact]
    public void Both_oxygen_laws_are_in_the_price()
    {
        var sheet = PlanText.Parse("boat 8+\ndistance 2000 m\npace 1:32\nrate 36\nhigh 40 strokes at 42, +20 %\nbase");
        var priced = PlanPricing.Price(sheet.Variants[0], PlanCompiler.Compile(sheet).Plan!, draws: 100);
        var laws = priced.Price.UnderOxygenLaws.ToDictionary(o => o.Law, o => o.AgainstEven);
        Assert.Equal(3, laws.Count);
        Assert.True(laws[OxygenLaw.DemandDriven] < laws[OxygenLaw.Saturating] - 0.3, "A hard start wakes the supply sooner under the demand-driven law.");
        Assert.True(priced.Price.LossFading > priced.Price.LossHolding);
    }

    [Fact]
    public void Instead_leaves_out_the_next_planned_burst()
    {
        const string Common = "boat 8+\ndistance 2000 m\npace 1:34\nrate 35\ngo rolling\nbase\n";
        var with = PlanCompiler.Compile(Common + "at 800 m: 20 strokes at 38\nat 1000 m: 20 strokes at 38\nat 700 m: 10 strokes at 37 instead");
        var plain = Good(Common + "at 1000 m: 20 strokes at 38\nat 700 m: 10 strokes at 37");
        Assert.Equal(plain.Finish.Time.Seconds, with.Plan!.Finish.Time.Seconds, 9);
        Assert.Equal(plain.Finish.Strokes, with.Plan.Finish.Strokes, 9);
        var said = Assert.Single(with.Issues, i => i.Code == "replaced");
        Assert.Equal((7, "Not rowed at 800 m: the burst of line 9 takes its place."), (said.Line, said.Sentence));
        Assert.DoesNotContain(with.Plan.Cues, c => c.Line == 7);
        var nothing = PlanCompiler.Compile(Common + "at 700 m: 10 strokes at 37 instead");
        Assert.Contains(nothing.Issues, i => i is { Code: "nothing-to-replace", Line: 7 });
    }

    [Fact]
    public void An_answer_is_priced_where_it_may_come()
    {
        const string Text = "boat 8+\ndistance 2000 m\npace 1:34\nrate 35\nlift 0.9 %\ngo rolling\nrivals Larkmoor\nbase\nat 1500 m: 20 strokes at 38 for legs\n"
            + "when Larkmoor move: ten at 38 for staying with them\nhalf way through their ten: ten of ours at 38 instead";
        var sheet = PlanText.Parse(Text);
        var priced = PlanPricing.Price(sheet.Variants[0], PlanCompiler.Compile(sheet).Plan!, draws: 100);
        var answers = PlanAnswers.Of(sheet, priced);
        Assert.Equal([10, 11], answers.Select(a => a.Line));

        // Ten strokes at +2.7 % speed: won is 10 strokes' time less what it would have taken; nothing is left out.
        Assert.Null(answers[0].ReplacesLine);
        double seconds = 10 * 60 / 38.0;
        Assert.Equal(seconds * 0.027, answers[0].SecondsWon, 0.05);
        Assert.True(answers[0].StoreSpent > 0);

        // In place of twenty at the same rate it saves half of them, and is slower by as much.
        Assert.Equal(9, answers[1].ReplacesLine);
        Assert.Equal(-seconds * 0.027, answers[1].SecondsWon, 0.05);
        Assert.Equal(-answers[0].StoreSpent, answers[1].StoreSpent, 60.0);
    }

    [Fact]
    public void Rivals_plans_lie_beside_ours()
    {
        var ours = Good(Head + "base");
        var quick = Good("boat 8+\ndistance 2000 m\npace 1:34\nrate 35\nlift 0 %\ngo rolling\nbase to 500 m pace 1:30\nbase pace 1:36");
        var rows = PlansBeside.Rows(ours, [quick]);
        Assert.Equal(8, rows.Count);
        Assert.Equal(500, rows[1].At.Metres);
        Assert.Equal(-4, rows[1].Gaps[0], 0.01);
        Assert.Equal(90 + 3 * 96 - 376, rows[7].Gaps[0], 0.01);
        Assert.Equal(2 * 500 / 96.0, rows[7].Metres[0], 0.05);
        Assert.Empty(PlansBeside.Rows(ours, [])[0].Gaps);
    }

    [Fact]
    public void Waves_are_a_range_over_the_fetch()
    {
        var waves = PlanWinds.Waves(PlanText.Parse(Head + "wind head 5 m/s at 10 m\nfetch 2 km\nbase").Variants[0].Head);
        Assert.Equal(4, waves.Count);
        Assert.Equal(10.5, waves[0].Height * 100, 0.06);
        Assert.Equal(14.6, waves[^1].Height * 100, 0.06);
        Assert.Empty(PlanWinds.Waves(PlanText.Parse(Head + "wind head 5 m/s\nbase").Variants[0].Head));
    }

    [Fact]
    public void Head_and_tail_wind_side_by_side()
    {
        var sheet = PlanText.Parse(Head + "base");
        var v = sheet.Variants[0];
        var sides = PlanCompiler.SideBySide(sheet, [PlanConditions.AsWritten, PlanPricing.Other("head", v, new PlanWind(0, 4, 0, null, true)), PlanPricing.Other("tail", v, new PlanWind(0, 4, 180, null, true))]);
        double[] t = [.. sides.Select(s => s.Plan!.Finish.Time.Seconds)];
        Assert.True(t[1] > t[0] + 20 && t[2] < t[0] - 10 && t[1] - t[0] > t[0] - t[2]);
        Assert.True(sides[1].Plan!.Finish.Strokes > sides[0].Plan!.Finish.Strokes + 8, "Slower at the same rate: more strokes to the line.");
    }

    [Fact]
    public void Last_parts_follow_each_other_whatever_the_start_and_the_bursts_do_to_the_count()
    {
        var plan = Good("boat 8+\ndistance 2000 m\npace 1:44\nrate 31\nstart 1/2 1/2 3/4 full at 38\nhigh 20 at 40\nsettle 5\nbase\nbuild last 600 m to 33\nsprint last 30 strokes at 36\nat 750 m: 20 at 36 for length");
        Assert.Equal(30, plan.Segments[^1].Strokes, 0.01);
        Assert.Equal(1400, plan.Segments[^2].From.Distance.Metres, 0.01);
        Assert.Equal(20, plan.Segments[1].Strokes, 0.01);
    }
}
