using Stakeboat.Core.Plans;
using U = Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Plans;

/// <summary>Broken and contradictory plans: the right sentence at the right line.</summary>
public sealed class BrokenPlanTests
{
    private const string Head = "boat 8+\ndistance 2000 m\npace 1:30\nrate 36\nlift 0 %\ngo rolling\n";

    public static TheoryData<string, int, string, string> Broken => new()
    {
        // The head.
        { "pace 1:30\nrate 36\nbase", 0, "no-distance", "How long is the race? Write 'distance 2000 m'." },
        { "distance 2000 m\nrate 36\nbase", 0, "no-pace", "How fast is the plan? Write 'pace 1:36' for 500 m at the base rate, 'time 6:24' for the whole race, or 'reference 1:34' for the crew's own pace in calm water." },
        { "distance 2000 m\npace 1:30\nbase", 0, "no-rate", "Which rate is the base? Write 'rate 36'." },
        { "distance 2000 m\npace 1:30\nrate 36", 0, "no-segments", "This plan has no segments. Write at least 'base to the finish'." },
        { "distance 2000\nbase", 1, "bad-distance", "A distance is a number with its unit, such as 2000 m or 5 km." },
        { "distance 60 m\nbase", 1, "bad-distance", "60 m is no race: a distance lies between 100 m and 30 km." },
        { "boat 9+\nbase", 1, "bad-boat", "There is no boat class '9+'. The classes are 8+, 4+, 4+bow, 4x+, 4-, 4x, 2-, 2x, 1x." },
        { "pace 0:30\nbase", 1, "bad-pace", "A pace is minutes and seconds for 500 m, between 1:00 and 5:00, such as 1:36." },
        { "rate 90\nbase", 1, "bad-rate", "A rate is strokes a minute, between 14 and 56, such as 36." },
        { "rate 36\nrate 34\nbase", 2, "said-twice", "'rate' has already been given on line 1; which one holds?" },
        { "wind 3 m/s\nbase", 1, "bad-wind", "A wind is where it comes from and its speed: 'wind head 3 m/s', 'wind tail 2 m/s', 'wind cross 4 m/s', or 'wind from 240 at 4 m/s'." },
        { "wind head 30 m/s\nbase", 1, "bad-wind", "A wind of 30 m/s is a gale: no race is planned in it." },
        { "pace\nbase", 1, "value-missing", "'pace' stands alone: write the base pace for 500 m, such as 'pace 1:36'." },
        { "distanse 2000 m\nbase", 1, "unknown-word", "A line cannot begin with 'distanse'. Did you mean 'distance'?" },
        { Head + "mark boathouse 750 m\nmark the boathouse 800 m\nbase", 8, "bad-mark", "The mark 'the boathouse' already stands on line 7." },
        { Head + "mark pier 2400 m\nbase", 7, "mark-off-course", "The mark 'pier' stands at 2400 m, but the race is 2000 m long." },
        { "distance 2000 m\npace 1:30\ntime 6:40\nrate 36\ngo rolling\nbase", 3, "goal-and-pace-disagree", "At a base pace of 1:30.0 this plan takes 6:00.0, not 6:40.0. Give either the pace or the time." },
        { "distance 2000 m\ntime 2:00\nrate 36\ngo rolling\nbase", 2, "goal-out-of-reach", "2:00.0 for 2000 m cannot be reached with this plan at any base pace between 1:00 and 5:00." },

        // What the head says of crew and course.
        { Head + "efforts 480 W 2:00, 400 W 5:00\nbase", 7, "bad-efforts", "No critical power from these efforts: it takes at least three best efforts. Add one, shorter or longer than those here." },
        { Head + "efforts 480 W 2:00, 470 W 2:30, 460 W 3:00\nbase", 7, "bad-efforts", "No critical power from these efforts: the longest effort must last at least three times the shortest. Add one well under or over." },
        { Head + "efforts 480 W, 470 W\nbase", 7, "bad-efforts", "Best efforts are watts held for a time, a comma between: 'efforts 520 W 2:00, 455 W 4:00, 415 W 8:00'." },
        { Head + "pieces 500 m 1:30, 1000 m 3:00, 2000 m 6:00\nbase", 7, "bad-pieces", "No critical speed from these pieces: W' would be negative or larger than was ever measured: these efforts do not belong together. Check for a mistyped time, wind or stream." },
        { Head + "energy 410 W\nbase", 7, "bad-energy", "An energy is critical power and W' of the mean rower: 'energy 410 W 22 kJ', or with what they are good to: 'energy 410 W ± 8 22 kJ ± 3'." },
        { Head + "energy 410 W 22 kJ\nefforts 520 W 2:00, 455 W 4:00, 415 W 8:00\nbase", 7, "bad-energy", "The crew's energy is given more than once (energy, efforts, pieces). Keep the one that you trust." },
        { Head + "ladder 28 1:50\nbase", 7, "bad-ladder", "One rung is no ladder: write at least two, such as 'ladder 28 1:50, 32 1:44'." },
        { Head + "ladder 28 1:50, 28 1:44\nbase", 7, "bad-ladder", "The ladder has two rungs at 28: keep one." },
        { Head + "wind from 240 at 4 m/s\nbase", 7, "wind-without-heading", "A wind from 240 degrees says nothing until the course's bearing is known: write 'heading 240', from start to finish." },
        { Head + "wind head 4 m/s\nheading 195 to 800 m, 230\nbase", 7, "wind-on-a-bend", "This course bends, so its wind is not 'head' all the way: write where it blows from, such as 'wind from 240 at 4 m/s'." },
        { Head + "heading 195 to 800 m, 230 to 600 m, 210\nbase", 7, "bad-heading", "The course's parts go on from the start to the finish: 600 m does not lie beyond 800 m." },
        { Head + "heading 195 to 2800 m, 230\nbase", 7, "bend-off-course", "The course's last part begins at 2800 m, but the race is over at 2000 m." },
        { Head + "heading 195 to 800 m, 230 to 1500 m\nbase", 7, "bend-stops-short", "The course's bearings end at 1500 m of 2000 m: write the last one without 'to'." },
        { Head + "fetch 5\nbase", 7, "bad-fetch", "A fetch is the open water to windward, such as 'fetch 1500 m' or 'fetch 2 km'." },
        { Head + "reference fast\nbase", 7, "bad-reference", "The reference is the crew's own pace at base effort in calm, deep, fresh water at 20 C: 'reference 1:33.5' or 'reference 1:33.5 ± 0.6'." },
        { Head + "airshare 80 %\nbase", 7, "bad-airshare", "The air's share of the resistance in calm is per cent between 0 and 50, such as 'airshare 14 %'." },

        // Lengths that contradict each other.
        { Head + "high 30 strokes 300 m at 37\nbase", 7, "strokes-and-metres", "30 strokes is 270 m at this rate, not 300: 300 m are 33 strokes at 37." },
        { Head + "high 35 strokes 45 s at 42\nbase", 7, "strokes-and-seconds", "35 strokes take 50.0 s at 42, not 45 s: in 45 s they would be 46.7 a minute." },
        { Head + "high 300 m 40 s at 40\nbase", 7, "metres-and-seconds", "300 m take 54.0 s at this pace, not 40 s: in 40 s they would be a pace of 1:06.7." },
        { Head + "high 20 strokes to 300 m at 40\nbase", 7, "strokes-and-place", "20 strokes from 0 m end at 167 m, not at 300 m." },
        { Head + "base\nsprint 30 strokes last 300 m at 38, 40, 42", 8, "strokes-and-metres", "30 strokes is 250 m at this rate, not 300: the last 300 m are 36 strokes at 40." },

        // Order on the course.
        { Head + "base to 900 m\nmove to 800 m at 38\nbase", 8, "goes-backwards", "'move' ends at 800 m, but line 7 already goes on to 900 m." },
        { Head + "base to 1500 m\nsprint last 300 m at 40", 7, "gap", "Nothing is planned from 1500 m to 1700 m, where line 8 begins." },
        { Head + "base to 1800 m\nsprint last 300 m at 40", 8, "begins-too-late", "The last 300 m begin at 1700 m, but line 7 goes on to 1800 m." },
        { Head + "base to 1700 m", 7, "stops-short", "The plan stops at 1700 m: nothing is planned for the last 300 m." },
        { Head + "base to 2200 m", 7, "past-the-finish", "'base' goes to 2200 m, but the race is over at 2000 m." },
        { Head + "base to 1900 m\nsprint 20 strokes at 40", 8, "past-the-finish", "This segment passes the finish by 67 m: its 20 strokes begin at 1900 m of 2000 m." },
        { Head + "base to the finish\nsprint 10 strokes at 40", 8, "after-the-finish", "The race is over before this: the segments up to line 7 already reach the finish at 2000 m. End one of them before it, such as 'to 250 m to go'." },
        { Head + "high\nbase", 7, "no-length", "How long is 'high'? Write strokes, metres, seconds, or a place: '20 strokes', 'to 1000 m'." },
        { Head + "base to the boathose\nbase", 7, "unknown-mark", "Where is 'boathose'? Write 'mark boathose 750 m' in the head." },
        { Head + "base\nsprint last 2500 m at 40", 8, "begins-too-late", "The last 2500 m begin at -500 m, but what is planned before them goes on to 0 m." },

        { "boat 8+\ndistance 1000 m\ntime 3:10\nrate 35\nbase to 900 m\nmove to 800 m\nbase", 6, "goes-backwards", "'move' ends at 800 m, but line 5 already goes on to 900 m." },

        // Words of a segment.
        { Head + "base 200\nbase", 7, "unit-missing", "200 what? A length needs its unit: 200 strokes, 200 m or 200 s." },
        { Head + "high 20 strokes at 80\nbase", 7, "bad-rate", "A rate lies between 14 and 56 strokes a minute, not 80." },
        { Head + "settle 5 strokes to 500\nbase", 7, "bad-rate", "'to 500' is neither a rate (14 to 56) nor a place: a place needs its unit, such as 'to 500 m'." },
        { Head + "start: 3/4 5/4 full\nbase", 7, "bad-fraction", "'5/4' is no part of a slide: it lies between 0 and full." },
        { Head + "start 2 strokes: 3/4 1/2 full\nbase", 7, "more-fractions-than-strokes", "The start lists 3 strokes by their slide but has only 2." },
        { Head + "high 3/4 20 strokes\nbase", 7, "fraction-outside-start", "'3/4' is a part of a slide: such strokes belong to the start." },
        { Head + "base\nsprint last 300 m up 8 every 100 m", 8, "bad-rate", "The steps climb to 60 strokes a minute; a rate lies between 14 and 56." },
        { Head + "base \"long", 7, "open-quote", "The quotation mark here is never closed on this line." },

        // Cues.
        { Head + "base\nat 1000: ten for legs", 8, "unit-missing", "At 1000 what? Write 'at 1000 m', 'at stroke 1000' or 'at 1000 s'." },
        { Head + "base\nat 1000 m ten for legs", 8, "colon-missing", "A colon was expected before 'ten': 'at 500 m: ten for legs'." },
        { Head + "base\nat 1000 m:", 8, "action-missing", "'at 1000 m:' says when, but not what is done." },
        { Head + "base\nat 2100 m: ten for legs", 8, "cue-past-the-finish", "'at 2100 m' never comes: the race is over at 2000 m." },
        { Head + "base\nat stroke 300: ten for legs", 8, "cue-past-the-finish", "'at stroke 300' never comes: the race has 216 strokes." },
        { Head + "base\nat 7:30: ten for legs", 8, "cue-past-the-finish", "'at 7:30' never comes: this plan is over after 6:00.0 and 216 strokes." },
        { Head + "base\nat 500 m: twenty for legs\nat 600 m: ten for length", 9, "bursts-overlap", "This burst begins at 600 m, 9.2 strokes before the one of line 8 is over." },
        { Head + "base\nat 1900 m: twenty for legs", 8, "burst-past-the-finish", "20 strokes from 1900 m go past the finish by 85 m: there are 11 strokes left there." },
        { Head + "base\nat 1000 m: ten for legs over 2", 8, "over-without-change", "'over 2' spreads a change of rate across 2 strokes, but no rate changes here. For a warning of 2 strokes write 'in 2'." },
        { Head + "base\nat 1000 m: five at 38 over 8 for legs", 8, "over-longer-than-burst", "The rate is to change over 8 strokes, but the burst has only 5." },
        { Head + "base\nat 10 m: ten for legs in 3", 8, "warning-before-start", "A warning of 3 strokes for a burst at stroke 2 would be called before the start." },
        { Head + "base\nat 1000 m: ten 150 m for legs", 8, "strokes-and-metres", "10 strokes is 93 m at this rate, not 150: 150 m are 16 strokes at 36." },
        { Head + "base\nat 1000 m: up 30", 8, "bad-rate", "This would be 66 strokes a minute; a rate lies between 14 and 56." },
        { Head + "rivals Larkmoor, Fellside\nbase\nwhen Larkmor move: ten for hold", 9, "unknown-rival", "'Larkmor' is not among the rivals (Larkmoor, Fellside). Did you mean Larkmoor?" },
        { Head + "base\nat 500 m: ten twenty for legs", 8, "two-lengths", "This cue has two lengths, 10 and twenty strokes; which one holds?" },
        { "plan A\n" + Head + "base\nplan A\nbase", 9, "variant-twice", "Plan A has already begun on line 1." },
    };

