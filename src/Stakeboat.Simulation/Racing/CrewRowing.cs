namespace Stakeboat.Simulation.Racing;

/// <summary>One crew on its way down the course.</summary>
internal sealed class CrewRowing
{
    // Change of speed per m/s of head wind: about 1.2 % for an eight at race pace. Common practice, no source.
    private const double SpeedPerHeadWind = 0.012;
    private static readonly double[] FirstLengths = [0.75, 0.5, 0.6, 0.75, 0.9];
    private readonly RaceScenario _scenario;
    private readonly CrewScript _script;
    private readonly SharedGust _gust;
    private readonly Dice _dice;
    private readonly HullRower _rower;
    private readonly List<BurstPlan> _waiting;
    private readonly SlowNoise _form;
    private (BurstPlan Plan, double From, int Left)? _burst;
    private int _strokes;

    public CrewRowing(RaceScenario scenario, CrewScript script, SharedGust gust, Dice dice)
    {
        _scenario = scenario;
        _script = script;
        _gust = gust;
        _dice = dice;
        _waiting = [.. script.Bursts];
        _form = new SlowNoise(dice.For("form"), 0.003, 60);
        double lane = (script.Lane - 1) * scenario.LaneWidthMetres;
        double p1 = dice.Between(0, 6.28), p2 = dice.Between(0, 6.28);

        // Steering: two slow waves of 0.7 and 0.3 m about the lane's middle.
        (double Across, double Heading) Steer(double t, double s)
        {
            double k1 = 2 * Math.PI / 310, k2 = 2 * Math.PI / 140, fade = Math.Min(1, Math.Max(0, s) / 100);
            double y = fade * (0.7 * Math.Sin(k1 * s + p1) + 0.3 * Math.Sin(k2 * s + p2));
            double slope = fade * (0.7 * k1 * Math.Cos(k1 * s + p1) + 0.3 * k2 * Math.Cos(k2 * s + p2));
            return (lane + y, Math.Atan(slope));
        }

        _rower = new HullRower(scenario.Mechanics ?? BoatMechanics.Of(scenario.Boat), scenario.Boat.Rowers * (scenario.Boat.Sculls ? 2 : 1), 0, Steer);
        if (scenario.GoAt > 0)
        {
            _rower.Rest(scenario.GoAt);
        }

        // The crew reacts to the word a little late: 0.15 to 0.35 s.
        _rower.Rest(dice.Between(0.15, 0.35));
    }

    public List<(BurstPlan Plan, double From, double To)> Taken { get; } = [];

    public double Time => _rower.Time;

    public bool Done { get; private set; }

    public double FinishAt { get; private set; }

    public void Stroke(IReadOnlyDictionary<string, CrewRowing> all)
    {
        double s = _rower.Metres, toGo = _scenario.DistanceMetres - s;
        BeginBurst(all);
        double speed = _script.BaseSpeed, rate = _script.BaseRate;
        int high = FirstLengths.Length + _script.HighStrokes;
        double start = _strokes < high ? 1 : Math.Max(0, 1 - (_strokes - high + 1) / (double)Math.Max(1, _script.SettleStrokes));
        rate += start * (_script.StartRate - _script.BaseRate);
        speed *= 1 + start * _script.HighGain;
        speed *= 1 - _script.FadePerKm * Math.Max(0, s - 300) / 1000;
        if (_burst is { } b)
        {
            speed *= 1 + b.Plan.Gain;
            rate += b.Plan.RateUp;
        }

        if (toGo < _script.SprintFromToGo)
        {
            double share = Math.Min(1, 0.4 + (_script.SprintFromToGo - toGo) / Math.Max(1, _script.SprintFromToGo));
            speed *= 1 + share * _script.SprintGain;
            rate += share * _script.SprintRateUp;
        }

        speed *= 1 - SpeedPerHeadWind * (Wind(s) + _gust.At(Time)) + _form.At(Time);
        rate = Math.Clamp(rate + 0.25 * _dice.Normal(), 14, 55);
        double length = _strokes < FirstLengths.Length ? FirstLengths[_strokes] : 1;

        // The short first strokes are quick ones.
        double thisRate = _strokes == 0 ? rate * 0.85 : rate;
        _rower.Row(thisRate, speed, length, 1 + _script.Unevenness * _dice.Normal());
        _strokes++;
        EndBurst();
        if (_rower.Metres >= _scenario.DistanceMetres)
        {
            if (_burst is { } open)
            {
                Taken.Add((open.Plan, open.From, Time));
                _burst = null;
            }

            FinishAt = _rower.Path().TimeAtMetres(_scenario.DistanceMetres)!.Value;
            Done = true;
        }
        else if (Time > _scenario.GoAt + _scenario.DistanceMetres)
        {
            throw new ScenarioException($"{_script.Name} would never finish: its speed stays below 1 m/s.");
        }
    }

    /// <summary>Three light strokes after the line, then letting it run.</summary>
    public void PaddleUntil(double end)
    {
        for (int i = 0; i < 3 && Time < end - 4; i++)
        {
            _rower.Row(20, 3, 1, 1);
        }

        if (end > Time)
        {
            _rower.Rest(end - Time);
        }
    }

    public HullPath Path() => _rower.Path();

    private void BeginBurst(IReadOnlyDictionary<string, CrewRowing> all)
    {
        if (_burst is not null)
        {
            return;
        }

        double period = 60 / _script.BaseRate;
        var plan = _waiting.FirstOrDefault(p => p.Answers is null
            ? _rower.Metres >= p.AtMetres
            : all[p.Answers]._burst is { } theirs && all[p.Answers]._rower.Metres >= p.AtMetres && Time >= theirs.From + p.AfterStrokes * period);
        if (plan is not null)
        {
            _waiting.Remove(plan);
            _burst = (plan, Time, plan.Strokes);
        }
    }

    private void EndBurst()
    {
        if (_burst is not { } b)
        {
            return;
        }

        if (b.Left > 1)
        {
            _burst = b with { Left = b.Left - 1 };
            return;
        }

        Taken.Add((b.Plan, b.From, Time));
        _burst = null;
    }

    private double Wind(double metres)
    {
        var w = _scenario.Wind;
        if (w.Count == 0)
        {
            return 0;
        }

        for (int i = 1; i < w.Count; i++)
        {
            if (metres < w[i].Metres)
            {
                double span = w[i].Metres - w[i - 1].Metres;
                double k = span <= 0 ? 1 : Math.Clamp((metres - w[i - 1].Metres) / span, 0, 1);
                return w[i - 1].HeadMps + k * (w[i].HeadMps - w[i - 1].HeadMps);
            }
        }

        return w[^1].HeadMps;
    }
}

/// <summary>The truth of a race as the coxswain's errors are made from it.</summary>
internal sealed record RaceView(
    RaceScenario Scenario, IReadOnlyDictionary<string, HullPath> Boats, IReadOnlyList<TrueBurst> Bursts, IReadOnlyDictionary<string, double> Finishes)
{
    public HullPath Own => Boats[Scenario.Us];

    public double Margin(string rival, double t) => Own.MetresAt(t) - Boats[rival].MetresAt(t);
}
