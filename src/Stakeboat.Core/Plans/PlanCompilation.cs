using Stakeboat.Core.Units;
using static Stakeboat.Core.Plans.PlanCompiler;

namespace Stakeboat.Core.Plans;

/// <summary>One compiling of one plan.</summary>
internal sealed class PlanCompilation(PlanVariant plan, PlanConditions conditions, List<PlanIssue> issues, IReadOnlyDictionary<int, double>? fired = null)
{
    private static readonly Dictionary<int, double> NoneFired = [];

    private readonly PlanHead _head = plan.Head;
    private double _finish;
    private double _baseRate;
    private double _lift;
    private double _startLength;
    private IReadOnlyList<SpeedFrom> _along = [];

    private bool Failed => issues.Any(i => i.Severity == PlanSeverity.Error);

    public PlanResult Compile()
    {
        CheckHead();
        CheckFacts();
        var names = CheckMarks();
        CheckRivals();
        if (Failed)
        {
            return new PlanResult(null, issues);
        }

        double pace = PaceWritten();
        if (Failed)
        {
            return new PlanResult(null, issues);
        }

        var trial = RunToEnd(500 / pace * conditions.SpeedFactor, true);
        if (Failed || trial is null)
        {
            return new PlanResult(null, Sorted());
        }

        CheckGoal(pace, trial);
        PlanRemarks.Add(plan, trial, _baseRate, issues);
        if (Failed)
        {
            return new PlanResult(null, Sorted());
        }

        var marks = names.Select(n => n.Metres).ToArray();
        var assumptions = new PlanAssumptions(
            _head.Boat?.Code, Pace.FromSecondsPer500(pace / conditions.SpeedFactor), StrokeRate.FromPerMinute(_baseRate), _lift, _head.LiftPercent is not null,
            Distance.FromMetres(_startLength), conditions.SpeedFactor, ReferenceEquals(conditions, PlanConditions.AsWritten) ? Written() : conditions.Name)
        {
            LiftFromLadder = _head.LiftPercent is null && _head.Own.Ladder.Count > 0, BaseFromReference = FromReference, Along = _along,
        };
        var compiled = new CompiledPlan(
            plan.Name, plan.When, _head.Title, _head.Crew, _head.Course, _head.Date, _head.Rivals, Distance.FromMetres(_finish), trial.Run.Here,
            trial.Segments, Placed(trial), [], [.. names.Select(n => n.Name)], trial.Run.Samples, assumptions);
        compiled = compiled with { Marks = [.. marks.Select(m => compiled.At(Distance.FromMetres(m)))] };
        return new PlanResult(compiled, Sorted());
    }

    private bool FromReference => _head.BaseSecPer500 is null && _head.GoalSeconds is null && _head.Own.Reference is not null;

    /// <summary>Base pace, s per 500 m: as written, from the goal, or from the crew's reference pace carried into these conditions.</summary>
    private double PaceWritten()
    {
        double guess = PlanPricing.BaseSpeed(_head);
        _along = conditions.Along ?? PlanWinds.Speeds(_head, guess);
        return _head.BaseSecPer500 ?? (FromReference ? 500 / guess : SolveForGoal());
    }

    /// <summary>The head's own conditions in a few words.</summary>
    private string Written()
    {
        var parts = new List<string>();
        if (_head.Wind is { } wind)
        {
            string from = wind.AngleDegrees switch
            {
                0 => "head",
                45 => "head cross",
                90 => "cross",
                135 => "tail cross",
                180 => "tail",
                _ => Inv($"from {wind.FromDegrees:0}"),
            };
            parts.Add(wind.SpeedMps == 0 ? "calm" : Inv($"wind {from} {wind.SpeedMps:0.#} m/s"));
        }

        if (_head.StreamMps is { } stream && stream != 0)
        {
            parts.Add(Inv($"stream {(stream > 0 ? "with" : "against")} {Math.Abs(stream):0.##} m/s"));
        }

        if (_head.WaterCelsius is { } water)
        {
            parts.Add(Inv($"water {water:0} C"));
        }

        return parts.Count > 0 ? string.Join(", ", parts) : "wind not written";
    }

    private IReadOnlyList<PlanIssue> Sorted() => [.. issues.OrderBy(i => i.Line).ThenBy(i => i.Column)];

    private void Error(int line, string code, FormattableString sentence) =>
        issues.Add(new PlanIssue(line, 1, PlanSeverity.Error, code, Inv(sentence)));

