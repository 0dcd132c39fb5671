using Stakeboat.Core.Units;

namespace Stakeboat.Core.Plans;

/// <summary>What ends a stretch: a number of metres, strokes or seconds since "go".</summary>
internal enum PlanMeasure { Metres, Strokes, Seconds }

/// <summary>A place in one of the three measures, counted from "go".</summary>
internal readonly record struct PlanGoal(PlanMeasure Measure, double Value);

/// <summary>A cue that waits for its place while the race is run through.</summary>
internal sealed class PendingCue(CueLine line, PlanGoal at)
{
    public CueLine Line { get; } = line;

    public PlanGoal At { get; } = at;

    public PlanPoint? From { get; set; }

    public PlanPoint? To { get; set; }

    public PlanGoal? End { get; set; }

    /// <summary>Rate before it, at which an "over" begins.</summary>
    public double RateBefore { get; set; }

    public double? RateTarget { get; set; }

    public PendingCue? Overlaps { get; set; }

    /// <summary>The burst that is rowed in this one's place.</summary>
    public PendingCue? ReplacedBy { get; set; }

    public double OverlapStrokes { get; set; }

    public bool IsBurst => Line.Strokes is not null || Line.Seconds is not null || Line.Metres is not null;
}

/// <summary>
/// Runs a plan through from "go" to the finish and keeps metres, strokes and seconds together. The hull's speed is
/// v = V (1 - exp(-x/x0))^(1/3) with V the steady speed for the rate and effort of the moment: the exact start at constant power
/// against a drag that goes with v² (energy: m v dv/dx = P/v - k v², x0 = m/3k); a change of rate changes V at once.
/// </summary>
/// <param name="along">Speed along the course over its mean at one effort: wind on a bending course; empty for none.</param>
internal sealed class PlanRun(
    double baseSpeed, double baseRate, double liftPercent, double startLength, double finish, IReadOnlyList<PendingCue> cues, IReadOnlyList<SpeedFrom> along)
{
    private const double Step = 0.05;
    private const double Tiny = 1e-9;

    private readonly List<PlanSample> _samples = [];
    private readonly List<PendingCue> _waiting = [.. cues.OrderBy(c => c.At.Measure).ThenBy(c => c.At.Value).ThenBy(c => c.Line.Instead ? 0 : 1)];
    private PendingCue? _burst;
    private PendingCue? _instead;
    private double _lastingRate = double.NaN;
    private PendingCue? _lasting;
    private double _nextSample;
    private double? _rate;

    public double X { get; private set; }

    public double N { get; private set; }

    public double T { get; private set; }

    /// <summary>Rate at the end of what has been run.</summary>
    public double Rate => _rate ?? baseRate;

    public IReadOnlyList<PlanSample> Samples => _samples;

    public PlanPoint Here => new(Distance.FromMetres(X), N, Duration.FromSeconds(T));

    /// <summary>A stretch with a rate of its own ends what a lasting cue had set.</summary>
    public void DropLastingRate()
    {
        _lastingRate = double.NaN;
        _lasting = null;
    }

    /// <summary>Runs to a goal, or to the finish where that comes first.</summary>
    /// <param name="paceSpeed">Steady speed where the writer fixed the pace, m/s; null: from base speed and rate.</param>
    /// <param name="orAt">A second goal that ends the stretch where it comes first.</param>
    public void To(PlanGoal goal, double rateFrom, double rateTo, double? paceSpeed, double? effortPercent, PlanGoal? orAt = null)
    {
        double begin = Measured(goal.Measure);
        double span = goal.Value - begin;
        int guard = 0;
        while (Measured(goal.Measure) < goal.Value - Tiny && X < finish - Tiny && !(orAt is { } or && Reached(or)) && guard++ < 2_000_000)
        {
            StartDue();
            double p = span > Tiny ? Math.Clamp((Measured(goal.Measure) - begin) / span, 0, 1) : 1;
            double own = rateFrom + (rateTo - rateFrom) * p;
            double rate = RateNow(own);
            double effort = _burst?.Line.EffortPercent ?? effortPercent ?? 0;
            double steady = paceSpeed is { } fixedSpeed ? SteadySpeed(fixedSpeed, own, rate, effort) : SteadySpeed(baseSpeed, baseRate, rate, effort);
            Sample(rate, steady, effort);
            double v = Speed(X, steady);
            double dt = Step;
            dt = Math.Min(dt, TimeTo(goal, v, rate));
            dt = Math.Min(dt, (finish - X) / v);
            foreach (var part in along)
            {
                dt = Math.Min(dt, TimeTo(new PlanGoal(PlanMeasure.Metres, part.From), v, rate));
            }

            foreach (var cue in _waiting)
            {
                dt = Math.Min(dt, TimeTo(cue.At, v, rate));
            }

            if (_burst?.End is { } end)
            {
                dt = Math.Min(dt, TimeTo(end, v, rate));
            }

            if (orAt is { } other)
            {
                dt = Math.Min(dt, TimeTo(other, v, rate));
            }

            Advance(Math.Max(dt, 1e-7), steady, rate);
            _rate = rate;
            EndDue();
        }

        _rate = RateNow(rateTo);
    }

    public void Finish(double effort)
    {
        EndDue();
        foreach (var cue in _waiting.Where(c => Reached(c.At) && c.From is null))
        {
            cue.From = Here;
        }

        _samples.Add(new PlanSample(Distance.FromMetres(X), N, Duration.FromSeconds(T), _samples.Count > 0 ? _samples[^1].Speed : default, StrokeRate.FromPerMinute(Rate), effort,
            _samples.Count > 0 ? _samples[^1].Steady : default));
    }

    /// <summary>Speed that belongs to a rate and an effort; power goes as v^2.85 about race pace (2.82 in a single, 2.91 in an eight).</summary>
    private double SteadySpeed(double reference, double referenceRate, double rate, double effortPercent) =>
        reference * (1 + liftPercent / 100 * (rate - referenceRate)) * Math.Pow(1 + effortPercent / 100, 1 / 2.85);

    private double Speed(double x, double steady) =>
        Along(x) * (startLength <= 0 ? steady : steady * Math.Cbrt(Math.Max(1 - Math.Exp(-x / startLength), 1e-12)));

    private double Along(double x)
    {
        double factor = 1;
        foreach (var part in along)
        {
            if (part.From <= x + 1e-6)
            {
                factor = part.Factor;
            }
        }

        return factor;
    }

    private void Advance(double dt, double steady, double rate)
    {
        if (X <= 0 && startLength > 0)
        {
            // Out of the singular start: v ~ V (x/x0)^(1/3), so x = ((2/3) V t)^(3/2) x0^(-1/2).
            X = Math.Pow(2.0 / 3 * steady * Along(0) * dt, 1.5) / Math.Sqrt(startLength);
        }
        else
        {
            double k1 = Speed(X, steady);
            double k2 = Speed(X + k1 * dt / 2, steady);
            X += k2 * dt;
        }

        N += rate / 60 * dt;
        T += dt;
    }

    private double RateNow(double segmentRate)
    {
        double rate = segmentRate;
        if (_lasting is { } l)
        {
            rate = Ramp(l, _lastingRate);
        }

        if (_burst is { RateTarget: { } target } b)
        {
            rate = Ramp(b, target);
        }

        return rate;
    }

    private double Ramp(PendingCue cue, double target)
    {
        if (cue.Line.OverStrokes is not { } over || cue.From is not { } from)
        {
            return target;
        }

        double p = Math.Clamp((N - from.Strokes) / over, 0, 1);
        return cue.RateBefore + (target - cue.RateBefore) * p;
    }

    private void StartDue()
    {
        for (int i = 0; i < _waiting.Count; i++)
        {
            var cue = _waiting[i];
            if (!Reached(cue.At))
            {
                continue;
            }

            _waiting.RemoveAt(i--);
            cue.From = Here;
            if (cue.IsBurst && !cue.Line.Instead && _instead is { } answer)
            {
                cue.ReplacedBy = answer;
                cue.To = Here;
                _instead = null;
                continue;
            }

            if (cue.IsBurst && cue.Line.Instead)
            {
                TakeThePlace(cue);
            }

            cue.RateBefore = Rate;
            double? target = cue.Line.Rate ?? (cue.Line.RateBy is { } by ? Rate + by : null);
            cue.RateTarget = target;
            if (cue.IsBurst)
            {
                if (_burst is { } running && running.End is { } runningEnd)
                {
                    cue.Overlaps = running;
                    cue.OverlapStrokes = runningEnd.Measure == PlanMeasure.Strokes ? runningEnd.Value - N : 0;
                }

                cue.End = cue.Line.Strokes is { } n ? new PlanGoal(PlanMeasure.Strokes, N + n)
                    : cue.Line.Metres is { } m ? new PlanGoal(PlanMeasure.Metres, X + m)
                    : new PlanGoal(PlanMeasure.Seconds, T + cue.Line.Seconds!.Value);
                if (cue.Line.RateBy is { } b && _burst?.RateTarget is not null)
                {
                    cue.RateTarget = Rate + b;
                }

                _burst = cue;
            }
            else if (target is { } lasting)
            {
                _lasting = cue;
                _lastingRate = lasting;
                cue.To = Here;
            }
            else
            {
                cue.To = null;
            }
        }
    }

    /// <summary>"Instead": a burst that is being rowed ends here; where none is, the next one is left out.</summary>
    private void TakeThePlace(PendingCue cue)
    {
        if (_burst is { } running && !running.Line.Instead)
        {
            running.To = Here;
            running.ReplacedBy = cue;
            _burst = null;
        }
        else
        {
            _instead = cue;
        }
    }

    private void EndDue()
    {
        if (_burst?.End is { } end && Reached(end))
        {
            _burst.To = Here;
            _burst = null;
        }
    }

    private bool Reached(PlanGoal goal) => Measured(goal.Measure) >= goal.Value - 1e-7;

    private double Measured(PlanMeasure measure) => measure switch { PlanMeasure.Metres => X, PlanMeasure.Strokes => N, _ => T };

    private double TimeTo(PlanGoal goal, double v, double rate)
    {
        double left = goal.Value - Measured(goal.Measure);
        if (left <= 1e-7)
        {
            return double.PositiveInfinity;
        }

        return goal.Measure switch
        {
            PlanMeasure.Metres => v > 1e-6 ? left / v : double.PositiveInfinity,
            PlanMeasure.Strokes => left / (rate / 60),
            _ => left,
        };
    }

    private void Sample(double rate, double steady, double effort)
    {
        if (T + 1e-9 < _nextSample)
        {
            return;
        }

        _samples.Add(new PlanSample(
            Distance.FromMetres(X), N, Duration.FromSeconds(T), SpeedOverGround.FromMetresPerSecond(X <= 0 && startLength > 0 ? 0 : Speed(X, steady)),
            StrokeRate.FromPerMinute(rate), effort, SpeedOverGround.FromMetresPerSecond(steady)));
        _nextSample = T + 0.5;
    }
}
