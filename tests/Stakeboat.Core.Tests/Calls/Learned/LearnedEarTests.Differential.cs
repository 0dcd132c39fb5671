using System.Globalization;
using System.Text.Json;
using Stakeboat.Core.Calls;
using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Tests.Calls.Learned;

/// <summary>
/// The library's forward pass against the training framework's, on the committed samples of oracles/ear (written by export.py with
/// the same rounded weights; the versions that ran stand in the file).
/// </summary>
public sealed class LearnedEarDifferentialTests
{
    private static readonly Lazy<JsonDocument> Samples = new(() => JsonDocument.Parse(File.ReadAllText(Path.Combine(Root(), "oracles", "ear", "samples.json"))));

    internal static string Root()
    {
        var d = AppContext.BaseDirectory;
        while (d is not null && !File.Exists(Path.Combine(d, "Stakeboat.slnx")))
        {
            d = Path.GetDirectoryName(d);
        }

        return d ?? throw new InvalidOperationException("No solution above the tests.");
    }

    [Fact]
    public void Proposals_agree_with_the_training_framework_to_a_thousandth()
    {
        var compared = 0;
        double worst = 0;
        foreach (var sample in Samples.Value.RootElement.GetProperty("samples").EnumerateArray())
        {
            var (tokens, context) = Input(sample);
            var mine = new Dictionary<(int, string), EarProposal>();
            foreach (var p in LearnedEar.Default.Propose(tokens, context))
            {
                mine[(p.Token, TypeName(p.Type))] = p;
            }

            foreach (var theirs in sample.GetProperty("proposals").EnumerateArray())
            {
                var present = theirs.GetProperty("present").GetDouble();
                var key = (theirs.GetProperty("token").GetInt32(), theirs.GetProperty("type").GetString()!);
                if (!mine.TryGetValue(key, out var p))
                {
                    // At the edge of what is looked at a proposal may stand on one side only.
                    Assert.True(present < .031, $"{key} with {present} is missing");
                    continue;
                }

                compared++;
                worst = Math.Max(worst, Math.Abs(p.Present - present));
                worst = Math.Max(worst, Math.Abs(p.Fields - theirs.GetProperty("fields").GetDouble()));
                SameCall(p, theirs.GetProperty("call"), key.ToString());
            }
        }

        Assert.True(compared > 100, $"only {compared} compared");
        Assert.True(worst < 1e-3, $"differs by {worst}");
    }

    private static void SameCall(EarProposal mine, JsonElement theirs, string where)
    {
        // Where two readings are all but equally likely either may win by rounding.
        if (mine.Fields < .3)
        {
            return;
        }

        switch (mine.Call)
        {
            case MarginCall m:
                Text(m.Crew, "crew");
                Text(m.Our, "our");
                Text(m.Their, "their");
                Number(m.Seats, "seats");
                Number(m.Lengths, "lengths");
                Number(m.Metres, "metres");
                Assert.Equal(theirs.GetProperty("openWater").GetBoolean(), m.OpenWater);
                Text(m.Side?.ToString().ToLowerInvariant(), "side");
                break;
            case WantCall w:
                Text(w.Crew, "crew");
                break;
            case TrendCall t:
                Text(t.Crew, "crew");
                Text(t.Who == Who.Us ? "us" : "them", "who");
                break;
            case RateCall r:
                Number(r.Spm, "spm");
                break;
            case RateChangeCall r:
                Number(r.By, "by");
                break;
            case DistanceCall d:
                Number(d.Metres, "metres");
                Text(d.Sense == DistanceSense.Gone ? "gone" : "left", "sense");
                break;
            case PaceCall p:
                Number(p.SecPer500, "secPer500");
                break;
            case CountCall c:
                Number(c.N, "n");
                break;
            case CommandCall c:
                Text(c.Who, "who");
                break;
        }

        void Text(string? value, string field) =>
            Assert.Equal((where, field, theirs.GetProperty(field).GetString()), (where, field, value));

        void Number(double? value, string field)
        {
            var e = theirs.GetProperty(field);
            Assert.Equal((where, field, e.ValueKind == JsonValueKind.Null), (where, field, value is null));
            if (value is { } v)
            {
                Assert.True(Math.Abs(v - e.GetDouble()) < .02, $"{where} {field} {v.ToString(CultureInfo.InvariantCulture)} {e}");
            }
        }
    }

    internal static string TypeName(EarType t) => JsonNamingPolicy.CamelCase.ConvertName(t.ToString());

    private static (List<CallToken> Tokens, EarContext Context) Input(JsonElement s)
    {
        var words = s.GetProperty("words");
        var tokens = new List<CallToken>();
        for (var i = 0; i < words.GetArrayLength(); i++)
        {
            tokens.Add(new CallToken(words[i].GetString()!, s.GetProperty("breaks")[i].GetBoolean(), s.GetProperty("cues")[i].GetInt32()));
        }

        List<string> crews = [.. s.GetProperty("crews").EnumerateArray().Select(c => c.GetString()!)];
        List<string> names = [.. s.GetProperty("names").EnumerateArray().Select(c => c.GetString()!)];
        var distance = s.GetProperty("distance");
        return (tokens, new EarContext(
            s.GetProperty("us").GetString(), crews, s.GetProperty("talkOf").GetString(), s.GetProperty("phase").GetString(), names,
            s.GetProperty("seats").GetInt32(), distance.ValueKind == JsonValueKind.Null ? null : distance.GetDouble()));
    }
}