    private void CheckHead()
    {
        _finish = _head.Metres ?? 0;
        if (_head.Metres is null && !_head.Lines.ContainsKey("distance"))
        {
            Error(0, "no-distance", $"How long is the race? Write 'distance 2000 m'.");
        }

        if (_head.BaseSecPer500 is null && _head.GoalSeconds is null && !_head.Lines.ContainsKey("pace") && !_head.Lines.ContainsKey("time") && !_head.Lines.ContainsKey("reference"))
        {
            Error(0, "no-pace", $"How fast is the plan? Write 'pace 1:36' for 500 m at the base rate, 'time 6:24' for the whole race, or 'reference 1:34' for the crew's own pace in calm water.");
        }

        if (_head.BaseRate is null && !_head.Lines.ContainsKey("rate"))
        {
            Error(0, "no-rate", $"Which rate is the base? Write 'rate 36'.");
        }

        if (plan.Segments.Count == 0 && issues.Count == 0)
        {
            Error(0, "no-segments", $"This plan has no segments. Write at least 'base to the finish'.");
        }

        _baseRate = _head.BaseRate ?? 0;
        _lift = _head.LiftPercent ?? (_baseRate > 0 && _head.Own.RateLadder(_baseRate) is { } own ? 100 * (Math.Exp(own.Slope.Mean / PlanCrewFacts.SpeedExponent) - 1) : DefaultLiftPercent);
        _startLength = _head.RollingStart ? 0 : StartLength(_head.Boat).Metres;
    }

    /// <summary>The crew's facts and the wind's bearing: what cannot be used is said with its reason.</summary>
    private void CheckFacts()
    {
        foreach (var (key, sentence) in _head.Own.Wrong())
        {
            Error(_head.Lines.GetValueOrDefault(key), "bad-" + key, $"{sentence}");
        }

        if (_head.Wind is { FromDegrees: not null } wind && _head.Headings.Count == 0)
        {
            Error(wind.Line, "wind-without-heading", $"A wind from {wind.FromDegrees:0} degrees says nothing until the course's bearing is known: write 'heading 240', from start to finish.");
        }

        if (_head.Wind is { AngleDegrees: not null, SpeedMps: > 0 } along && _head.Headings.Count > 1)
        {
            Error(along.Line, "wind-on-a-bend", $"This course bends, so its wind is not '{(along.AngleDegrees < 90 ? "head" : along.AngleDegrees > 90 ? "tail" : "cross")}' all the way: write where it blows from, such as 'wind from 240 at {along.SpeedMps:0.#} m/s'.");
        }

        if (_head.Metres is { } metres && _head.Headings.Count > 1)
        {
            int line = _head.Lines.GetValueOrDefault("heading");
            if (_head.Headings.LastOrDefault(h => h.ToMetres is not null).ToMetres is { } far && far > metres && _head.Headings[^1].ToMetres is null)
            {
                Error(line, "bend-off-course", $"The course's last part begins at {far:0} m, but the race is over at {metres:0} m.");
            }
            else if (_head.Headings[^1].ToMetres is { } end && end < metres - 0.5)
            {
                Error(line, "bend-stops-short", $"The course's bearings end at {end:0} m of {metres:0} m: write the last one without 'to'.");
            }
        }
    }

    private List<(string Name, double Metres)> CheckMarks()
    {
        var result = new List<(string, double)>();
        foreach (var m in _head.Marks)
        {
            double at = m.Place is MetresLeft left ? _finish - left.Metres : ((MetresGone)m.Place).Metres;
            if (_head.Metres is not null && (at < 0 || at > _finish))
            {
                Error(m.Line, "mark-off-course", $"The mark '{m.Name}' stands at {at:0} m, but the race is {_finish:0} m long.");
            }

            result.Add((m.Name, at));
        }

        return result;
    }

    private void CheckRivals()
    {
        if (_head.Rivals.Count == 0)
        {
            return;
        }

        foreach (var cue in plan.Cues)
        {
            string? crew = cue.Trigger switch
            {
                RivalMovesTrigger t => t.Crew,
                ThroughTheirMoveTrigger t => t.Crew,
                MarginTrigger t => t.Crew,
                _ => null,
            };
            if (crew is not null && !_head.Rivals.Any(r => string.Equals(r, crew, StringComparison.OrdinalIgnoreCase)))
            {
                string near = PlanLineReader.Nearest(crew, _head.Rivals);
                Error(cue.Line, "unknown-rival", $"'{crew}' is not among the rivals ({string.Join(", ", _head.Rivals)}).{(near.Length > 0 ? $" Did you mean {near}?" : "")}");
            }
        }
    }

    /// <summary>Base pace, s per 500 m, with which the whole plan takes the goal's time.</summary>
    private double SolveForGoal()
    {
        double goal = _head.GoalSeconds!.Value;
        double lo = 50, hi = 400;
        for (int i = 0; i < 60; i++)
        {
            double mid = (lo + hi) / 2;
            var run = RunToEnd(500 / mid, false);
            if (run is null)
            {
                // It contradicts itself at any pace: the run that reports will say where.
                return 500 * goal / _finish;
            }

            if (run.Run.T > goal)
            {
                hi = mid;
            }
            else
            {
                lo = mid;
            }
        }

        if (lo < 60 || hi > 300)
        {
            Error(_head.Lines.GetValueOrDefault("time"), "goal-out-of-reach", $"{Clock(goal)} for {_finish:0} m cannot be reached with this plan at any base pace between 1:00 and 5:00.");
        }

        return (lo + hi) / 2;
    }

