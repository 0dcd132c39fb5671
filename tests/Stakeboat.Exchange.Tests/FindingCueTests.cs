using Stakeboat.Core.Debrief;
using Stakeboat.Core.Plans;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Exchange.Tests;

/// <summary>A finding sent on as a cue is a line that the plan's own compiler takes.</summary>
public class FindingCueTests
{
    private const string Plan = """
        race     Next race
        boat     8+
        distance 2000 m
        pace     1:34
        rate     35
        rivals   Saltmarsh, Wyndrush

        start: 1/2 3/4 full full at 40
        settle 5 strokes to 35
        base
        sprint last 300 m at 37


        """;

    public static TheoryData<FindingKind, string, double> Kinds => new()
    {
        { FindingKind.CueMissed, "five for catches", 750 }, { FindingKind.OurMove, "Wyndrush", 1.2 }, { FindingKind.RivalMove, "Saltmarsh", 1 },
        { FindingKind.AnswerDelay, "Wyndrush", 9 }, { FindingKind.SprintBegan, "", 210 }, { FindingKind.TechnicalCalls, "Catch", 0.1 },
        { FindingKind.SegmentTime, "base", 2 }, { FindingKind.DistanceCalls, "", 12 }, { FindingKind.Line, "", 9 }, { FindingKind.Silence, "", 31 },
    };

    [Theory]
    [MemberData(nameof(Kinds))]
    public void TheCueIsALineOfThePlansLanguage(FindingKind kind, string subject, double value)
    {
        var finding = new Finding(kind, value, value / 2, value * 2, 4, 1, subject, [new Evidence(200, 220, null)]);
        string cue = FindingWords.Cue(finding, 640)!;
        var before = PlanCompiler.Compile(Plan);
        var after = PlanCompiler.Compile(Plan + cue + "\n");
        Assert.DoesNotContain(after.Issues, i => i.Severity == PlanSeverity.Error);
        Assert.Equal(before.Plan!.Cues.Count + 1, after.Plan!.Cues.Count);
    }

    [Fact]
    public void ANameThatWouldBreakTheLineIsMadePlain()
    {
        string cue = FindingWords.Cue(new Finding(FindingKind.CueMissed, 500, 500, 500, 1, 1, "ten: \"go\"\n# now", []), null)!;
        Assert.DoesNotContain('\n', cue);
        Assert.DoesNotContain(PlanCompiler.Compile(Plan + cue).Issues, i => i.Severity == PlanSeverity.Error);
    }
}
