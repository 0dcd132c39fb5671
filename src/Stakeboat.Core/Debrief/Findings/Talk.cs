using Stakeboat.Core.Calls;

namespace Stakeboat.Core.Debrief.Findings;

/// <summary>Silence and counting in the race.</summary>
internal static class Talk
{
    public static IEnumerable<Finding> Find(DebriefFacts f)
    {
        if (f.Go is not { } go || f.Calls.Count == 0)
        {
            yield break;
        }

        double last = go.Mean, longest = 0, from = go.Mean;
        int counts = 0, n = 0;
        double end = f.Finish?.Mean ?? f.Calls[^1].At.Seconds;
        foreach (var c in f.Calls)
        {
            double t = c.At.Seconds;
            if (t < go.Mean || t > end)
            {
                continue;
            }

            n++;
            counts += c.Call is CountCall ? 1 : 0;
            if (t - last > longest)
            {
                (longest, from) = (t - last, last);
            }

            last = t;
        }

        if (end - last > longest)
        {
            (longest, from) = (end - last, last);
        }

        if (n >= 5)
        {
            yield return Sample.Counted(FindingKind.Silence, longest, n, longest > 20 ? 0.005 * longest : 0, "", [new Evidence(from, from + longest, null)]);
            double share = (double)counts / n;
            // Wilson's 90 % interval for a share.
            const double z = 1.6448536269514722;
            double centre = (share + z * z / (2 * n)) / (1 + z * z / n);
            double half = z / (1 + z * z / n) * Math.Sqrt(share * (1 - share) / n + z * z / (4.0 * n * n));
            yield return new Finding(FindingKind.Counting, share, centre - half, centre + half, n, share > 0.4 ? 0.2 * share : 0, "", []);
        }
    }
}
