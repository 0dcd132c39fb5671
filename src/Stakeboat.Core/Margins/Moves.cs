using Stakeboat.Core.Numerics;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Margins;

/// <summary>How a move is known.</summary>
public enum MoveOrigin
{
    /// <summary>We called it.</summary>
    Called,

    /// <summary>It stood in the plan and was not heard.</summary>
    Planned,

    /// <summary>Our coxswain said that a rival went.</summary>
    RivalCalled,

    /// <summary>Nobody said anything: the relative speed changed.</summary>
    Found,
}

/// <summary>A stretch in which a crew tried something.</summary>
/// <param name="Crew">Null: ours.</param>
/// <param name="Strokes">Ordered or estimated.</param>
/// <param name="Source">The caller's own number for where it came from; -1: none.</param>
public sealed record Move(string? Crew, Instant<RaceClock> From, Instant<RaceClock> To, double Strokes, MoveOrigin Origin, int Source = -1);

/// <summary>What a move brought us against one rival, m; positive: we gained. One seat is <paramref name="SeatMetres"/>.</summary>
/// <param name="Gained">Margin at its end less margin at its beginning.</param>
/// <param name="Trend">What the trend of the 20 s before would have given in the same time.</param>
/// <param name="Beyond">Gained less Trend.</param>
/// <param name="Held">Margin 20 strokes after its end (or at the finish) less margin at its beginning.</param>
/// <param name="HeldBeyond">Held less what the trend would have given until then.</param>
/// <param name="Share">This move's own part of Beyond where others overlap it; else Beyond.</param>
/// <param name="SharedWith">Indices of the moves that overlap it against this rival.</param>
public sealed record MoveGain(
    string Rival, double SeatMetres, Estimate Gained, Estimate Trend, Estimate Beyond, Estimate Held, Estimate HeldBeyond, Estimate Share,
    IReadOnlyList<int> SharedWith)
{
    /// <summary>False: the 90 % interval of what was gained covers zero.</summary>
    public bool Distinguishable => Gained.DistinguishableFromZero;

    /// <summary>False: what was gained cannot be told from what the trend would have given.</summary>
    public bool BeyondTrend => Beyond.DistinguishableFromZero;
}

public sealed record MoveOutcome(Move Move, IReadOnlyList<MoveGain> Gains);

/// <summary>What each move won or lost. A gain's variance is V1 + V2 - 2 C12: the covariance of the two margins comes from the smoother.</summary>
public static class Moves
{
    private const double TrendSeconds = 20;
    private const double StrokesAfter = 20;

    /// <summary>Prior spread of what a move changes in speed, m/s: +10 % power for ten strokes is +3 % of speed; own judgement.</summary>
    private const double EffectSd = 0.12;

    /// <param name="known">Called and planned moves of any crew, in any order.</param>
    /// <param name="strokesPerMinute">Rate for the twenty strokes after; null: from the known moves, else 34.</param>
    /// <param name="findOthers">Also look for changes that nobody called.</param>
    public static IReadOnlyList<MoveOutcome> Find(
        MarginSolution solution, IReadOnlyList<Move> known, double? strokesPerMinute = null, bool findOthers = true)
    {
        double end = solution.Seconds[^1];
        var moves = known.Where(m => m.From.Seconds >= 0 && m.From.Seconds < end - 2 && m.To.Seconds > m.From.Seconds
                && (m.Crew is null || solution.Rivals.Any(r => r.Rival.Name == m.Crew)))
            .Select(m => m.To.Seconds > end ? m with { To = Instant<RaceClock>.FromSeconds(end) } : m)
            .OrderBy(m => m.From.Seconds).ToList();
        double rate = strokesPerMinute ?? RateOf(moves);
        if (findOthers)
        {
            foreach (var found in Unsaid(solution, moves, rate))
            {
                var gain = GainOf(solution, found, found.Crew!, rate);
                if (gain.BeyondTrend)
                {
                    moves.Add(found);
                }
            }

            moves = [.. moves.OrderBy(m => m.From.Seconds)];
        }

        var shares = ShareOut(solution, moves);
        return [.. moves.Select((m, i) => new MoveOutcome(m, [.. Against(solution, m).Select(rival =>
        {
            var gain = GainOf(solution, m, rival, rate);
            return shares.TryGetValue((i, rival), out var s) ? gain with { Share = s.Share, SharedWith = s.With } : gain;
        })]))];
    }

