using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief;

/// <summary>Margins and moves as findings see them, on the debrief's clock.</summary>
internal static class MarginFacts
{
    public static DebriefFacts Add(DebriefFacts facts, RaceMargins margins, string us)
    {
        double go = margins.Go.Mean;
        var seconds = margins.Solution.Seconds;
        var t = seconds.Select(s => s + go).ToArray();
        var curves = new Dictionary<string, Curve>(StringComparer.Ordinal);
        foreach (var r in margins.Solution.Rivals)
        {
            if (r.AnyEvidence)
            {
                curves[r.Rival.Name] = new Curve(t, r.Mean, r.Sd);
            }
        }

        var moves = new List<MoveFact>();
        foreach (var outcome in margins.Moves)
        {
            var m = outcome.Move;
            foreach (var g in outcome.Gains)
            {
                if (!curves.ContainsKey(g.Rival) || (m.Crew is not null && m.Crew != g.Rival))
                {
                    continue;
                }

                moves.Add(new MoveFact(m.Crew ?? us, m.Crew is null, go + m.From.Seconds, go + m.To.Seconds, g.Rival,
                    Scale(g.Beyond, g.SeatMetres), Scale(g.HeldBeyond, g.SeatMetres), m.Source >= 0 ? m.Source : null));
            }
        }

        var own = margins.Solution.Own.Metres;
        return facts with
        {
            Margins = curves,
            Moves = moves,
            Claims = [.. margins.Claims().Select(c => (c.CallIndex, c.Crew, c.Metres, c.Sd))],
            Metres = facts.Metres ?? new Curve(t, [.. own.Select(e => e.Mean)], [.. own.Select(e => e.Sd)]),
        };
    }

    private static Estimate Scale(Estimate e, double metres) => new(e.Mean / metres, e.Sd / metres);
}
