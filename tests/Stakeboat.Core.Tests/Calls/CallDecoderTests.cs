using Stakeboat.Core.Calls;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Tests.Calls;

public class CallDecoderGolden
{
    private static readonly CallDecoder Ear = new();

    private static List<Call> Read(string heard, string? talkOf = "Larkmoor", string phase = "race") =>
        [.. Ear.DecodeLines([new PhraseLine(heard, ["Larkmoor", "Tannery"], talkOf, phase, null)]).Select(c => c.Call)];

    [Fact]
    public void ASeatMarkIsHeardThroughMishearing() =>
        Assert.Contains(Read("I'm on their treaty."), c => c is MarginCall { Our: "cox", Their: "3", Crew: "Larkmoor" });

    [Fact]
    public void TheBowBallIsHeard() => Assert.Contains(Read("Our bubble on their six."), c => c is MarginCall { Our: "bow", Their: "6" });

    [Fact]
    public void ALengthAndAQuarterUpOnANamedCrew() =>
        Assert.Contains(Read("We're a length and a quarter up on Tannery."), c => c is MarginCall { Lengths: 1.25, Side: Side.Ahead, Crew: "Tannery" });

    [Fact]
    public void TheMirrorIsHeard() => Assert.Contains(Read("They're on our four seat."), c => c is MarginCall { Mirror: true, Our: "4", Their: null });

    [Fact]
    public void SideTurnsWithTheSubject() =>
        Assert.Contains(Read("Tannery are two seats up on us."), c => c is MarginCall { Seats: 2, Side: Side.Behind, Crew: "Tannery" });

    [Fact]
    public void ARateWithAHalf() => Assert.Contains(Read("Rate's thirty four and a half."), c => c is RateCall { Spm: 34.5, Sense: RateSense.Now });

    [Fact]
    public void DistanceLeft() => Assert.Contains(Read("Last 500."), c => c is DistanceCall { Metres: 500, Sense: DistanceSense.Left });

    [Fact]
    public void WeighEnoughUnderAnotherName() => Assert.Contains(Read("Wayne off.", null, "practice"), c => c is CommandCall { Do: Deed.Stop });

    [Fact]
    public void CountsGoUp() => Assert.Equal([1, 2, 3], Read("One. Two. Three.").OfType<CountCall>().Select(c => c.N));

    [Fact]
    public void IdleTalkGivesNoPosition() =>
        Assert.DoesNotContain(Read("Who has my water bottle, the blue one with five stickers?", null, "practice"), c => c is MarginCall or TrendCall or WantCall);

    [Fact]
    public void ManyThreadsMayHearAtOnce()
    {
        var alone = Read("I'm on Tannery's five, walking away.");
        var all = new List<Call>[16];
        Parallel.For(0, all.Length, i => all[i] = [.. (i % 2 == 0 ? Ear : new CallDecoder()).DecodeLines([new PhraseLine("I'm on Tannery's five, walking away.", ["Larkmoor", "Tannery"], "Larkmoor", "race", null)]).Select(c => c.Call)]);
        Assert.All(all, calls => Assert.Equal(alone, calls));
    }

    [Fact]
    public void TheSameInputGivesTheSameCalls() => Assert.Equal(Read("Up two seats on Tannery, walking."), Read("Up two seats on Tannery, walking."));
}

public class CallTrackProperties
{
    private static readonly CallDecoder Ear = new();

    private static Instant<RecordingClock> T(double s) => Instant<RecordingClock>.FromSeconds(s);

    private static CaptionTrack Track(IEnumerable<(double From, double To, string Text)> cues) =>
        new("test", CaptionTiming.Cues, [.. cues.Select(c => new CaptionCue(T(c.From), T(c.To), c.Text, []))]);

    [Fact]
    public void ShiftingTheClockShiftsTheCalls()
    {
        (double, double, string)[] cues = [(1, 3, "Half, three quarter, full."), (5, 7, "Rate's thirty eight."), (9, 12, "Last five hundred.")];
        var a = Ear.Decode(Track(cues), null).Calls;
        var b = Ear.Decode(Track(cues.Select(c => (c.Item1 + 100, c.Item2 + 100, c.Item3))), null).Calls;
        Assert.NotEmpty(a);
        Assert.Equal(a.Select(c => c.Call), b.Select(c => c.Call));
        Assert.All(a.Zip(b), p => Assert.Equal(100, p.Second.At.Seconds - p.First.At.Seconds, 6));
    }

    [Fact]
    public void InventedAndRepeatedTextIsSetAsideVisibly()
    {
        var r = Ear.Decode(Track([(0, 2, "Thanks for watching!"), (3, 5, "ready all row now please"), (6, 8, "ready all row now please"), (9, 11, "ready all row now please"), (12, 14, "ready all row now please")]), null);
        Assert.Contains(r.Aside, a => a.Why == SetAsideWhy.Invented);
        Assert.Contains(r.Aside, a => a.Why == SetAsideWhy.Repeated);
    }

    [Fact]
    public void AnotherLanguageGivesNoRace()
    {
        string text = "und dann sind wir gestern abend noch nach hause gefahren weil das wetter leider schlecht wurde und niemand mehr bleiben wollte obwohl wir eigentlich noch zwei stunden rudern wollten";
        var r = Ear.Decode(Track(Enumerable.Range(0, 40).Select(i => (10.0 * i, (10.0 * i) + 9, text[(i % 7)..]))), null);
        Assert.Empty(r.Calls);
        Assert.NotEmpty(r.Aside);
    }

