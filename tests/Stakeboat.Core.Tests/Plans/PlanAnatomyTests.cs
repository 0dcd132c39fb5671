using Stakeboat.Core.Plans;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Plans;

/// <summary>The usual anatomies of a race plan (collected from coxing columns and guides; common practice) compile.</summary>
public sealed class PlanAnatomyTests
{
    internal const string Good = """
        race Saturday final
        boat 8+
        distance 2000 m
        pace 1:30
        rate 36
        rivals Larkmoor, Fellside
        mark boathouse 750 m
        mark red buoys 250 m to go

        start: 3/4 1/2 3/4 full full at 40
        high 20 strokes at 42
        settle 5 strokes
        base
        sprint last 300 m at 38, 40, 42

        before the start: "sit tall"
        at 500 m: five for catches
        at the boathouse: ten for length in 2
        at 1000 m: 20 strokes at 38 over 2 for their bow ball
        at 1250 m: ten for legs, +5 %
        at red buoys: "no one looks out"
        when they move: five for hold
        half way through their ten: ten of ours instead
        if they reach our 5 seat: up 2 in 2
        """;

    [Fact]
    public void A_plan_for_2000_m_compiles_in_all_three_units()
    {
        var result = PlanCompiler.Compile(Good);
        Assert.Empty(result.Issues);
        var plan = result.Plan!;
        Assert.Equal(2000, plan.Finish.Distance.Metres, 3);
        Assert.Equal(7, plan.Segments.Count);
        Assert.Equal(5, plan.Segments[0].Strokes, 3);
        Assert.Equal(25, plan.Segments[1].To.Strokes, 3);
        Assert.Equal(30, plan.Segments[2].To.Strokes, 3);
        Assert.Equal(1700, plan.Segments[3].To.Distance.Metres, 2);
        Assert.Equal(9, plan.Cues.Count);
        for (int i = 1; i < plan.Segments.Count; i++)
        {
            Assert.Equal(plan.Segments[i - 1].To, plan.Segments[i].From);
        }

        var move = plan.Cues.Single(c => c.TriggerText == "at 1000 m");
        Assert.Equal(1000, move.From!.Value.Distance.Metres, 2);
        Assert.Equal(20, move.To!.Value.Strokes - move.From.Value.Strokes, 3);
        var ten = plan.Cues.Single(c => c.TriggerText == "at the boathouse");
        Assert.Equal(2, ten.From!.Value.Strokes - ten.CallAt!.Value.Strokes, 3);
        Assert.Equal("length", ten.Purpose);
    }

    [Fact]
    public void A_masters_sprint_of_1000_m_compiles()
    {
        var result = PlanCompiler.Compile("""
            boat 8+
            distance 1000 m
            time 3:20
            rate 35
            start: 3/4 3/4 full full at 38
            high 15 strokes at 40
            settle 5 strokes
            base
            sprint last 250 m up 2 every 100 m
            at 300 m: ten for catches
            at 500 m: 15 strokes at 37 for a seat
            """);
        Assert.Empty(result.Issues);
        Assert.Equal(200, result.Plan!.Finish.Time.Seconds, 2);
    }

    [Fact]
    public void A_head_race_compiles_from_a_rolling_start()
    {
        var result = PlanCompiler.Compile("""
            boat 8+
            distance 5 km
            pace 1:44
            rate 31
            go rolling
            rivals Larkmoor
            mark stone bridge 1200 m
            mark willows 3000 m
            before the line: "build five, on at three"
            high 20 strokes at 34
            settle 5 strokes
            base to the stone bridge
            move 20 strokes at 33 for the crew ahead
            base to the willows at 31
            base to 400 m to go at 32
            sprint to the finish at 34, 36
            at stone bridge: "outside arch, port pressure"
            at 6:00: five for length
            at 30 strokes to go: 10 strokes for all you have
            when Larkmoor move: ten for clean water
            """);
        Assert.Empty(result.Issues);
        Assert.Equal(5000, result.Plan!.Finish.Distance.Metres, 3);
        var late = result.Plan.Cues.Single(c => c.TriggerText == "at 30 strokes to go");
        Assert.Equal(30, result.Plan.Finish.Strokes - late.From!.Value.Strokes, 2);
        Assert.Equal(360, result.Plan.Cues.Single(c => c.TriggerText == "at 6:00").From!.Value.Time.Seconds, 3);
    }

    [Fact]
    public void Plans_A_and_B_share_what_stands_before_them()
    {
        var sheet = PlanText.Parse("""
            boat 8+
            distance 2000 m
            rate 36
            at 1000 m: ten for legs

            plan A
            pace 1:34
            high 20 strokes at 40
            base

            plan B if head wind
            pace 1:42
            high 30 strokes at 38
            base
            """);
        Assert.Empty(sheet.Issues);
        var a = PlanCompiler.Compile(sheet, "A").Plan!;
        var b = PlanCompiler.Compile(sheet, "B").Plan!;
        Assert.True(b.Finish.Time > a.Finish.Time);
        Assert.Equal("head wind", b.When);
        Assert.Single(b.Cues);
        var sides = PlanCompiler.SideBySide(sheet, [PlanConditions.AsWritten, new PlanConditions("head 3 m/s", 0.95)]);
        Assert.Equal(4, sides.Count);
        Assert.True(sides[1].Plan!.Finish.Time.Seconds > sides[0].Plan!.Finish.Time.Seconds * 1.04);
    }

    [Fact]
    public void What_a_plan_assumes_stands_in_it()
    {
        const string Plan = "boat 8+\ndistance 2000 m\npace 1:34\nrate 35\nwind head 2 m/s\nstream with 0.2 m/s\nwater 12 C\nbase";
        var a = PlanCompiler.Compile(Plan).Plan!.Assumptions;
        Assert.Equal("wind head 2 m/s, stream with 0.2 m/s, water 12 C", a.Conditions);
        Assert.False(a.LiftGiven);
        Assert.Equal(PlanCompiler.DefaultLiftPercent, a.LiftPercent);
    }

    [Fact]
    public void A_price_is_tenths_and_a_head_wind_is_seconds()
    {
        const string Plan = "boat 8+\ndistance 2000 m\npace 1:34\nrate 35\nwind head 3 m/s\nstart: 3/4 full full at 40\nhigh 20 strokes at 42\nsettle 5 strokes\nbase\nsprint last 300 m at 37, 39";
        var sheet = PlanText.Parse(Plan);
        var priced = PlanPricing.Price(sheet.Variants[0], PlanCompiler.Compile(sheet).Plan!, draws: 500);
        Assert.InRange(priced.Price.Seconds, 0.1, 2);
        Assert.InRange(priced.ConditionsCost, 12, 28);
        Assert.InRange(priced.Price.ChanceEmpty, 0.2, 0.8);
        Assert.True(priced.Price.LossFading > priced.Price.LossHolding);
        Assert.InRange(priced.Forecast.High90 - priced.Forecast.Low90, 8, 40);
        Assert.Equal(EnergySource.Assumed, priced.Source);
    }
}