    [Theory]
    [MemberData(nameof(Broken))]
    public void The_right_sentence_at_the_right_line(string text, int line, string code, string sentence)
    {
        var result = PlanCompiler.Compile(text);
        Assert.Null(result.Plan);
        var errors = result.Issues.Where(i => i.Severity == PlanSeverity.Error).ToArray();
        Assert.Contains(errors, e => e.Line == line && e.Code == code && e.Sentence == sentence);
    }

    [Theory]
    [InlineData("at 500 m: ten", 8, "no-purpose")]
    [InlineData("at 500 m: twenty at 38", 8, "no-purpose")]
    public void A_bare_ten_is_worth_a_remark(string cue, int line, string code)
    {
        var result = PlanCompiler.Compile(Head + "base\n" + cue);
        Assert.NotNull(result.Plan);
        Assert.Contains(result.Issues, i => i.Line == line && i.Code == code && i.Severity == PlanSeverity.Remark);
    }

    /// <summary>Any text whatever is read without an exception, and what is compiled is consistent.</summary>
    [Fact]
    public void Any_text_is_read()
    {
        string[] words = ["base", "high", "20", "strokes", "at", "38", "to", "1000", "m", "for", "legs", ":", "when", "they", "move", "\"x\"", "last", "up", "every", "3/4", "start", "sprint", "plan", "B", "\n", ",", "over", "in", "5", "1:30", "the", "finish", "%", "-3", "mark", "pace", "rate"];
        var random = new Random(5);
        int compiled = 0;
        for (int i = 0; i < 3000; i++)
        {
            string text = Head + string.Join(' ', Enumerable.Range(0, random.Next(1, 25)).Select(_ => words[random.Next(words.Length)]));
            var result = PlanCompiler.Compile(text);
            if (result.Plan is { } plan)
            {
                compiled++;
                Assert.Equal(2000, plan.Finish.Distance.Metres, 3);
                for (int k = 1; k < plan.Segments.Count; k++)
                {
                    Assert.Equal(plan.Segments[k - 1].To, plan.Segments[k].From);
                }
            }
            else
            {
                Assert.Contains(result.Issues, x => x.Severity == PlanSeverity.Error);
            }
        }

        Assert.True(compiled > 5, "Some of the texts are plans.");
    }