    [Fact]
    public void NumbersAloneGiveNoRace()
    {
        var r = Ear.Decode(Track(Enumerable.Range(0, 200).Select(i => (3.0 * i, (3.0 * i) + 2, $"{(i * 37) % 91} {(i * 53) % 47} {(i * 11) % 29}"))), null);
        Assert.Empty(r.Calls);
        Assert.All(r.Aside, a => Assert.Equal(SetAsideWhy.NumbersOnly, a.Why));
    }

    [Fact]
    public void TenMegabytesOnOneLineAreSetAside()
    {
        var r = Ear.Decode(Track([(0, 20, string.Concat(Enumerable.Repeat("up two seats on them walking ", 10_000_000 / 29)))]), null);
        Assert.Empty(r.Calls);
        Assert.Contains(r.Aside, a => a.Why == SetAsideWhy.TooFast);
    }

    [Fact]
    public void SixHoursOfTalkHoldNoRace()
    {
        string[] talk = ["so we went to the shop and bought some bread and cheese for the children", "I told her it was fine but she was not so sure about it at all", "the weather has been lovely this week and the garden looks nice"];
        var r = Ear.Decode(Track(Enumerable.Range(0, 2160).Select(i => (10.0 * i, (10.0 * i) + 8, talk[i % 3] + (i % 2 == 0 ? " today" : "") + (i % 5 == 0 ? " indeed" : "")))), null);
        Assert.True(r.Calls.Count(c => c.Call is MarginCall or RateCall or ShiftCall && c.Confidence > 0.6) < 30);
    }

    [Fact]
    public void CorrectionsAreAppliedAgainAfterEveryRun()
    {
        var track = Track([(0, 2, "Rate's thirty four."), (5, 8, "Last five hundred."), (10, 12, "Weigh enough.")]);
        var first = Ear.Decode(track, null);
        var rate = first.Calls.Single(c => c.Call is RateCall);
        var stop = first.Calls.First(c => c.Call is CommandCall);
        var context = CallContext.None with
        {
            Corrections =
            [
                new CallCorrection(rate.At, rate.Words, rate.Call, new RateCall(35, RateSense.Now)), new CallCorrection(stop.At, stop.Words, stop.Call, null),
                new CallCorrection(T(6), "five hundred", null, new MarginCall("Tannery", "boat", null, 2, null, null, false, Side.Ahead)),
                new CallCorrection(T(6), "words that are not there", null, new SpiritCall()),
            ],
        };
        for (int run = 0; run < 2; run++)
        {
            var again = Ear.Decode(track, null, context);
            Assert.Contains(again.Calls, c => c.Call is RateCall { Spm: 35 } && c.Confidence == 1);
            Assert.DoesNotContain(again.Calls, c => c.Call == stop.Call && Math.Abs(c.At.Seconds - stop.At.Seconds) < 1);
            Assert.Contains(again.Calls, c => c.Call is MarginCall { Crew: "Tannery" });
            Assert.Equal([CorrectionFate.Applied, CorrectionFate.Applied, CorrectionFate.Applied, CorrectionFate.NotFound], again.Corrections.Select(o => o.Fate));
        }
    }

    [Fact]
    public void CorrectionsTeachTheCrewsLexicon()
    {
        var learned = CrewLexicon.Learn([new CallCorrection(T(1), "hard a ladder in two", null, null, Said: "harder anvil in two"), new CallCorrection(T(9), "now a ladder", null, null, Said: "now anvil")]);
        Assert.Contains(learned, w => w is { Heard: "a ladder", Said: "anvil" });
    }

    [Fact]
    public void TalkIsCounted()
    {
        var r = Ear.Decode(Track([(0, 2, "Rate's thirty four."), (30, 32, "Rate's thirty four."), (40, 43, "One. Two. Three.")]), null);
        Assert.Equal(43, r.Talk.Seconds, 0);
        Assert.True(r.Talk.LongestSilence.Max() > 20);
        Assert.InRange(r.Talk.CountingShare, 0.3, 0.9);
    }
}

public class CallCourseProperties
{
    private static readonly CallDecoder Ear = new();

    [Fact]
    public void RivalReadingsShareWhatTheChosenOneLeaves()
    {
        var calls = Ear.DecodeLines(
            [.. new[] { "I'm on their treaty.", "Up to on Larkmoor.", "Bubble on the sex.", "They're on are for.", "Down a half on Tannery.", "Last tend to go." }.Select(t => new PhraseLine(t, ["Larkmoor", "Tannery"], "Larkmoor", "race", null))]);
        Assert.Contains(calls, c => c.Others.Count > 0);
        Assert.All(calls, c => Assert.InRange(c.Confidence + c.Others.Sum(o => o.Probability), 0, 1 + 1e-9));
        Assert.All(calls, c => Assert.DoesNotContain(c.Others, o => o.Call == c.Call));
        Assert.All(calls, c => Assert.Equal(c.Others.OrderByDescending(o => o.Probability), c.Others));
    }
}

public class TreesCertified
{
    /// <summary>Two trees worked by hand.</summary>
    [Theory]
    [InlineData(1, 5, -0.5 + 0.25 + 2)]
    [InlineData(3, 5, -0.5 - 1 + 2)]
    [InlineData(float.NaN, 5, -0.5 - 1 + 2)]
    [InlineData(1, float.NaN, -0.5 + 0.25 - 2)]
    [InlineData(1, 9, -0.5 + 0.25 - 2)]
    public void LeavesAddUp(float a, float b, double sum)
    {
        const string Text = "# two trees\nbase -0.5\ntree\n0 2 0 1 2\nleaf 0.25\nleaf -1\ntree\n1 7.5 0 1 2\nleaf 2\nleaf -2\n";
        Assert.Equal(sum, Stakeboat.Core.Calls.Context.Trees.Read(new StringReader(Text))!.Of([a, b]), 6);
    }
}
