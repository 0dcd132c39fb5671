using Stakeboat.Core.Calls;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief.Findings;

/// <summary>Moves that paid and moves that did not, and how soon a rival's was answered.</summary>
internal static class MovesMade
{
    public static IEnumerable<Finding> Find(DebriefFacts f)
    {
        double v = f.RaceSpeed ?? 5;
        double perSeat = f.Hull.SeatSpacing.Metres / v;
        foreach (var m in f.Moves)
        {
            var evidence = new[] { new Evidence(m.From - 3, m.To, m.CallIndex) };
            var seats = m.Ours ? m.Seats : new Estimate(-m.Seats.Mean, m.Seats.Sd);
            double worth = perSeat * Math.Abs(seats.Mean) * (seats.DistinguishableFromZero ? 1 : 0.2);
            double? held = m.Held is { } h ? (m.Ours ? h.Mean : -h.Mean) : null;
            string subject = m.Ours ? m.Rival : m.Crew;
            yield return Finding.From(m.Ours ? FindingKind.OurMove : FindingKind.RivalMove, seats, 1, worth, subject, evidence, held);
        }

        for (int i = 0; i < f.Calls.Count; i++)
        {
            var c = f.Calls[i];
            if (c.Call is not RivalMoveCall rival || c.Confidence < 0.5 || !f.InRace(c.At.Seconds))
            {
                continue;
            }

            int answer = -1;
            for (int k = i + 1; k < f.Calls.Count && f.Calls[k].At.Seconds < c.At.Seconds + 60; k++)
            {
                if (f.Calls[k].Call is MoveCall or ShiftCall { To: RhythmChange.Build or RhythmChange.Sprint } && f.Calls[k].Confidence >= 0.5)
                {
                    answer = k;
                    break;
                }
            }

            if (answer < 0)
            {
                continue;
            }

            double from = c.At.Seconds, to = f.Calls[answer].At.Seconds;
            Estimate? lost = rival.Crew is { } name && f.Margins.TryGetValue(name, out var curve) && curve.At(from) is { } a && curve.At(to) is { } b
                ? new Estimate((a.Mean - b.Mean) / f.Hull.SeatSpacing.Metres, Math.Sqrt(a.Sd * a.Sd + b.Sd * b.Sd) / f.Hull.SeatSpacing.Metres) : null;
            double sd = Math.Sqrt(c.AtSd * c.AtSd + f.Calls[answer].AtSd * f.Calls[answer].AtSd + 0.04);
            yield return Finding.From(FindingKind.AnswerDelay, new Estimate(to - from, sd), 1, lost is { } l ? perSeat * Math.Max(0, l.Mean) : 0.05,
                rival.Crew ?? "", [new Evidence(from - 3, to + 2, i), new Evidence(to - 2, to + 2, answer)], lost?.Mean);
        }
    }
}