    /// <summary>Arithmetic of the trade: d = 60 v / r, N = M r / (60 v).</summary>
    [Theory]
    [InlineData(2000, 36, 360, 216)]
    [InlineData(250, 36, 360, 27)]
    [InlineData(2000, 38, 330, 209)]
    [InlineData(2000, 37, 330, 203.5)]
    [InlineData(2000, 39, 330, 214.5)]
    [InlineData(2000, 34, 420, 238)]
    public void Strokes_to_the_line(double metres, double rate, double time, double strokes) =>
        Assert.Equal(strokes, StrokesToLine.Strokes(U.Distance.FromMetres(metres), U.StrokeRate.FromPerMinute(rate), U.SpeedOverGround.FromMetresPerSecond(2000 / time)), 0.05);

    [Fact]
    public void A_sprint_by_steps()
    {
        var rungs = SprintLadder.Design(
            U.Distance.FromMetres(300), [.. new[] { 38.0, 40, 42 }.Select(U.StrokeRate.FromPerMinute)], U.SpeedOverGround.FromMetresPerSecond(2000.0 / 360),
            U.StrokeRate.FromPerMinute(36), 0);
        Assert.Equal(11.4, rungs[0].Strokes, 0.05);
        Assert.Equal(12.0, rungs[1].Strokes, 0.05);
        Assert.Equal(12.6, rungs[2].Strokes, 0.05);
        Assert.Equal(100, rungs[2].FromToGo.Metres, 6);
    }
}