    private static double RateOf(List<Move> moves)
    {
        double[] rates = [.. moves.Where(m => m.Strokes > 0).Select(m => 60 * m.Strokes / (m.To - m.From).Seconds).Where(r => r is > 20 and < 50).Order()];
        return rates.Length > 0 ? rates[rates.Length / 2] : 34;
    }

    /// <summary>Our own moves count against everybody, a rival's against itself.</summary>
    private static IEnumerable<string> Against(MarginSolution solution, Move move) =>
        solution.Rivals.Where(r => r.AnyEvidence && (move.Crew is null || move.Crew == r.Rival.Name)).Select(r => r.Rival.Name);

    private static MoveGain GainOf(MarginSolution solution, Move move, string rival, double rate)
    {
        double from = move.From.Seconds, to = move.To.Seconds;
        double after = Math.Min(to + StrokesAfter * 60 / rate, solution.Seconds[^1]);
        double before = Math.Max(from - TrendSeconds, 0);
        MarginTerm M(double t, double f) => new(rival, Instant<RaceClock>.FromSeconds(t), f);

        // The trend's rate by its two ends; a move at the very start has none, and its trend is to stay level.
        double span = from - before;
        MarginTerm[] Trend(double seconds, double sign) =>
            span < 5 ? [] : [M(from, sign * seconds / span), M(before, -sign * seconds / span)];

        var (mean, cov) = solution.Joint([
            [M(to, 1), M(from, -1)],
            [M(from, 0), .. Trend(to - from, 1)],
            [M(to, 1), M(from, -1), .. Trend(to - from, -1)],
            [M(after, 1), M(from, -1)],
            [M(after, 1), M(from, -1), .. Trend(after - from, -1)],
        ]);
        Estimate E(int i) => new(mean[i], Math.Sqrt(Math.Max(cov[i * 5 + i], 0)));
        double seat = solution.Problem.Us.SeatSpacing.Metres;
        return new MoveGain(rival, seat, E(0), E(1), E(2), E(3), E(4), E(2), []);
    }

    /// <summary>
    /// Overlapping moves against one rival: between their edges the margin grew by the trend plus the effects of those that ran then.
    /// Least squares with the smoother's own covariance and a prior for each effect tells them apart as far as they can be.
    /// </summary>
    private static Dictionary<(int Move, string Rival), (Estimate Share, IReadOnlyList<int> With)> ShareOut(MarginSolution solution, List<Move> moves)
    {
        var result = new Dictionary<(int, string), (Estimate, IReadOnlyList<int>)>();
        foreach (var trace in solution.Rivals.Where(r => r.AnyEvidence))
        {
            string rival = trace.Rival.Name;
            int[] mine = [.. Enumerable.Range(0, moves.Count).Where(i => moves[i].Crew is null || moves[i].Crew == rival)];
            foreach (int[] group in Groups(mine, moves))
            {
                if (group.Length > 1)
                {
                    ShareGroup(solution, moves, rival, group, result);
                }
            }
        }

        return result;
    }

    private static IEnumerable<int[]> Groups(int[] mine, List<Move> moves)
    {
        var group = new List<int>();
        double until = double.NegativeInfinity;
        foreach (int i in mine)
        {
            if (group.Count > 0 && moves[i].From.Seconds >= until)
            {
                yield return [.. group];
                group.Clear();
            }

            group.Add(i);
            until = Math.Max(until, moves[i].To.Seconds);
        }

        if (group.Count > 0)
        {
            yield return [.. group];
        }
    }

