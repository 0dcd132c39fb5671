using Stakeboat.Core.Calls;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief;

/// <summary>A position that a call claimed, as it was understood.</summary>
/// <param name="CallIndex">In the list of calls.</param>
/// <param name="Metres">Middle of the range claimed, m; positive: we lead.</param>
/// <param name="Sd">Of the claim itself, m.</param>
/// <param name="Label">Which reading: "our coxswain", "our bow ball", "ahead", ...; empty where there was no choice.</param>
/// <param name="Probability">Of that reading.</param>
public sealed record PositionClaim(int CallIndex, string Crew, double Metres, double Sd, string Label, double Probability);

/// <summary>The margins of one race on the debrief's clock: that of the recording, or of the sensors, or seconds after "go" where there is neither.</summary>
/// <param name="OurName">Our crew.</param>
/// <param name="Go">The word "go" on that clock, s.</param>
/// <param name="Solution">On the race clock: add Go.Mean.</param>
/// <param name="Evidence">What the calls said.</param>
/// <param name="Moves">On the race clock.</param>
public sealed record RaceMargins(string OurName, Estimate Go, MarginSolution Solution, CallEvidence Evidence, IReadOnlyList<MoveOutcome> Moves)
{
    public double Finish => Go.Mean + Solution.End.Seconds;

    /// <summary>Runs the margin engine over everything that an outing holds.</summary>
    /// <param name="calls">In order of time; empty where nothing was heard.</param>
    /// <param name="times">Start and finish on the debrief's clock; a race without a start gives null.</param>
    /// <param name="sensors">Null where there are none.</param>
    /// <param name="clocks">The sensors on the debrief's clock; null: the sensors' race start is laid on "go".</param>
    /// <param name="planned">Moves of the plan that were not called, on the race clock.</param>
    /// <returns>Null where there is no race to speak of: no start, or nobody to race.</returns>
    public static RaceMargins? Of(
        Outing outing, IReadOnlyList<HeardCall> calls, RaceTimes times, SensorFindings? sensors,
        ClockMap<SensorClock, RecordingClock>? clocks = null, IReadOnlyList<Move>? planned = null)
    {
        ArgumentNullException.ThrowIfNull(outing);
        ArgumentNullException.ThrowIfNull(calls);
        ArgumentNullException.ThrowIfNull(times);
        if (outing.Sheet is not { } sheet)
        {
            return null;
        }

        // A result sheet by itself has the race clock's own zero.
        bool resultAlone = times.Go is null && calls.Count == 0 && outing.Result is not null;
        if (times.Go is null && !resultAlone)
        {
            return null;
        }

        var go = resultAlone ? new Estimate(0, 0.01) : Doubted(times.Go!.Value);
        var rivals = Rivals(sheet, calls, outing.Result);
        var distance = sheet.Distance ?? outing.Result?.Distance;
        // A finish that was reckoned from the published time says nothing new of when we began.
        bool reckoned = times.Finish is { Source: TimeSource.Result };
        double? end = times.Finish?.At.Mean;
        var evidence = new List<MarginEvidence>();
        if (LevelStart(sheet, outing.Result))
        {
            evidence.Add(new LevelStartEvidence());
        }

        if (outing.Result is { } result)
        {
            evidence.AddRange(MarginEvidenceFromResult.Map(result, sheet.Us.Name, sheet.OurLane, rivals, sheet.LaneOf));
        }

        // What is known of our own boat on both clocks moves the word "go": solve, move it, solve again.
        var now = go;
        for (int pass = 0; ; pass++)
        {
            var answer = SolveOnce(sheet, calls, rivals, evidence, distance, now, end, reckoned ? null : times.Finish?.At.Sd, sensors, clocks, planned ?? []);
            var shift = answer.Solution.GoShift;
            if (pass == 2 || Math.Abs(shift.Mean) < 0.15 || resultAlone)
            {
                return answer;
            }

            // The doubt stays that of the prior: the same evidence is used again.
            now = new Estimate(now.Mean - shift.Mean, now.Sd);
        }
    }

    private static RaceMargins SolveOnce(
        RaceSheet sheet, IReadOnlyList<HeardCall> calls, IReadOnlyList<Rival> rivals, IReadOnlyList<MarginEvidence> known, Distance? distance,
        Estimate go, double? end, double? endSd, SensorFindings? sensors, ClockMap<SensorClock, RecordingClock>? clocks, IReadOnlyList<Move> planned)
    {
        double lastCall = end ?? go.Mean + (distance is { } d ? d.Metres / 3.5 : 3600);
        var said = MarginEvidenceFromCalls.Map(calls, sheet, [.. rivals.Select(r => r.Name)], go.Mean, lastCall);
        var moves = said.Moves.Concat(planned.Where(p => !said.Moves.Any(m => m.Crew == p.Crew && Overlap(m, p)))).ToList();
        double finishSd = endSd is { } f ? Math.Max(0.3, f) : 1;
        var problem = new MarginProblem(
            sheet.Hull, rivals, [.. known, .. said.Evidence], distance,
            end is { } e && endSd is not null && e > go.Mean + 10 ? Instant<RaceClock>.FromSeconds(e - go.Mean) : null,
            finishSd, Math.Max(go.Sd, 0.05), OwnTrack(sensors, clocks, go, distance),
            [.. moves.Select(m => new KnownBurst(m.Crew, m.From, m.To))]);
        var solution = MarginEngine.Solve(problem);
        return new RaceMargins(sheet.Us.Name, go, solution, said, Margins.Moves.Find(solution, moves));
    }

