using Stakeboat.Core.Calls.Context;
using Stakeboat.Core.Calls.Grammar;
using Stakeboat.Core.Calls.Lattice;

namespace Stakeboat.Core.Tests.Calls;

/// <summary>The best cover (Viterbi) and shares (forward and backward sums) against every way written out.</summary>
public class CoverCertified
{
    [Fact]
    public void BestWayAndSharesAreThoseOfAllWays()
    {
        var graph = WordGraph.Build(3, [new(0, 1, ["up"], -1, 0, true), new(1, 2, ["two"], -1, 0, true), new(2, 3, ["seats"], -1, 0, true)]);
        Offer Make(int from, int to, int n) => new(graph.Boundary(from), graph.Boundary(to), new Draft(new Core.Calls.CountCall(n), -1, false),
            new Match(graph.Boundary(from), graph.Boundary(to), new Rule("count", 0, new WordPart("x"), 1, "count0"), null, 0, from, to - 1, to - from));
        Offer a = Make(0, 2, 1), b = Make(1, 2, 2), c = Make(1, 3, 3);
        var scores = new Dictionary<Offer, double> { [a] = 0.4, [b] = -0.3, [c] = 0.7 };
        var cover = new Cover(graph, scores.Select(s => (s.Key, s.Value)), 1);
        // Ways: plain; a; b; c. Plain words cost nothing here.
        double all = 1 + Math.Exp(0.4) + Math.Exp(-0.3) + Math.Exp(0.7);
        Assert.Equal(c, cover.Path.Single(e => e.Offer is not null).Offer);
        foreach (var (offer, score) in scores)
        {
            Assert.Equal(Math.Exp(score) / all, cover.Share(offer, score), 9);
        }
    }
}