    private static void ShareGroup(
        MarginSolution solution, List<Move> moves, string rival, int[] group,
        Dictionary<(int Move, string Rival), (Estimate Share, IReadOnlyList<int> With)> result)
    {
        double[] edges = [.. group.SelectMany(i => (double[])[moves[i].From.Seconds, moves[i].To.Seconds]).Distinct().Order()];
        double first = edges[0], before = Math.Max(first - TrendSeconds, 0), span = first - before;
        MarginTerm M(double t, double f) => new(rival, Instant<RaceClock>.FromSeconds(t), f);
        var sums = new List<IReadOnlyList<MarginTerm>>();
        for (int s = 0; s + 1 < edges.Length; s++)
        {
            double length = edges[s + 1] - edges[s];
            List<MarginTerm> terms = [M(edges[s + 1], 1), M(edges[s], -1)];
            if (span >= 5)
            {
                terms.Add(M(first, -length / span));
                terms.Add(M(before, length / span));
            }

            sums.Add(terms);
        }

        var (y, cov) = solution.Joint(sums);
        int n = y.Length, k = group.Length;

        // y = A e + noise, e ~ N(0, EffectSd²): gain = W A' (A W A' + cov)^-1.
        var a = new double[n * k];
        for (int s = 0; s < n; s++)
        {
            for (int m = 0; m < k; m++)
            {
                var move = moves[group[m]];
                bool runs = move.From.Seconds <= edges[s] + 1e-9 && move.To.Seconds >= edges[s + 1] - 1e-9;
                a[s * k + m] = runs ? edges[s + 1] - edges[s] : 0;
            }
        }

        double w = EffectSd * EffectSd;
        var total = new double[n * n];
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j < n; j++)
            {
                double v = cov[i * n + j];
                for (int m = 0; m < k; m++)
                {
                    v += w * a[i * k + m] * a[j * k + m];
                }

                total[i * n + j] = v + (i == j ? 1e-6 : 0);
            }
        }

        var factor = new double[n * n];
        Cholesky.Factor(total, factor, n);
        for (int m = 0; m < k; m++)
        {
            var row = new double[n];
            for (int s = 0; s < n; s++)
            {
                row[s] = w * a[s * k + m];
            }

            double[] x = [.. row];
            Cholesky.Solve(factor, x, n, 1);
            double mean = 0, taken = 0;
            for (int s = 0; s < n; s++)
            {
                mean += x[s] * y[s];
                taken += x[s] * row[s];
            }

            var move = moves[group[m]];
            double length = (move.To - move.From).Seconds;
            var others = group.Where(i => i != group[m] && moves[i].From < move.To && move.From < moves[i].To).ToArray();
            if (others.Length > 0)
            {
                result[(group[m], rival)] = (new Estimate(mean * length, length * Math.Sqrt(Math.Max(w - taken, 0))), others);
            }
        }
    }

    /// <summary>Stretches of changed relative speed that no known move explains: PELT over the rate in 4 s steps, in units of its own doubt.</summary>
    private static IEnumerable<Move> Unsaid(MarginSolution solution, List<Move> known, double rate)
    {
        const int step = 4;
        foreach (var trace in solution.Rivals.Where(r => r.AnyEvidence))
        {
            int from = 20;
            int[] at = [.. Enumerable.Range(0, Math.Max(0, (solution.Seconds.Length - from) / step)).Select(i => from + i * step)];
            if (at.Length < 12)
            {
                continue;
            }

            double variance = at.Average(i => trace.MarginRate[i].Sd * trace.MarginRate[i].Sd);
            double[] rates = [.. at.Select(i => trace.MarginRate[i].Mean)];

            // Neighbouring rates share their errors over about three steps: the penalty counts for that.
            var found = ChangePoints.Find(rates, 2 * Math.Log(at.Length) * variance);
            for (int s = 0; s < found.Ends.Count; s++)
            {
                double begins = solution.Seconds[at[found.Ends[s]]];
                double ends = s + 1 < found.Ends.Count ? solution.Seconds[at[found.Ends[s + 1]]] : solution.Seconds[^1];
                if (ends - begins is < 8 or > 60)
                {
                    continue;
                }

                bool explained = known.Any(m => (m.Crew is null || m.Crew == trace.Rival.Name)
                    && Math.Min(ends, m.To.Seconds + 6) - Math.Max(begins, m.From.Seconds - 6) > 0.3 * (ends - begins));
                if (!explained)
                {
                    yield return new Move(trace.Rival.Name, Instant<RaceClock>.FromSeconds(begins), Instant<RaceClock>.FromSeconds(ends),
                        Math.Round((ends - begins) * rate / 60), MoveOrigin.Found);
                }
            }
        }
    }
}