    private void CheckGoal(double pace, Trial trial)
    {
        if (_head.GoalSeconds is { } goal && _head.BaseSecPer500 is not null && conditions.SpeedFactor == 1 && Math.Abs(trial.Run.T - goal) > 0.005 * goal)
        {
            Error(_head.Lines.GetValueOrDefault("time"), "goal-and-pace-disagree",
                $"At a base pace of {Clock(pace)} this plan takes {Clock(trial.Run.T)}, not {Clock(goal)}. Give either the pace or the time.");
        }
    }

    /// <summary>Runs the plan; strokes counted from the finish need the finish first, so it runs until that stands still.</summary>
    private Trial? RunToEnd(double speed, bool report)
    {
        double totalStrokes = _finish / speed * _baseRate / 60;
        Trial? last = null;
        int issuesBefore = issues.Count;
        for (int pass = 0; pass < 12; pass++)
        {
            last = Pass(true);
            issues.RemoveRange(issuesBefore, issues.Count - issuesBefore);
            if (last is null || Math.Abs(last.Run.N - totalStrokes) < 1e-4)
            {
                break;
            }

            totalStrokes = last.Run.N;
        }

        if (!report)
        {
            // The same sentences would come again with the pace that is being sought.
            return last;
        }

        return Pass(false);

        Trial? Pass(bool estimating) =>
            new PlanPass(plan, _finish, _baseRate, _lift, _startLength, totalStrokes, speed, conditions.SpeedFactor, _along, fired ?? NoneFired, estimating, issues).Run();
    }

    private List<PlannedCue> Placed(Trial trial)
    {
        var result = new List<PlannedCue>();
        foreach (var p in trial.Cues.Where(c => c.ReplacedBy is null))
        {
            var kind = p.IsBurst ? CueKind.Burst : p.RateTarget is not null ? CueKind.RateChange : CueKind.Words;
            PlanPoint? callAt = p.From;
            if (p.From is { } from && p.Line.InStrokes is { } warning)
            {
                callAt = AtStrokes(trial.Run.Samples, from.Strokes - warning);
            }

            Pace? pace = p.From is { } a && p.To is { } b && b.Distance > a.Distance ? Pace.Over(b.Distance - a.Distance, b.Time - a.Time) : null;
            result.Add(new PlannedCue(
                p.Line.Line, kind, p.Line.Trigger, p.Line.TriggerText, p.Line.ActionText, p.From, p.To, callAt,
                p.From is { } f && p.To is { } t && p.IsBurst ? (int)Math.Round(t.Strokes - f.Strokes) : p.Line.Strokes,
                p.RateTarget is { } r ? StrokeRate.FromPerMinute(r) : null, p.Line.RateBy, p.Line.InStrokes, p.Line.OverStrokes, p.Line.EffortPercent, pace,
                p.Line.Purpose, p.Line.Words, p.Line.Instead));
        }

        foreach (var cue in plan.Cues.Where(c => c.Trigger is not (PlaceTrigger or EveryTrigger) && fired?.ContainsKey(c.Line) != true))
        {
            bool burst = cue.Strokes is not null || cue.Seconds is not null || cue.Metres is not null;
            var kind = burst ? CueKind.Burst : cue.Rate is not null || cue.RateBy is not null ? CueKind.RateChange : CueKind.Words;
            double? rate = cue.Rate ?? (cue.RateBy is { } by ? _baseRate + by : null);
            result.Add(new PlannedCue(
                cue.Line, kind, cue.Trigger, cue.TriggerText, cue.ActionText, null, null, null, cue.Strokes, rate is { } r ? StrokeRate.FromPerMinute(r) : null,
                cue.RateBy, cue.InStrokes, cue.OverStrokes, cue.EffortPercent, null, cue.Purpose, cue.Words, cue.Instead));
        }

        return [.. result.OrderBy(c => c.From is null ? 1 : 0).ThenBy(c => c.From?.Distance.Metres ?? 0).ThenBy(c => c.Line)];
    }

    private static PlanPoint AtStrokes(IReadOnlyList<PlanSample> samples, double strokes)
    {
        int i = 1;
        while (i < samples.Count - 1 && samples[i].Strokes < strokes)
        {
            i++;
        }

        var a = samples[i - 1];
        var b = samples[i];
        double f = b.Strokes > a.Strokes ? (strokes - a.Strokes) / (b.Strokes - a.Strokes) : 0;
        return new PlanPoint(
            Distance.FromMetres(a.Distance.Metres + f * (b.Distance.Metres - a.Distance.Metres)), strokes,
            Duration.FromSeconds(a.Time.Seconds + f * (b.Time.Seconds - a.Time.Seconds)));
    }
}

/// <summary>What came of one run.</summary>
internal sealed record Trial(PlanRun Run, IReadOnlyList<PlannedSegment> Segments, IReadOnlyList<PendingCue> Cues);
