using Stakeboat.Core.Margins;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Debrief;

/// <summary>Turns a published result into exact times at marks, and its order and verdicts where it has no times.</summary>
public static class MarginEvidenceFromResult
{
    /// <param name="us">Our crew's name.</param>
    /// <param name="ourLane">Ours, for sheets without names.</param>
    /// <param name="rivals">Names as the problem has them.</param>
    public static IReadOnlyList<MarginEvidence> Map(ResultSheet result, string us, int? ourLane, IReadOnlyList<Rival> rivals, Func<string, int?> laneOf)
    {
        ArgumentNullException.ThrowIfNull(result);
        var evidence = new List<MarginEvidence>();
        double resolution = Resolution(result);
        var placed = new List<(int Place, string? Crew, ResultRow Row)>();
        foreach (var row in result.Rows)
        {
            bool ours = Same(row.Crew, us) || (row.Crew.Length == 0 && ourLane is not null && row.Lane == ourLane);
            string? rival = ours ? null : rivals.Select(r => r.Name).FirstOrDefault(n => Same(n, row.Crew))
                ?? (row.Crew.Length == 0 ? rivals.Select(r => r.Name).FirstOrDefault(n => row.Lane is not null && laneOf(n) == row.Lane) : null);
            if (!ours && rival is null)
            {
                continue;
            }

            foreach (var mark in row.Times.Where(t => t.Time.Seconds > 0 && t.Mark.Metres > 0))
            {
                evidence.Add(new MarkTimeEvidence(Instant<RaceClock>.FromSeconds(mark.Time.Seconds), rival, mark.Mark.Metres, resolution));
            }

            if (row.Place is { } place)
            {
                placed.Add((place, rival, row));
            }
        }

        // The order alone, between neighbours of whom one has no time; dead heats share a place.
        double end = result.Rows.SelectMany(r => r.Times).Select(t => t.Time.Seconds).DefaultIfEmpty(0).Max();
        placed.Sort((a, b) => a.Place.CompareTo(b.Place));
        for (int i = 1; i < placed.Count; i++)
        {
            var (first, second) = (placed[i - 1], placed[i]);
            if (first.Row.Times.Count > 0 && second.Row.Times.Count > 0)
            {
                continue;
            }

            var at = Instant<RaceClock>.FromSeconds(end);
            evidence.Add(first.Place == second.Place
                ? new DeadHeatEvidence(at, first.Crew, second.Crew)
                : new VerdictEvidence(at, first.Crew, second.Crew, 0, double.PositiveInfinity, 0.1));
        }

        return evidence;
    }

    /// <summary>Rounding error of the published times, s: a step of 0.01, 0.1 or 1 s gives step / √12, and at least 0.005 s.</summary>
    private static double Resolution(ResultSheet result)
    {
        double[] times = [.. result.Rows.SelectMany(r => r.Times).Select(t => t.Time.Seconds)];
        bool Multiples(double step) => times.All(t => Math.Abs(t / step - Math.Round(t / step)) < 1e-6);
        double step = times.Length < 2 || !Multiples(0.1) ? 0.01 : Multiples(1) ? 1 : 0.1;
        return Math.Max(0.005, step / Math.Sqrt(12));
    }

    private static bool Same(string a, string b) => a.Length > 0 && string.Equals(a.Trim(), b.Trim(), StringComparison.OrdinalIgnoreCase);
}
