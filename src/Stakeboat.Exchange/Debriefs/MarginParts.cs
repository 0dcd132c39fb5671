using Stakeboat.Core.Debrief;
using Stakeboat.Core.Margins;

namespace Stakeboat.Exchange.Debriefs;

/// <summary>Margins, their evidence and moves as a debrief document writes them.</summary>
internal static class MarginParts
{
    public static IReadOnlyList<MarginPart> Margins(RaceDebrief d)
    {
        if (d.Margins is not { } m)
        {
            return [];
        }

        // The document has one value a second; the engine's last grid time is the finish itself.
        var seconds = m.Solution.Seconds;
        int n = seconds.Length;
        while (n > 1 && seconds[n - 1] - Math.Floor(seconds[n - 1]) > 1e-9)
        {
            n--;
        }

        return
        [
            .. m.Solution.Rivals.Where(r => r.AnyEvidence).Select(r => new MarginPart(
                r.Rival.Name, d.Input.Outing.Sheet?.LaneOf(r.Rival.Name), DebriefWriter.R(m.Go.Mean, 2),
                Column(n, i => r.Mean[i]), Column(n, i => r.Sd[i]), Column(n, i => r.At(i).Low90), Column(n, i => r.At(i).High90))
            {
                Ahead = Column(n, i => Positive(r.Mean[i], r.Sd[i])),
            }),
        ];
    }

    public static IReadOnlyList<EvidencePart> Evidence(RaceDebrief d)
    {
        if (d.Margins is not { } m)
        {
            return [];
        }

        var parts = new List<EvidencePart>();
        foreach (var claim in m.Claims())
        {
            var call = d.Facts.Calls[claim.CallIndex];
            double half = 1.7320508 * claim.Sd;
            parts.Add(new EvidencePart(DebriefWriter.R(call.At.Seconds, 2), claim.Crew, claim.CallIndex, "call", DebriefWriter.R(claim.Metres - half, 2),
                DebriefWriter.R(claim.Metres + half, 2), claim.Label, DebriefWriter.R(claim.Probability, 3)));
        }

        if (d.Input.Outing.Result is { } result && d.Times.Go is { } go && result.Rows.FirstOrDefault(r => r.Crew == d.Input.Outing.Sheet?.Us.Name) is { } ours)
        {
            foreach (var row in result.Rows.Where(r => !ReferenceEquals(r, ours)))
            {
                foreach (var mark in row.Times)
                {
                    var own = ours.Times.FirstOrDefault(t => t.Mark == mark.Mark);
                    if (own.Time.Seconds > 0 && m.Solution.Rivals.Any(r => r.Rival.Name == row.Crew))
                    {
                        double later = Math.Max(own.Time.Seconds, mark.Time.Seconds);
                        double v = mark.Mark.Metres / later;
                        double metres = (mark.Time.Seconds - own.Time.Seconds) * v;
                        parts.Add(new EvidencePart(DebriefWriter.R(go.At.Mean + Math.Min(own.Time.Seconds, mark.Time.Seconds), 2), row.Crew, null,
                            mark.Mark == row.Times[^1].Mark ? "finish" : "split",
                            DebriefWriter.R(metres, 2), DebriefWriter.R(metres, 2), "official times", 1));
                    }
                }
            }
        }

        return [.. parts.OrderBy(p => p.T)];
    }

    public static IReadOnlyList<MovePart> Moves(RaceDebrief d)
    {
        if (d.Margins is not { } m)
        {
            return [];
        }

        var parts = new List<MovePart>();
        foreach (var outcome in m.Moves)
        {
            foreach (var gain in outcome.Gains)
            {
                double? Seats(double metres) => DebriefWriter.R(metres / gain.SeatMetres, 2);
                parts.Add(new MovePart(
                    outcome.Move.Crew ?? d.Input.Outing.Sheet!.Us.Name, Origin(outcome.Move.Origin),
                    DebriefWriter.R(m.Go.Mean + outcome.Move.From.Seconds, 2), DebriefWriter.R(m.Go.Mean + outcome.Move.To.Seconds, 2),
                    (int)Math.Round(outcome.Move.Strokes), gain.Rival, Seats(gain.Gained.Mean)!.Value, Seats(gain.Gained.Low90)!.Value,
                    Seats(gain.Gained.High90)!.Value, Seats(gain.Held.Mean), Seats(gain.Held.Low90), Seats(gain.Held.High90), gain.Distinguishable,
                    outcome.Move.Source >= 0 ? outcome.Move.Source : null)
                {
                    Trend = Seats(gain.Trend.Mean),
                    Beyond = Seats(gain.Beyond.Mean),
                    BeyondLow90 = Seats(gain.Beyond.Low90),
                    BeyondHigh90 = Seats(gain.Beyond.High90),
                });
            }
        }

        return [.. parts.OrderBy(p => p.From)];
    }

    private static string Origin(MoveOrigin origin) => origin switch
    {
        MoveOrigin.Called => "called",
        MoveOrigin.Planned => "planned",
        MoveOrigin.RivalCalled => "rival called",
        _ => "not called",
    };

    /// <summary>Probability that a normal with this mean and sd is positive.</summary>
    private static double Positive(double mean, double sd) =>
        sd <= 0 ? (mean > 0 ? 1 : mean < 0 ? 0 : 0.5) : Core.Numerics.Gaussian.Below(mean / sd);

    private static double[] Column(int n, Func<int, double> value)
    {
        var column = new double[n];
        for (int i = 0; i < n; i++)
        {
            column[i] = Math.Round(value(i), 3);
        }

        return column;
    }
}
