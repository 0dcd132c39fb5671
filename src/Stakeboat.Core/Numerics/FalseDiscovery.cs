namespace Stakeboat.Core.Numerics;

/// <summary>Several questions put to the same data at once.</summary>
public static class FalseDiscovery
{
    /// <summary>
    /// How many of the smallest p-values may be called discoveries so that the expected share of false ones among them is at most
    /// <paramref name="rate"/>: the largest k with p(k) ≤ k·rate/m. Benjamini and Hochberg 1995, J. R. Statist. Soc. B 57, 289-300,
    /// procedure (1). Holds for independent questions, and for positively dependent ones (Benjamini and Yekutieli 2001).
    /// </summary>
    public static int Discoveries(IReadOnlyList<double> pValues, double rate)
    {
        ArgumentNullException.ThrowIfNull(pValues);
        var sorted = pValues.Order().ToList();
        for (int k = sorted.Count; k > 0; k--)
        {
            if (sorted[k - 1] <= k * rate / sorted.Count)
            {
                return k;
            }
        }

        return 0;
    }

    /// <summary>
    /// Level of the interval to show beside each of <paramref name="asked"/> questions so that, of the intervals of what was called a
    /// discovery, at most <paramref name="rate"/> miss their truth on average: 1 − R·rate/m. Benjamini and Yekutieli 2005, J. Am. Statist.
    /// Assoc. 100, 71-81, definition 1. At this level an interval leaves zero out exactly where the question is among the discoveries.
    /// </summary>
    public static double IntervalLevel(int discoveries, int asked, double rate) => 1 - Math.Max(1, discoveries) * rate / asked;
}
