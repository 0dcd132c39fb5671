using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Calls.Context;

/// <summary>Tells how the calls near one second came about.</summary>
internal static class Explaining
{
    private const double Reach = 4;

    public static CallExplanation At(CallDecoder decoder, CaptionTrack captions, RaceSheet? sheet, double second)
    {
        var aside = SettingAside.Find(captions, decoder.Models);
        var near = aside.Where(a => a.From.Seconds <= second + Reach && a.To.Seconds >= second - Reach).ToList();
        var words = new List<WordExplanation>();
        var offers = new List<OfferExplanation>();
        var spoken = TrackReader.Words(captions, aside.Select(a => a.CueIndex).ToHashSet());
        var setting = TrackReader.SettingOf(sheet, CallContext.None);
        (string? Phase, string? TalkOf) state = (null, null);
        foreach (var (at, part) in TrackReader.Parts(spoken.Tokens))
        {
            var (graph, matches) = decoder.Lay(part, setting);
            var hearing = new Hearing(graph, matches, part, setting, decoder);
            var read = hearing.Best();
            Instant<RecordingClock> T(int token) => Instant<RecordingClock>.FromSeconds(spoken.To[at + token]);
            if (T(0).Seconds <= second + Reach && T(part.Count - 1).Seconds >= second - Reach)
            {
                state = (setting.Phase, setting.TalkOf);
                foreach (int k in Enumerable.Range(0, part.Count).Where(k => Math.Abs(T(k).Seconds - second) <= Reach))
                {
                    words.Add(new WordExplanation(T(k), part[k].Text,
                        [.. graph.From(graph.Boundary(k)).OrderByDescending(a => a.LogShare).Take(4).Select(a => (a.Word, Math.Exp(a.LogShare)))]));
                }

                offers.AddRange(read.Where(r => Math.Abs(T(r.LastToken).Seconds - second) <= Reach)
                    .Select(r => new OfferExplanation(T(r.LastToken), r.Call, r.Score, r.Pattern, [], true)));
                if (decoder.Models.Weights is { } weights)
                {
                    var said = new Dictionary<Offer, List<string>>(ReferenceEqualityComparer.Instance);
                    hearing.Offered((o, n) => said[o] = n);
                    offers.AddRange(hearing.Standing().Where(o => Math.Abs(T(o.Match.LastToken).Seconds - second) <= Reach)
                        .Select(o => new OfferExplanation(T(o.Match.LastToken), o.Draft.Call, o.Score, o.Match.Rule.Id + ":" + o.Match.Rule.Line.ToString(System.Globalization.CultureInfo.InvariantCulture), weights.Strongest(said[o], 5), false))
                        .OrderByDescending(p => p.Score).DistinctBy(p => (p.At, p.Call)).Take(8));
                }
            }

            setting = setting.After(read);
        }

        return new CallExplanation(state.Phase, state.TalkOf, words, offers, near);
    }
}
