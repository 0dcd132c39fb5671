using Stakeboat.Core.Calls.Learned;

namespace Stakeboat.Core.Calls.Context;

/// <summary>Counts what the talk was like.</summary>
internal static class Talk
{
    public static TalkStatistics Of(
        List<CallToken> tokens, List<double> from, List<double> to, IReadOnlyList<HeardCall> calls, double? distance, IReadOnlyList<MeasuredRate> rates)
    {
        double start = from.Count == 0 ? 0 : from[0], end = to.Count == 0 ? 0 : to[^1];
        double seconds = Math.Max(0, end - start);
        var perMinute = new SortedDictionary<string, double>(StringComparer.Ordinal);
        foreach (var group in calls.GroupBy(c => c.Call.GetType().Name.Replace("Call", "", StringComparison.Ordinal), StringComparer.Ordinal))
        {
            perMinute[group.Key] = seconds > 0 ? group.Count() * 60 / seconds : 0;
        }

        int counts = calls.Count(c => c.Call is CountCall), repeats = 0;
        var last = new Dictionary<Type, HeardCall>();
        foreach (var c in calls)
        {
            if (c.Call is CountCall)
            {
                continue;
            }

            if (last.TryGetValue(c.Call.GetType(), out var before) && before.Call == c.Call && c.At.Seconds - before.At.Seconds <= 20)
            {
                repeats++;
            }

            last[c.Call.GetType()] = c;
        }

        var silence = new double[4];
        for (int k = 1; k < from.Count; k++)
        {
            int quarter = seconds > 0 ? Math.Clamp((int)(4 * (from[k] - start) / seconds), 0, 3) : 0;
            silence[quarter] = Math.Max(silence[quarter], from[k] - to[k - 1]);
        }

        int margins = calls.Count(c => c.Call is MarginCall);
        double? error = null;
        var claims = calls.Where(c => c.Call is RateCall { Sense: RateSense.Now }).ToList();
        if (rates.Count > 0 && claims.Count > 0)
        {
            var differences = new List<double>();
            foreach (var c in claims)
            {
                var near = rates.MinBy(r => Math.Abs(r.At.Seconds - c.At.Seconds));
                if (Math.Abs(near.At.Seconds - c.At.Seconds) <= 5)
                {
                    differences.Add(((RateCall)c.Call).Spm - near.Spm);
                }
            }

            error = differences.Count > 0 ? differences.Average() : null;
        }

        return new TalkStatistics(
            seconds, tokens.Count, perMinute, calls.Count == 0 ? 0 : (double)counts / calls.Count, calls.Count == counts ? 0 : (double)repeats / (calls.Count - counts),
            silence, distance is > 0 ? margins * 500 / distance : null, error);
    }
}