    /// <summary>What each position call claimed, in the reading that the engine found likeliest; gross errors keep their likeliest reading.</summary>
    public IReadOnlyList<PositionClaim> Claims()
    {
        var claims = new List<PositionClaim>();
        foreach (var r in Solution.Evidence)
        {
            int best = -1;
            for (int i = 0; i < r.Posterior.Count; i++)
            {
                best = best < 0 || r.Posterior[i] > r.Posterior[best] ? i : best;
            }

            if (best < 0 || r.Crews[best] is not { } crew)
            {
                continue;
            }

            var (low, high, spread) = r.Evidence switch
            {
                PositionEvidence p => (p.Low, p.High, p.Spread),
                EitherEvidence e when e.Readings.FirstOrDefault(x => (x.Crew is null || x.Crew == crew) && x.Label == r.Labels[best]) is { } x => (x.Low, x.High, e.Spread),
                _ => (double.NaN, double.NaN, null),
            };
            if (spread is not null && double.IsFinite(low) && double.IsFinite(high))
            {
                double width = high - low;
                claims.Add(new PositionClaim(r.Evidence.Source, crew, 0.5 * (low + high),
                    Math.Sqrt(width * width / 12 + spread.EyeSd * spread.EyeSd), r.Labels[best], r.Posterior[best]));
            }
        }

        return claims;
    }

    /// <summary>
    /// A start word that was heard may be the second or third of its sequence, 1.5 s apart (own judgement): marks, splits and track may move it by so much.
    /// </summary>
    private static Estimate Doubted(TimeFound go) => go.Source is TimeSource.Heard
        ? new Estimate(go.At.Mean, Math.Sqrt(go.At.Sd * go.At.Sd + 1.5 * 1.5))
        : go.At;

    private static bool Overlap(Move a, Move b) => a.From.Seconds < b.To.Seconds + 10 && b.From.Seconds < a.To.Seconds + 10;

    /// <summary>Crews in lanes race us; of crews without lanes only those that were placed by a call or a result.</summary>
    private static List<Rival> Rivals(RaceSheet sheet, IReadOnlyList<HeardCall> calls, ResultSheet? result)
    {
        var rivals = new List<Rival>();
        foreach (string name in sheet.Rivals.Where(r => r != sheet.Us.Name).Distinct(StringComparer.Ordinal))
        {
            int? lane = sheet.LaneOf(name);
            bool placed = lane is not null
                || calls.Any(c => c.Call is MarginCall m && m.Crew == name && c.Confidence > 0.3)
                || result?.Rows.Any(r => string.Equals(r.Crew, name, StringComparison.OrdinalIgnoreCase)) == true;
            if (placed)
            {
                Distance? aside = lane is { } l && sheet.OurLane is { } ours ? sheet.LaneWidth * Math.Abs(l - ours) : null;
                rivals.Add(new Rival(name, sheet.Hull, aside));
            }
        }

        return rivals;
    }

    /// <summary>Lanes or stations make a level start; a procession has none.</summary>
    private static bool LevelStart(RaceSheet sheet, ResultSheet? result) =>
        sheet.Lanes.Count > 1 || (sheet.Lanes.Count == 0 && result?.Rows.Any(r => r.Lane is not null) == true);

    /// <summary>Our own hull second by second, with distances from the start of the race.</summary>
    private static List<OwnSample>? OwnTrack(
        SensorFindings? sensors, ClockMap<SensorClock, RecordingClock>? clocks, Estimate go, Distance? distance)
    {
        if (sensors?.Hull is not { } hull)
        {
            return null;
        }

        double shift; // sensor seconds at go
        if (clocks is { } map)
        {
            shift = map.Inverse().Map(Instant<RecordingClock>.FromSeconds(go.Mean)).Seconds;
        }
        else if (sensors.Race is { } race)
        {
            shift = race.Start.Mean;
        }
        else
        {
            return null;
        }

        var start = Instant<SensorClock>.FromSeconds(shift);
        if (start < hull.From || start > hull.To)
        {
            return null;
        }

        double zero = hull.At(start).Metres, most = distance is { } d ? 1.02 * d.Metres : double.PositiveInfinity;
        var samples = new List<OwnSample>();
        const double side = 4; // s to either side: the hull's speed swings by a fifth within every stroke, some four strokes even it out
        foreach (var s in hull.Sample(1))
        {
            double t = s.At.Seconds - shift, metres = s.Metres - zero;
            var before = Instant<SensorClock>.FromSeconds(s.At.Seconds - side);
            var after = Instant<SensorClock>.FromSeconds(s.At.Seconds + side);
            if (t >= 0 && metres <= most)
            {
                double? speed = t > side + 4 && before > hull.From && after < hull.To ? (hull.At(after).Metres - hull.At(before).Metres) / (2 * side) : null;
                samples.Add(new OwnSample(Instant<RaceClock>.FromSeconds(t), metres, Math.Max(2, s.MetresSd), speed, 0.1));
            }
        }

        return samples;
    }
}
