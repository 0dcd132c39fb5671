using CsCheck;
using Stakeboat.Exchange.Corrections;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Exchange.Tests;

public class CorrectionDocumentTests
{
    private static readonly Gen<string> s_text = Gen.String[Gen.Char['a', 'z'], 1, 20];

    private static readonly Gen<CorrectionDocument> s_any = Gen.OneOf(
        Gen.Double[0, 9000].Select(t => new CorrectionDocument { Start = new StartCorrectionPart(t) }),
        Gen.Select(s_text, Gen.Int[0, 20], (c, l) => new CorrectionDocument { Lane = new LaneCorrectionPart(c, l) }),
        Gen.Select(s_text, s_text, Gen.Bool, (a, b, missing) => new CorrectionDocument { Crew = new CrewCorrectionPart(missing ? null : a, b) }),
        Gen.Double[100, 20_000].Select(m => new CorrectionDocument { Distance = new DistanceCorrectionPart(m) }),
        Gen.Select(Gen.Bool, Gen.Double[-100, 100], (m, s) => new CorrectionDocument { Clock = new ClockCorrectionPart(m ? "motion" : "satellite", s) }),
        Gen.Select(Gen.Double[0, 9000], s_text, Gen.Bool, (t, heard, none) => new CorrectionDocument
        {
            Call = new CallCorrectionPart(t, heard, Rate(t, 34), none ? null : Rate(t, 36), none ? null : t + 1, none ? null : heard + " truly"),
        }));

    private static CallPart Rate(double t, double spm) => new() { Id = 3, T = t, TSd = 0.5, Type = "rate", Confidence = 0.8, Words = "thirty four", Cue = 2, Spm = spm, Sense = "now" };

    [Fact]
    public void WhatIsWrittenIsReadBack() =>
        s_any.Sample(d =>
        {
            string text = CorrectionJson.Write(d);
            Assert.Equal(text, CorrectionJson.Write(CorrectionJson.Read(text)));
            Assert.Equal(d.Kind, CorrectionJson.Read(text).Kind);
        });

    [Fact]
    public void TheFirstVersionIsReadForEver()
    {
        var d = CorrectionJson.Read("""
            {"schema":"stakeboat.correction","version":1,"call":{"at":81.5,"heard":"and bill","was":{"id":4,"t":81.5,"tSd":0.4,"type":"move","confidence":0.5,"words":"and bill","cue":3,"strokes":5,"others":[]},"is":{"id":4,"t":81.5,"tSd":0.4,"type":"move","confidence":1,"words":"and bill","cue":3,"strokes":10,"others":[]},"moved":82,"said":"anvil"}}
            """);
        Assert.Equal(("call", 81.5, "anvil", 10, 82.0), (d.Kind, d.Call!.At, d.Call.Said, d.Call.Is!.Strokes, d.Call.Moved));
        Assert.Equal(1000, CorrectionJson.Read("""{"schema":"stakeboat.correction","version":1,"distance":{"metres":1000}}""").Distance!.Metres);
    }

    [Theory]
    [InlineData("")]
    [InlineData("null")]
    [InlineData("{}")]
    [InlineData("[]")]
    [InlineData("""{"schema":"stakeboat.correction","version":1}""")]
    [InlineData("""{"schema":"stakeboat.correction","version":2,"distance":{"metres":1000}}""")]
    [InlineData("""{"schema":"stakeboat.debrief","version":1,"distance":{"metres":1000}}""")]
    [InlineData("""{"schema":"stakeboat.correction","version":1,"distance":{"metres":"long"}}""")]
    [InlineData("""{"schema":"stakeboat.correction","version":1,"distance":{"metres":1000},"extra":true}""")]
    public void WhatIsNoCorrectionIsRefusedInWords(string json)
    {
        var e = Assert.Throws<ExchangeException>(() => CorrectionJson.Read(json));
        Assert.EndsWith(".", e.Message.Trim());
    }
}
