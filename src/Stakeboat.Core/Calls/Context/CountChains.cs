using Stakeboat.Core.Calls.Grammar;

namespace Stakeboat.Core.Calls.Context;

/// <summary>Counts go up by one: a number with its neighbour below or above it close by is likely a counted stroke.</summary>
internal sealed class CountChains
{
    private const int Reach = 9;
    private readonly Dictionary<int, List<int>> _tokensOf = [];

    public CountChains(List<Match> matches)
    {
        foreach (var m in matches)
        {
            if (m.Rule.Makes == "count" && m.Slots is { } s && m.Score > -4)
            {
                int n = (int)s.Number;
                if (!_tokensOf.TryGetValue(n, out var list))
                {
                    _tokensOf[n] = list = [];
                }

                list.Add(m.LastToken);
            }
        }
    }

    public double Of(Draft draft, Match match)
    {
        if (draft.Call is not CountCall c)
        {
            return 0;
        }

        bool before = Has(c.N - 1, match.LastToken - Reach, match.LastToken - 1), after = Has(c.N + 1, match.LastToken + 1, match.LastToken + Reach);
        return (before ? 1.5 : 0) + (after ? 1.5 : 0);
    }

    private bool Has(int n, int from, int to) => _tokensOf.TryGetValue(n, out var list) && list.Exists(t => t >= from && t <= to);
}
