using Stakeboat.Core.Calls.Grammar;
using Stakeboat.Core.Calls.Lattice;
using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Calls.Context;

/// <summary>The one decoder: offers of the grammar over the graph, looked at twice, covered, settled.</summary>
internal sealed class Hearing(WordGraph graph, List<Match> matches, IReadOnlyList<CallToken> tokens, Setting setting, CallDecoder decoder)
{
    /// <summary>Log odds for a word to which the crew itself gave a meaning and that was heard to the letter (a judgement, no source).</summary>
    private const double OwnWord = 3;

    private List<Offer>? _offers;
    private Evidence? _evidence;

    /// <summary>Offers scored at the first look.</summary>
    public List<Offer> Offered(Action<Offer, List<string>>? names = null)
    {
        if (_offers is null || names is not null)
        {
            _offers ??= Offers.Of(matches, tokens, setting);
            _evidence = FirstLook.Look(graph, matches, _offers, tokens, setting, decoder.Models.Weights, names);
        }

        return _offers;
    }

    /// <summary>Offers that stand, scored at the second look.</summary>
    public List<Offer> Standing(Action<Offer, float[]>? numbers = null)
    {
        var offered = Offered();
        return SecondLook.Look(graph, _evidence!, offered, setting, decoder.Eagerness, decoder.PathWeight, decoder.Models.Second, numbers);
    }

    /// <summary>The best cover, with crews settled.</summary>
    public List<Reading> Best()
    {
        if (decoder.Models.Weights is null)
        {
            var byHand = Offers.Of(matches, tokens, setting);
            foreach (var o in byHand)
            {
                o.Score = o.ByHand;
            }

            return SpokenOf.Settle(new Cover(graph, byHand.Select(o => (o, o.Score)), 1), byHand, 0, setting, true);
        }

        var standing = Standing();
        foreach (var o in standing.Where(o => HoldsOwnWord(o.Match)))
        {
            o.Score += OwnWord;
        }

        return SpokenOf.Settle(new Cover(graph, standing.Select(o => (o, o.Score + decoder.Eagerness)), decoder.PathWeight), standing, decoder.Eagerness, setting, decoder.RawScores);
    }

    private bool HoldsOwnWord(Match match) => setting.Own.Any(w =>
    {
        var heard = w.Heard.Split(' ');
        return Enumerable.Range(match.FirstToken, match.LastToken - match.FirstToken + 1)
            .Any(t => t + heard.Length <= tokens.Count && heard.Select((word, k) => tokens[t + k].Text == word).All(same => same));
    });
}
