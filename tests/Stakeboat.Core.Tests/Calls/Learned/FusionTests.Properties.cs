using Stakeboat.Core.Calls;
using Stakeboat.Core.Calls.Context;
using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Tests.Calls.Learned;

/// <summary>What must hold of the weighing of the two ears whatever its numbers are.</summary>
public sealed class FusionPropertiesTests
{
    private static readonly Call[] OneOfEach =
    [
        new RateCall(34, RateSense.Now), new RateChangeCall(2, 2, null), new PaceCall(99), new DistanceCall(1000, DistanceSense.Gone), new TimeCall(60, TimeSense.Gone),
        new StrokesToCall(10, StrokesTarget.Finish), new CountCall(3), new MarginCall("Tern", "boat", null, 2, null, null, false, Side.Ahead, false),
        new WantCall("Tern", 1, null), new TrendCall("Tern", Who.Us, null), new RivalMoveCall("Tern"), new MoveCall(10, null), new ShiftCall(RhythmChange.Sprint),
        new CommandCall(Deed.Stop, "all"), new SteerCall(SteerSide.Port, SteerMeans.Rudder), new TechniqueCall(Focus.Legs), new ConditionsCall(Condition.Wake),
    ];

    private static Reading Written(int token, Call call, double p) => new(token, token, call, p, [], "written", 0);

    [Fact]
    public void Every_type_has_its_weights_and_gives_a_probability()
    {
        var weights = Fusion.Load();
        foreach (var call in OneOfEach)
        {
            double[] all =
            [
                weights.Agreed(call, .6, .6), weights.WrittenAlone(call, .6), weights.WrittenAgainst(call, .6, .6), weights.LearnedAlone(call, .6), weights.LearnedAgainst(call, .6, .6),
            ];
            Assert.All(all, p => Assert.InRange(p, 1e-6, 1 - 1e-6));
        }
    }

    [Fact]
    public void Two_ears_that_agree_are_surer_than_either_alone()
    {
        var weights = Fusion.Load();
        foreach (var call in OneOfEach)
        {
            Assert.True(weights.Agreed(call, .6, .6) > weights.LearnedAlone(call, .6), call.ToString());
            Assert.True(weights.Agreed(call, .6, .6) > weights.WrittenAgainst(call, .6, .6), call.ToString());
        }
    }

    [Fact]
    public void What_both_say_is_said_once()
    {
        var call = new RateCall(34, RateSense.Now);
        var fused = TwoEars.Fuse([Written(4, call, .8)], [new LearnedCandidate(5, call, .8)]);
        Assert.Equal(4, Assert.Single(fused).LastToken);
    }

    [Fact]
    public void Of_two_readings_of_one_call_one_is_kept()
    {
        var fused = TwoEars.Fuse([Written(4, new RateCall(34, RateSense.Now), .5)], [new LearnedCandidate(4, new RateCall(36, RateSense.Now), .97)]);
        Assert.Equal(new RateCall(36, RateSense.Now), Assert.Single(fused).Call);
    }

    [Fact]
    public void Counts_may_follow_word_by_word()
    {
        LearnedCandidate[] heard = [new(0, new CountCall(1), .95), new(1, new CountCall(2), .95), new(2, new CountCall(3), .95)];
        Assert.Equal([1, 2, 3], TwoEars.Fuse([], heard).Select(r => ((CountCall)r.Call).N));
    }

    [Fact]
    public void Lines_of_a_run_are_heard_together_and_lines_without_one_alone()
    {
        var ear = new Listener();
        PhraseLine[] lines =
        [
            new("two seats up", ["Tern"], null, "race", "1"), new("now three", ["Tern", "Coot"], "Tern", "race", "1"), new("four", ["Coot"], null, "race", null), new("five", ["Coot"], null, "race", null),
        ];
        var heard = LearnedLines.Hear(ear, false, lines)!;
        Assert.Equal([5, 1, 1], ear.Lengths);
        // The listener proposes a count at each last word of what it reads: token 4 of the run is word 1 of its second line.
        Assert.Empty(heard[0]);
        Assert.Equal(1, Assert.Single(heard[1]).Token);
        Assert.Equal(0, Assert.Single(heard[3]).Token);
        Assert.Null(LearnedLines.Hear(null, false, lines));
    }

    private sealed class Listener : ILearnedEar
    {
        public List<int> Lengths { get; } = [];

        public IReadOnlyList<LearnedCandidate> Read(IReadOnlyList<CallToken> tokens, EarContext context)
        {
            Lengths.Add(tokens.Count);
            return [new LearnedCandidate(tokens.Count - 1, new CountCall(1), .9)];
        }
    }
}
