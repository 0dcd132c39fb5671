using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;

namespace Stakeboat.Words.Tests;

public class TwoTracksTests
{
    private static Instant<RecordingClock> At(double t) => Instant<RecordingClock>.FromSeconds(t);

    private static CaptionTrack Timed(string name, params (double T, string Text, double? P)[] words) => new(
        name, CaptionTiming.Words, [.. words.Select(w => new CaptionCue(At(w.T), At(w.T + 0.3), w.Text, [new CaptionWord(w.Text, At(w.T), At(w.T + 0.3), w.P)]))]);

    private static CaptionTrack Cues(string name, params (double From, double To, string Text)[] cues) => new(
        name, CaptionTiming.Cues, [.. cues.Select(c => new CaptionCue(At(c.From), At(c.To), c.Text, []))]);

    private static List<CaptionWord> Words(CaptionTrack t) => [.. t.Cues.SelectMany(c => c.Words)];

    [Fact]
    public void AgreementIsSurer_ADifferenceIsAnAlternative_TimesComeFromWhoHasThem()
    {
        var brought = Cues("captions.srt", (10, 12, "Up too seats!"));
        var ours = Timed("ours", (10.2, "up", 0.9), (10.6, "two", 0.6), (11.2, "seats", 0.8));
        var words = Words(TwoTracks.Join(brought, ours));
        Assert.Equal(["up", "too", "seats"], words.Select(w => w.Text));
        Assert.Equal([10.2, 10.6, 11.2], words.Select(w => Math.Round(w.Start.Seconds, 3)));
        Assert.Equal(0.97, words[0].Probability!.Value, 9);
        Assert.Equal("two", Assert.Single(words[1].Alternatives!).Text);
        Assert.True(words[1].Probability + words[1].Alternatives![0].Probability <= 1.001);
    }

    [Fact]
    public void TheSurerWordStands()
    {
        var words = Words(TwoTracks.Join(Timed("a", (1, "free", 0.2)), Timed("b", (1.1, "three", 0.9))));
        Assert.Equal("three", Assert.Single(words).Text);
        Assert.Equal("free", Assert.Single(words[0].Alternatives!).Text);
    }

    [Fact]
    public void WhatOnlyTheSecondHasIsPutIntoTheFirstOnesSilence_AndNowhereElse()
    {
        var first = Timed("a", (1, "level", 0.8), (20, "settle", 0.8));
        var second = Timed("b", (1.0, "level", 0.8), (1.5, "um", 0.3), (10, "power", 0.7), (10.4, "ten", 0.7), (20, "settle", 0.8));
        Assert.Equal(["level", "power", "ten", "settle"], Words(TwoTracks.Join(first, second)).Select(w => w.Text));
    }

    [Fact]
    public void ALineMissedInTheMiddleDoesNotShiftTheRest()
    {
        // Five hundred words a second apart; the second track lacks every seventh: all others must find their own.
        (double, string, double?)[] all = [.. Enumerable.Range(0, 500).Select(i => ((double)i, "w" + i, (double?)0.5))];
        var words = Words(TwoTracks.Join(Timed("a", all), Timed("b", [.. all.Where((_, i) => i % 7 != 3)])));
        Assert.Equal(500, words.Count);
        Assert.All(words, w => Assert.Null(w.Alternatives));
        Assert.Equal(Enumerable.Range(0, 500).Select(i => i % 7 != 3 ? 0.75 : 0.5), words.Select(w => w.Probability!.Value));
    }

    [Fact]
    public void NothingJoinsWithNothing() => Assert.Empty(TwoTracks.Join(Timed("a"), Timed("b")).Cues);
}
