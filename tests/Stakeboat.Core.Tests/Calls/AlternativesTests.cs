using Stakeboat.Core.Calls;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Tests.Calls;

/// <summary>What a recogniser thought of besides its best words reaches the calls.</summary>
public class AlternativesGolden
{
    private static Instant<RecordingClock> At(double t) => Instant<RecordingClock>.FromSeconds(t);

    private static List<Call> Read(params (string Text, double P, WordAlternative[] Others)[] words)
    {
        List<CaptionWord> spoken = [.. words.Select((w, i) => new CaptionWord(w.Text, At(60 + 0.4 * i), At(60.35 + 0.4 * i), w.P, w.Others.Length > 0 ? w.Others : null))];
        var cue = new CaptionCue(At(60), spoken[^1].End, string.Join(' ', words.Select(w => w.Text)), spoken);
        return [.. new CallDecoder().Decode(new CaptionTrack("x", CaptionTiming.Words, [cue]), null).Calls.Select(c => c.Call)];
    }

    [Fact]
    public void AnAlternativeOfAnotherSoundIsTaken_WhereItAloneMakesACall()
    {
        Assert.DoesNotContain(Read(("we're", 0.9, []), ("at", 0.9, []), ("thirty", 0.9, []), ("wind", 0.4, [])), c => c is RateCall { Spm: 34 });
        Assert.Contains(Read(("we're", 0.9, []), ("at", 0.9, []), ("thirty", 0.9, []), ("wind", 0.4, [new WordAlternative("four", 0.39)])), c => c is RateCall { Spm: 34 });
    }

    [Fact]
    public void AnUnlikelyAlternativeChangesNothing() =>
        Assert.Contains(Read(("we're", 0.9, []), ("at", 0.9, []), ("thirty", 0.95, []), ("six", 0.95, [new WordAlternative("one", 0.05)])), c => c is RateCall { Spm: 36 });
}
