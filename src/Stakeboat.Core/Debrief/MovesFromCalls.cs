using Stakeboat.Core.Calls;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Time;

namespace Stakeboat.Core.Debrief;

/// <summary>From "ten for legs in two" and the counted strokes after it to when a burst began and ended; and rivals' bursts as called.</summary>
internal static class MovesFromCalls
{
    public static IReadOnlyList<Move> Find(IReadOnlyList<HeardCall> calls, IReadOnlyList<string> rivals, double go, double end)
    {
        var rows = Rows(calls);
        var moves = new List<Move>();
        string? talkOf = rivals.Count == 1 ? rivals[0] : null;
        for (int i = 0; i < calls.Count; i++)
        {
            double t = calls[i].At.Seconds;
            if (t < go + 5 || t > end - 3)
            {
                continue;
            }

            switch (calls[i].Call)
            {
                case MoveCall m:
                    Add(moves, Ours(calls, rows, i, m.Strokes, go, end));
                    break;
                case RivalMoveCall r:
                    string? crew = r.Crew is not null && rivals.Contains(r.Crew, StringComparer.Ordinal) ? r.Crew : talkOf;
                    if (crew is not null)
                    {
                        // It is seen once it has begun: some two strokes in. Ten strokes unless more is known.
                        double period = 60 / RateAt(calls, t);
                        double from = Math.Max(go, t - 1.2 - 2 * period);
                        Add(moves, new Move(crew, At(from, go), At(Math.Min(from + 10 * period, end), go), 10, MoveOrigin.RivalCalled, i));
                    }

                    break;
                case MarginCall { Crew: { } named }:
                    talkOf = named;
                    break;
            }
        }

        return moves;
    }

    /// <summary>Rows of counted strokes: n, n+1, ... each within four seconds of the last, one number may be missing.</summary>
    public static List<List<int>> Rows(IReadOnlyList<HeardCall> calls)
    {
        var rows = new List<List<int>>();
        List<int>? row = null;
        for (int i = 0; i < calls.Count; i++)
        {
            if (calls[i].Call is not CountCall c)
            {
                continue;
            }

            if (row is not null)
            {
                var before = calls[row[^1]];
                int step = c.N - ((CountCall)before.Call).N;
                if (step is 1 or 2 && (calls[i].At - before.At).Seconds < 4 * step)
                {
                    row.Add(i);
                    continue;
                }
            }

            row = [i];
            rows.Add(row);
        }

        return rows;
    }

    /// <summary>Stroke rate at a moment: the last one called, else 34 strokes/min.</summary>
    public static double RateAt(IReadOnlyList<HeardCall> calls, double t) =>
        calls.Where(c => c.At.Seconds <= t && c.Call is RateCall { Spm: > 24 and < 48 } && c.Confidence > 0.4)
            .Select(c => ((RateCall)c.Call).Spm).LastOrDefault(34);

    private static Move Ours(IReadOnlyList<HeardCall> calls, List<List<int>> rows, int i, int? ordered, double go, double end)
    {
        double t = calls[i].At.Seconds, period = 60 / RateAt(calls, t);

        // The counting that follows: the row that goes on beyond the two or three counted before it.
        var row = rows.FirstOrDefault(r => calls[r[0]].At.Seconds > t - 0.5 && calls[r[0]].At.Seconds < t + 14 && r.Count >= 3
            && ((CountCall)calls[r[0]].Call).N <= 3);
        int strokes = ordered ?? (row is not null ? Math.Max(5, ((CountCall)calls[row[^1]].Call).N) : 10);

        // A count is spoken as the stroke is taken, complete a little after its catch: stroke n began n - 1 periods after the first.
        double from = row is not null
            ? calls[row[0]].At.Seconds - 0.4 - (((CountCall)calls[row[0]].Call).N - 1) * period
            : t + 2 * period;
        from = Math.Clamp(from, go, end - 1);
        return new Move(null, At(from, go), At(Math.Min(from + strokes * period, end), go), strokes, MoveOrigin.Called, i);
    }

    /// <summary>A second word on a burst that is under way is no second burst.</summary>
    private static void Add(List<Move> moves, Move move)
    {
        int same = moves.FindIndex(m => m.Crew == move.Crew && move.From.Seconds < m.To.Seconds - 2);
        if (same < 0)
        {
            moves.Add(move);
        }
    }

    private static Instant<RaceClock> At(double t, double go) => Instant<RaceClock>.FromSeconds(t - go);
}
