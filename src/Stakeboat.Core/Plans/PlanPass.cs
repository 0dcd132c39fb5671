using Stakeboat.Core.Units;
using static Stakeboat.Core.Plans.PlanCompiler;

namespace Stakeboat.Core.Plans;

/// <summary>One run through a plan's segments with every length checked against the others.</summary>
internal sealed class PlanPass(
    PlanVariant plan, double finish, double baseRate, double lift, double startLength, double totalStrokes, double speed, double speedFactor,
    IReadOnlyList<SpeedFrom> along, IReadOnlyDictionary<int, double> fired, bool estimating, List<PlanIssue> issues)
{
    private bool _failed;

    public Trial? Run()
    {
        var cues = PlaceCues();
        if (_failed)
        {
            return null;
        }

        var run = new PlanRun(speed, baseRate, lift, startLength, finish, cues, along);
        var segments = new List<PlannedSegment>();
        for (int i = 0; i < plan.Segments.Count && !_failed; i++)
        {
            RunSegment(i, run, segments);
        }

        if (_failed)
        {
            return null;
        }

        if (run.X < finish - 0.5)
        {
            int line = plan.Segments.Count > 0 ? plan.Segments[^1].Line : 0;
            Error(line, "stops-short", $"The plan stops at {run.X:0} m: nothing is planned for the last {finish - run.X:0} m.");
            return null;
        }

        if (estimating)
        {
            return new Trial(run, segments, cues);
        }

        run.Finish(segments.Count > 0 ? segments[^1].EffortPercent ?? 0 : 0);
        CheckCues(cues, run);
        CheckInstead(cues);
        return _failed ? null : new Trial(run, segments, cues);
    }

    private void RunSegment(int index, PlanRun run, List<PlannedSegment> into)
    {
        var s = plan.Segments[index];
        var next = index + 1 < plan.Segments.Count ? plan.Segments[index + 1] : null;
        if (run.X >= finish - 0.01)
        {
            Error(s.Line, "after-the-finish", $"The race is over before this: the segments up to line {plan.Segments[index - 1].Line} already reach the finish at {finish:0} m. End one of them before it, such as 'to 250 m to go'.");
            return;
        }

        var from = run.Here;
        double rateFrom = s.Rate ?? DefaultRate(s, index, run);
        double rateTo = s.RateTo ?? DefaultRateTo(s, next, rateFrom);
        if (s.RateTo is not null && s.Rate is null && s.Kind is not SegmentKind.Settle and not SegmentKind.Lengthen)
        {
            rateFrom = index == 0 ? baseRate : run.Rate;
        }

        var goal = Goal(s, next, run, index);
        if (_failed || goal is not { } end)
        {
            return;
        }

        if (s.Rate is not null || s.RateTo is not null || s.Ladder is not null || s.Kind is SegmentKind.Settle or SegmentKind.Lengthen)
        {
            run.DropLastingRate();
        }

        double? paceSpeed = s.SecPer500 is { } pace ? 500 / pace * speedFactor : null;
        double before = Measure(run, end.Measure);
        if (s.Ladder is { } ladder)
        {
            RunLadder(s, ladder, end, run, into, rateFrom);
            if (_failed)
            {
                return;
            }
        }
        else
        {
            run.To(end, rateFrom, rateTo, paceSpeed, s.EffortPercent);
            into.Add(Make(s, from, run.Here, rateFrom, rateTo));
        }

        if (Measure(run, end.Measure) < end.Value - 0.02 && end.Measure != PlanMeasure.Metres)
        {
            double missing = end.Value - Measure(run, end.Measure);
            double extra = end.Measure == PlanMeasure.Strokes ? missing * 60 * speed / Math.Max(run.Rate, 1) : missing * speed;
            if (missing / Math.Max(end.Value - before, 1e-9) > 0.002 && (end.Measure != PlanMeasure.Strokes || missing > StrokeTolerance))
            {
                Error(s.Line, "past-the-finish", $"This segment passes the finish by {extra:0} m: its {Say(s)} begin at {from.Distance.Metres:0} m of {finish:0} m.");
                return;
            }
        }

        CheckLengths(s, from, run.Here);
    }

    private static string Say(SegmentLine s) =>
        s.Extent.Strokes is { } n ? Inv($"{n:0.#} strokes") : s.Extent.Seconds is { } t ? Inv($"{t:0.#} s") : "metres";

    private double DefaultRate(SegmentLine s, int index, PlanRun run)
    {
        if (s.Kind is SegmentKind.Start)
        {
            // A start without a rate is rowed towards the rate of what follows it.
            return plan.Segments.Skip(index + 1).FirstOrDefault(x => x.Kind is SegmentKind.High)?.Rate ?? baseRate;
        }

        if (s.Kind is SegmentKind.Base && s.Ladder is null)
        {
            return baseRate;
        }

        return index == 0 ? baseRate : run.Rate;
    }

    private double DefaultRateTo(SegmentLine s, SegmentLine? next, double rateFrom) =>
        s.Kind is SegmentKind.Settle or SegmentKind.Lengthen && s.Rate is null
            ? next is { Kind: SegmentKind.Base } ? next.Rate ?? baseRate : baseRate
            : rateFrom;

    /// <summary>Where the segment ends; null after an error.</summary>
    private PlanGoal? Goal(SegmentLine s, SegmentLine? next, PlanRun run, int index)
    {
        var e = s.Extent;
        if (e.LastMetres is { } lastMetres)
        {
            return LastPart(s, run, finish - lastMetres, Inv($"the last {lastMetres:0} m"), index) is null ? null : UntilNextLast(next, run);
        }

        if (e.LastStrokes is { } lastStrokes)
        {
            double begin = totalStrokes - lastStrokes;
            if (begin < 0)
            {
                Error(s.Line, "longer-than-race", $"The last {lastStrokes:0} strokes are more than the whole race, which has {totalStrokes:0}.");
                return null;
            }

            if (!estimating && run.N - begin > StrokeTolerance)
            {
                Error(s.Line, "begins-too-late", $"The last {lastStrokes:0} strokes begin at stroke {begin + 1:0}, but what is planned before them goes on to stroke {run.N:0}.");
                return null;
            }

            return UntilNextLast(next, run);
        }

        if (e.Strokes is { } strokes)
        {
            if (s.Fractions.Count > 0 && s.Fractions.Count > strokes)
            {
                Error(s.Line, "more-fractions-than-strokes", $"The start lists {s.Fractions.Count} strokes by their slide but has only {strokes:0}.");
                return null;
            }

            return new PlanGoal(PlanMeasure.Strokes, run.N + strokes);
        }

        if (e.Until is { } until)
        {
            var goal = Resolve(until, s.Line);
            if (goal is { } g)
            {
                CheckForward(s, g, run, index);
                return _failed ? null : g;
            }

            return null;
        }

        if (e.Metres is { } metres)
        {
            if (run.X + metres > finish + 1)
            {
                Error(s.Line, "past-the-finish", $"These {metres:0} m begin at {run.X:0} m and pass the finish by {run.X + metres - finish:0} m.");
                return null;
            }

            return new PlanGoal(PlanMeasure.Metres, run.X + metres);
        }

        if (e.Seconds is { } seconds)
        {
            return new PlanGoal(PlanMeasure.Seconds, run.T + seconds);
        }

        if (s.Fractions.Count > 0)
        {
            return new PlanGoal(PlanMeasure.Strokes, run.N + s.Fractions.Count);
        }

        if (next is null)
        {
            return new PlanGoal(PlanMeasure.Metres, finish);
        }

        if (next.Extent.LastMetres is { } nextLast)
        {
            if (finish - nextLast <= run.X)
            {
                Error(next.Line, "begins-too-late", $"The last {nextLast:0} m begin at {finish - nextLast:0} m, but what is planned before them goes on to {run.X:0} m.");
                return null;
            }

            return new PlanGoal(PlanMeasure.Metres, finish - nextLast);
        }

        if (next.Extent.LastStrokes is { } nextStrokes)
        {
            return new PlanGoal(PlanMeasure.Strokes, Math.Max(totalStrokes - nextStrokes, run.N));
        }

        Error(s.Line, "no-length", $"How long is '{s.Name}'? Write strokes, metres, seconds, or a place: '20 strokes', 'to 1000 m'.");
        return null;
    }

    /// <summary>"Last 1000 m" goes on to the finish, or to where a following "last 300 m" or "last 30 strokes" begins.</summary>
    private PlanGoal UntilNextLast(SegmentLine? next, PlanRun run) => next?.Extent switch
    {
        { LastMetres: { } metres } when finish - metres > run.X => new PlanGoal(PlanMeasure.Metres, finish - metres),
        { LastStrokes: { } strokes } when totalStrokes - strokes > run.N => new PlanGoal(PlanMeasure.Strokes, totalStrokes - strokes),
        _ => new PlanGoal(PlanMeasure.Metres, finish),
    };

    private PlanGoal? LastPart(SegmentLine s, PlanRun run, double begin, string said, int index)
    {
        if (begin < 0)
        {
            Error(s.Line, "longer-than-race", $"{said} are more than the whole race of {finish:0} m.");
            return null;
        }

        double stroke = 60 * speed / baseRate;
        if (run.X - begin > stroke * StrokeTolerance)
        {
            Error(s.Line, "begins-too-late", $"{Capital(said)} begin at {begin:0} m, but line {plan.Segments[index - 1].Line} goes on to {run.X:0} m.");
            return null;
        }

        if (begin - run.X > stroke * StrokeTolerance)
        {
            int line = index > 0 ? plan.Segments[index - 1].Line : s.Line;
            Error(line, "gap", $"Nothing is planned from {run.X:0} m to {begin:0} m, where line {s.Line} begins.");
            return null;
        }

        return new PlanGoal(PlanMeasure.Metres, finish);
    }

    private static string Capital(string s) => s.Length > 0 ? char.ToUpperInvariant(s[0]) + s[1..] : s;

    private void CheckForward(SegmentLine s, PlanGoal goal, PlanRun run, int index)
    {
        double here = Measure(run, goal.Measure);
        string unit = goal.Measure switch { PlanMeasure.Metres => "m", PlanMeasure.Strokes => "strokes", _ => "s" };
        if (goal.Measure == PlanMeasure.Metres && goal.Value > finish + 0.01)
        {
            Error(s.Line, "past-the-finish", $"'{s.Name}' goes to {goal.Value:0} m, but the race is over at {finish:0} m.");
        }
        else if (goal.Value <= here + 0.01)
        {
            if (index == 0)
            {
                Error(s.Line, "goes-backwards", $"'{s.Name}' ends at {goal.Value:0.#} {unit}, where the race begins.");
            }
            else
            {
                Error(s.Line, "goes-backwards", $"'{s.Name}' ends at {goal.Value:0.#} {unit}, but line {plan.Segments[index - 1].Line} already goes on to {here:0.#} {unit}.");
            }
        }
    }

    private void RunLadder(SegmentLine s, RateLadder ladder, PlanGoal end, PlanRun run, List<PlannedSegment> into, double before)
    {
        double begin = Measure(run, end.Measure);
        int parts = ladder.Rates.Count;
        double rate = before;
        for (int rung = 0; rung < 40 && run.X < finish - 0.01 && Measure(run, end.Measure) < end.Value - 0.01; rung++)
        {
            PlanGoal goal = end;
            if (parts > 0)
            {
                goal = rung >= parts - 1 ? end : new PlanGoal(end.Measure, begin + (end.Value - begin) * (rung + 1) / parts);
                rate = ladder.Rates[Math.Min(rung, parts - 1)];
            }
            else
            {
                rate += ladder.UpBy ?? 0;
                if (ladder.Every is { } every)
                {
                    var measure = ladder.EveryInStrokes ? PlanMeasure.Strokes : PlanMeasure.Metres;
                    goal = new PlanGoal(measure, Measure(run, measure) + every);

                    // A rung that would be left with less than a third of itself is rowed with the one before it.
                    goal = measure == end.Measure && end.Value - goal.Value < every / 3 ? end : goal;
                }
            }

            if (rate is < 14 or > 56)
            {
                Error(s.Line, "bad-rate", $"The steps climb to {rate:0} strokes a minute; a rate lies between 14 and 56.");
                return;
            }

            var from = run.Here;
            run.To(goal, rate, rate, s.SecPer500 is { } pace ? 500 / pace * speedFactor : null, s.EffortPercent, end);
            if (run.X > from.Distance.Metres + 1e-6)
            {
                into.Add(Make(s, from, run.Here, rate, rate));
            }
        }
    }

    /// <summary>The other lengths that were written must agree with the one that was used.</summary>
    private void CheckLengths(SegmentLine s, PlanPoint from, PlanPoint to)
    {
        var e = s.Extent;
        double metres = to.Distance.Metres - from.Distance.Metres;
        double strokes = to.Strokes - from.Strokes;
        double seconds = to.Time.Seconds - from.Time.Seconds;
        double perStroke = metres / Math.Max(strokes, 1e-9);
        double rate = 60 * strokes / Math.Max(seconds, 1e-9);
        if (e.Strokes is { } n && e.LastMetres is { } last && Math.Abs(to.Distance.Metres - finish) < 0.5 && Math.Abs(strokes - n) > StrokeTolerance)
        {
            Error(s.Line, "strokes-and-metres", $"{n:0} strokes is {n * perStroke:0} m at this rate, not {last:0}: the last {last:0} m are {strokes:0} strokes at {rate:0.#}.");
        }
        else if (e.Strokes is { } m && e.Metres is { } written && Math.Abs(metres - written) > StrokeTolerance * perStroke)
        {
            Error(s.Line, "strokes-and-metres", $"{m:0} strokes is {metres:0} m at this rate, not {written:0}: {written:0} m are {written / perStroke:0} strokes at {rate:0.#}.");
        }

        if (e.Strokes is { } k && e.Seconds is { } time && e.LastMetres is null && Math.Abs(seconds - time) > StrokeTolerance * seconds / Math.Max(k, 1))
        {
            Error(s.Line, "strokes-and-seconds", $"{k:0} strokes take {seconds:0.0} s at {rate:0.#}, not {time:0.#} s: in {time:0.#} s they would be {60 * k / time:0.0} a minute.");
        }

        if (e.Strokes is null && e.Metres is { } d && e.Seconds is { } t && Math.Abs(seconds - t) > 0.04 * t)
        {
            Error(s.Line, "metres-and-seconds", $"{d:0} m take {seconds:0.0} s at this pace, not {t:0.#} s: in {t:0.#} s they would be a pace of {Clock(500 * t / d)}.");
        }

        if (e.Strokes is { } c && e.Until is { } until && Resolve(until, s.Line) is { } place)
        {
            double reached = place.Measure switch { PlanMeasure.Metres => to.Distance.Metres, PlanMeasure.Strokes => to.Strokes, _ => to.Time.Seconds };
            double tolerance = StrokeTolerance * (place.Measure switch { PlanMeasure.Metres => perStroke, PlanMeasure.Strokes => 1, _ => seconds / Math.Max(c, 1) });
            if (Math.Abs(reached - place.Value) > tolerance)
            {
                string unit = place.Measure switch { PlanMeasure.Metres => "m", PlanMeasure.Strokes => "strokes", _ => "s" };
                Error(s.Line, "strokes-and-place", $"{c:0} strokes from {from.Distance.Metres:0} m end at {reached:0} {unit}, not at {place.Value:0} {unit}.");
            }
        }

        double toEnd = e.LastStrokes is null ? 0 : totalStrokes - from.Strokes;
        if (!estimating && e.LastStrokes is { } w && Math.Abs(toEnd - w) > 1.5)
        {
            Error(s.Line, "begins-too-early", $"This is to be the last {w:0} strokes, but from {from.Distance.Metres:0} m to the finish there are {toEnd:0}. Let the segment before it have no length, or end it there.");
        }

        if (e.Strokes is null && s.Fractions.Count > 0 && strokes < s.Fractions.Count - StrokeTolerance)
        {
            Error(s.Line, "more-fractions-than-strokes", $"The start lists {s.Fractions.Count} strokes by their slide but has only {strokes:0.0}.");
        }
    }

    private PlannedSegment Make(SegmentLine s, PlanPoint from, PlanPoint to, double rateFrom, double rateTo) => new(
        s.Line, s.Kind, s.Name, from, to, StrokeRate.FromPerMinute(rateFrom), StrokeRate.FromPerMinute(rateTo),
        Pace.Over(to.Distance - from.Distance, to.Time - from.Time), s.EffortPercent, s.Purpose, s.Words, s.Fractions);

    private static double Measure(PlanRun run, PlanMeasure m) => m switch { PlanMeasure.Metres => run.X, PlanMeasure.Strokes => run.N, _ => run.T };

    private List<PendingCue> PlaceCues()
    {
        var result = new List<PendingCue>();
        foreach (var cue in plan.Cues)
        {
            switch (cue.Trigger)
            {
                case PlaceTrigger p when Resolve(p.Place, cue.Line) is { } goal:
                    CheckInside(cue, goal);
                    result.Add(new PendingCue(cue, goal));
                    break;
                case not PlaceTrigger and not EveryTrigger when fired.TryGetValue(cue.Line, out double supposed):
                    result.Add(new PendingCue(cue, new PlanGoal(PlanMeasure.Metres, supposed)));
                    break;
                case EveryTrigger e:
                    double end = e.InStrokes ? totalStrokes : finish;
                    if (end / e.Step > 200)
                    {
                        Error(cue.Line, "too-often", $"Every {e.Step:0.#} {(e.InStrokes ? "strokes" : "m")} would be said {end / e.Step:0} times.");
                        break;
                    }

                    for (double at = e.Step; at < end - 0.01; at += e.Step)
                    {
                        result.Add(new PendingCue(cue, new PlanGoal(e.InStrokes ? PlanMeasure.Strokes : PlanMeasure.Metres, at)));
                    }

                    break;
            }
        }

        return result;
    }

    private void CheckInside(CueLine cue, PlanGoal goal)
    {
        double end = goal.Measure switch { PlanMeasure.Metres => finish, PlanMeasure.Strokes => totalStrokes, _ => double.PositiveInfinity };
        if (goal.Value < 0)
        {
            Error(cue.Line, "before-the-start", $"'{cue.TriggerText}' lies before the start.");
        }
        else if (goal.Value > end + 0.01)
        {
            string what = goal.Measure == PlanMeasure.Metres ? Inv($"the race is over at {finish:0} m") : Inv($"the race has {totalStrokes:0} strokes");
            Error(cue.Line, "cue-past-the-finish", $"'{cue.TriggerText}' never comes: {what}.");
        }
    }

    private void CheckCues(List<PendingCue> cues, PlanRun run)
    {
        foreach (var cue in cues)
        {
            if (cue.From is null)
            {
                Error(cue.Line.Line, "cue-past-the-finish", $"'{cue.Line.TriggerText}' never comes: this plan is over after {Clock(run.T)} and {run.N:0} strokes.");
                continue;
            }

            if (cue.ReplacedBy is { } answer)
            {
                issues.Add(new PlanIssue(cue.Line.Line, 1, PlanSeverity.Remark, "replaced", Inv(
                    $"Not rowed at {cue.From.Value.Distance.Metres:0} m: the burst of line {answer.Line.Line} takes its place.")));
                continue;
            }

            if (cue.Overlaps is { } other)
            {
                string by = cue.OverlapStrokes > 0 ? Inv($"{cue.OverlapStrokes:0.#} strokes ") : "";
                Error(cue.Line.Line, "bursts-overlap", $"This burst begins at {cue.From.Value.Distance.Metres:0} m, {by}before the one of line {other.Line.Line} is over.");
            }

            if (cue.RateTarget is { } target && target is < 14 or > 56)
            {
                Error(cue.Line.Line, "bad-rate", $"This would be {cue.RateTarget:0.#} strokes a minute; a rate lies between 14 and 56.");
            }

            if (cue.Line.InStrokes is { } warning && cue.From.Value.Strokes - warning < 0)
            {
                Error(cue.Line.Line, "warning-before-start", $"A warning of {warning} strokes for a burst at stroke {cue.From.Value.StrokeNumber} would be called before the start.");
            }

            if (cue.IsBurst && cue.To is null)
            {
                double strokes = cue.Line.Strokes ?? 0;
                double left = run.N - cue.From.Value.Strokes;
                if (strokes > 0 && strokes - left > StrokeTolerance)
                {
                    Error(cue.Line.Line, "burst-past-the-finish",
                        $"{strokes:0} strokes from {cue.From.Value.Distance.Metres:0} m go past the finish by {(strokes - left) * 60 * speed / run.Rate:0} m: there are {left:0} strokes left there.");
                }
                else if (cue.Line.Metres is { } metres && cue.From.Value.Distance.Metres + metres > finish + 5)
                {
                    Error(cue.Line.Line, "burst-past-the-finish", $"{metres:0} m from {cue.From.Value.Distance.Metres:0} m go past the finish by {cue.From.Value.Distance.Metres + metres - finish:0} m.");
                }

                cue.To = run.Here;
            }

            CheckCueLengths(cue);
        }
    }

    /// <summary>"Instead" with nothing to stand in for is worth a remark.</summary>
    private void CheckInstead(List<PendingCue> cues)
    {
        foreach (var cue in plan.Cues.Where(c => c.Instead))
        {
            bool placed = cues.Any(p => p.Line == cue);
            bool burst = cue.Strokes is not null || cue.Seconds is not null || cue.Metres is not null;
            if (!burst)
            {
                issues.Add(new PlanIssue(cue.Line, 1, PlanSeverity.Remark, "instead-of-what", "'instead' takes the place of the next planned burst, but this cue is none: write how many strokes."));
            }
            else if (placed ? cues.All(p => p.ReplacedBy?.Line != cue) : !cues.Any(p => p.IsBurst))
            {
                issues.Add(new PlanIssue(cue.Line, 1, PlanSeverity.Remark, "nothing-to-replace", "'instead' takes the place of the next planned burst, but none is planned after it."));
            }
        }
    }

    private void CheckCueLengths(PendingCue cue)
    {
        if (cue.From is not { } from || cue.To is not { } to || cue.Line.Strokes is not { } n)
        {
            return;
        }

        double metres = to.Distance.Metres - from.Distance.Metres;
        double seconds = to.Time.Seconds - from.Time.Seconds;
        double rate = 60 * (to.Strokes - from.Strokes) / Math.Max(seconds, 1e-9);
        if (cue.Line.Metres is { } written && Math.Abs(written - metres) > StrokeTolerance * metres / n)
        {
            Error(cue.Line.Line, "strokes-and-metres", $"{n} strokes is {metres:0} m at this rate, not {written:0}: {written:0} m are {written * n / metres:0} strokes at {rate:0.#}.");
        }

        if (cue.Line.Seconds is { } time && Math.Abs(time - seconds) > StrokeTolerance * seconds / n)
        {
            Error(cue.Line.Line, "strokes-and-seconds", $"{n} strokes take {seconds:0.0} s at {rate:0.#}, not {time:0.#} s.");
        }
    }

    private PlanGoal? Resolve(PlanPlace place, int line)
    {
        switch (place)
        {
            case MetresGone p:
                return new PlanGoal(PlanMeasure.Metres, p.Metres);
            case MetresLeft p:
                return new PlanGoal(PlanMeasure.Metres, finish - p.Metres);
            case StrokeNumber p:
                return new PlanGoal(PlanMeasure.Strokes, p.Number - 1);
            case StrokesLeft p:
                return new PlanGoal(PlanMeasure.Strokes, totalStrokes - p.Strokes);
            case SecondsGone p:
                return new PlanGoal(PlanMeasure.Seconds, p.Seconds);
            case HalfWay:
                return new PlanGoal(PlanMeasure.Metres, finish / 2);
            case FinishLine:
                return new PlanGoal(PlanMeasure.Metres, finish);
            case AtMark p:
                if (plan.Head.Marks.FirstOrDefault(m => PlanPlaceReader.Same(m.Name, p.Name)) is { } mark)
                {
                    return Resolve(mark.Place, line);
                }

                string near = PlanLineReader.Nearest(p.Name, plan.Head.Marks.Select(m => m.Name));
                Error(line, "unknown-mark", $"Where is '{p.Name}'? {(near.Length > 0 ? $"Did you mean '{near}'?" : $"Write 'mark {p.Name} 750 m' in the head.")}");
                return null;
            default:
                return null;
        }
    }

    private void Error(int line, string code, FormattableString sentence)
    {
        _failed = true;
        issues.Add(new PlanIssue(line, 1, PlanSeverity.Error, code, Inv(sentence)));
    }
}
