using System.Text.Json;
using Stakeboat.Core.Calls;
using Stakeboat.Exchange.Calls;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Exchange.Tests;

public class CallPartsTests
{
    public static TheoryData<Call> OneOfEach =>
    [
        new RateCall(34.5, RateSense.Wanted), new RateChangeCall(-1, 2, null), new PaceCall(99), new DistanceCall(500, DistanceSense.Left),
        new TimeCall(40, TimeSense.UntilEvent), new StrokesToCall(10, StrokesTarget.Finish), new CountCall(3),
        new MarginCall("Birch", "cox", "3", null, null, null, false, null), new MarginCall(null, "4", null, null, null, null, false, Side.Behind, true),
        new WantCall("Birch", 1, null), new TrendCall(null, Who.Them, 1), new RivalMoveCall("Birch"), new MoveCall(10, "legs"),
        new ShiftCall(RhythmChange.Settle), new CommandCall(Deed.HoldWater, "starboard"), new SteerCall(SteerSide.None, SteerMeans.Point),
        new TechniqueCall(Focus.Catch), new ConditionsCall(Condition.HeadWind), new SpiritCall(),
    ];

    [Theory]
    [MemberData(nameof(OneOfEach))]
    public void EveryCallComesBackFromItsDocument(Call call) => Assert.Equal(call, CallParts.ToCall(CallParts.From(call)));

    [Fact]
    public void EveryTypeOfCallIsTried() =>
        Assert.Equal(typeof(Call).Assembly.GetTypes().Where(t => t.IsSubclassOf(typeof(Call))).Select(t => t.Name).Order(),
            OneOfEach.Select(d => d.Data.GetType().Name).Distinct().Order());

    [Theory]
    [InlineData("rate", "{}", "needs spm")]
    [InlineData("shift", "{\"to\":\"7\"}", "cannot have to")]
    [InlineData("song", "{}", "no call of type")]
    public void APartThatStatesNoCallIsRefused(string type, string fields, string sentence)
    {
        var p = new CallPart { Id = 0, T = 0, TSd = 0, Type = type, Confidence = 1, Words = "", Cue = 0 };
        if (JsonDocument.Parse(fields).RootElement.TryGetProperty("to", out var to))
        {
            p = p with { To = to.GetString() };
        }

        Assert.Contains(sentence, Assert.Throws<ExchangeException>(() => CallParts.ToCall(p)).Message);
    }

    // The names and fields of the labelled races: every label must be a call that documents can state.
    [Fact]
    public void EveryLabelOfTheRacesIsACall()
    {
        string root = AppContext.BaseDirectory;
        while (!File.Exists(Path.Combine(root, "Stakeboat.slnx")))
        {
            root = Path.GetDirectoryName(root)!;
        }

        var options = new JsonSerializerOptions(JsonSerializerDefaults.Web);
        int n = 0;
        foreach (var file in Directory.GetFiles(Path.Combine(root, "data", "corpus"), "calls.jsonl", SearchOption.AllDirectories))
        {
            foreach (var line in File.ReadLines(file))
            {
                var node = System.Text.Json.Nodes.JsonNode.Parse(line)!.AsObject();
                foreach (var (key, value) in new (string, System.Text.Json.Nodes.JsonNode)[] { ("id", 0), ("tSd", 0), ("confidence", 1), ("words", ""), ("cue", 0) })
                {
                    node[key] = value;
                }

                var part = node.Deserialize<CallPart>(options)!;
                Assert.Equal(part.Type, CallParts.TypeName(CallParts.ToCall(part)));
                n++;
            }
        }

        Assert.True(n > 1000, $"{n} labels");
    }
}
