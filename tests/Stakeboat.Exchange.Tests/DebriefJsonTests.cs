using System.Text;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Exchange.Tests;

public class DebriefJsonTests
{
    internal static DebriefDocument Small() => new()
    {
        Engine = "0.1.0",
        Name = "evening race",
        Us = new CrewPart("Alder", true, 2, "8+", 17.6, 4.2, 1.4, 8, 15.4),
        Crews = [new CrewPart("Alder", true, 2, "8+", 17.6, 4.2, 1.4, 8, 15.4), new CrewPart("Birch", false, 3, "8+", 17.6, 4.2, 1.4, 8, 15.4)],
        LaneWidth = 13.5,
        Clock = new ClockPart("recording", 60, 0.3, "heard", null, null, null, 2000, 0, 500),
        Sources = [new SourcePart("captions", "captions.vtt", true, "")],
        Issues = [],
        MoreWouldGive = [],
        Called = new CalledPart("captions.vtt", "cues", [new CuePart(61, 63, "up two seats", [1], null)],
            [new CallPart { Id = 1, T = 63, TSd = 0.4, Type = "margin", Confidence = 0.9, Words = "up two seats", Cue = 0, Our = "boat", Seats = 2, Side = "ahead", OpenWater = false }], null),
        Margins = [new MarginPart("Birch", 3, 60, [0, 0.1], [0.2, 0.2], [-0.3, -0.2], [0.3, 0.4])],
        Evidence = [],
        Moves = [],
        Findings = [],
    };

    [Fact]
    public void WhatIsWrittenIsReadBack()
    {
        var bytes = DebriefJson.Write(Small());
        var again = DebriefJson.Write(DebriefJson.Read(bytes));
        Assert.Equal(Encoding.UTF8.GetString(bytes), Encoding.UTF8.GetString(again));
        Assert.Contains("\"seats\":2", Encoding.UTF8.GetString(bytes));
    }

    [Fact]
    public void ALaterVersionIsRefusedWithItsNumber()
    {
        var text = Encoding.UTF8.GetString(DebriefJson.Write(Small())).Replace("\"version\":1", "\"version\":99");
        var e = Assert.Throws<ExchangeException>(() => DebriefJson.Read(Encoding.UTF8.GetBytes(text)));
        Assert.Contains("99", e.Message);
    }

    [Theory]
    [InlineData("{}")]
    [InlineData("{\"schema\":\"something else\",\"version\":1}")]
    [InlineData("[1,2]")]
    [InlineData("")]
    [InlineData("{\"schema\":\"stakeboat.debrief\",\"version\":1}")]
    public void WhatIsNoDebriefIsRefusedWithASentence(string text) =>
        Assert.Throws<ExchangeException>(() => DebriefJson.Read(Encoding.UTF8.GetBytes(text)));
}
