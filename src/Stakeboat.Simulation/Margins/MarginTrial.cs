using Stakeboat.Core.Boats;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Numerics;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Simulation.Margins;

/// <summary>A race with its truth, and what a coxswain, a regatta and a sensor made of it as evidence for the margin engine.</summary>
public sealed class MarginTrial
{
    private static readonly HullGeometry Eight = BoatClass.Eight.Geometry;
    private readonly MarginTrialSettings _settings;
    private readonly Random _random;
    private readonly NormalDraws _z;
    private readonly List<MarginEvidence> _evidence = [];
    private readonly Dictionary<int, double> _lastTold = [];
    private readonly Dictionary<int, (double At, double Error)> _look = [];
    private readonly double _bias;
    private readonly double _go;
    private readonly double _impression;
    private readonly int[] _lanes;

    private MarginTrial(int seed, MarginTrialSettings settings)
    {
        _settings = settings;
        _random = new Random(seed);
        _z = new NormalDraws(_random.Next());
        Field = new TrialField(settings, _random);
        _bias = (settings.BiasMean + settings.BiasSd * _z.Next()) * 1.4;
        _go = 0.3 * _z.Next();
        _impression = settings.ImpressionSeconds * _random.NextDouble();
        _lanes = [.. Enumerable.Range(1, settings.Crews)];
        for (int i = _lanes.Length - 1; i > 0; i--)
        {
            int j = _random.Next(i + 1);
            (_lanes[i], _lanes[j]) = (_lanes[j], _lanes[i]);
        }
    }

    public TrialField Field { get; }

    public MarginProblem Problem { get; private set; } = null!;

    public static string Name(int crew) => "crew " + crew.ToString(System.Globalization.CultureInfo.InvariantCulture);

    public static MarginTrial Make(int seed, MarginTrialSettings settings)
    {
        var trial = new MarginTrial(seed, settings);
        trial.Problem = trial.MakeProblem();
        return trial;
    }

    private MarginProblem MakeProblem()
    {
        double end = Field.Finish[0];
        _evidence.Add(new LevelStartEvidence());
        for (double t = Gap(); t < end; t += Gap())
        {
            Say(t);
        }

        SayOwn(end);
        foreach (double mark in Marks())
        {
            for (int c = 0; c < Field.Crews; c++)
            {
                double time = Math.Round(Field.TimeAt(c, mark) * 100) / 100;
                _evidence.Add(new MarkTimeEvidence(At(time), c == 0 ? null : Name(c), mark, 0.01));
            }
        }

        var rivals = Enumerable.Range(1, Field.Crews - 1)
            .Select(c => new Rival(Name(c), Eight, Distance.FromMetres(13.5 * Math.Abs(_lanes[c] - _lanes[0])))).ToList();
        var bursts = Field.Bursts.Where(b => b.Crew == 0 || _random.Next(3) > 0)
            .Select(b => new KnownBurst(b.Crew == 0 ? null : Name(b.Crew), At(b.From), At(b.To))).ToList();
        double finish = _settings.Splits || _settings.FinishTimes ? end : end + 0.8 * _z.Next();
        return new MarginProblem(Eight, rivals, _evidence, Distance.FromMetres(_settings.DistanceMetres), At(finish), 1, 0.3,
            _settings.Track ? TrackSamples(end) : null, bursts);
    }

    private IEnumerable<double> Marks() => _settings.Splits
        ? Enumerable.Range(1, (int)Math.Ceiling(_settings.DistanceMetres / 500)).Select(i => Math.Min(500.0 * i, _settings.DistanceMetres))
        : _settings.FinishTimes ? [_settings.DistanceMetres] : [];

    private static Instant<RaceClock> At(double t) => Instant<RaceClock>.FromSeconds(t);

    private double Gap() => Math.Max(1.5, -60 / _settings.CallsPerMinute * Math.Log(1 - _random.NextDouble()));

    private double Delay() => Math.Max(0.2, _settings.Delay + _settings.DelaySd * _z.Next());

    private void Say(double t)
    {
        int rival = Pick(t);
        var gauge = new HullGauge(Eight, Eight);
        double seen = t - Delay();
        if (seen < 3)
        {
            return;
        }

        int lanes = Math.Abs(_lanes[rival] - _lanes[0]);
        double eye = _settings.EyeSeats * 1.4 * (1 + (lanes - 1) / 3.0);
        if (_look.TryGetValue(rival, out var before))
        {
            double kept = Math.Exp(-(t - before.At) / 40);
            _look[rival] = (t, before.Error * kept + eye * Math.Sqrt(0.5 * (1 - kept * kept)) * _z.Next());
        }
        else
        {
            _look[rival] = (t, eye * Math.Sqrt(0.5) * _z.Next());
        }

        // Half of the eye's variance lasts for some 40 s, half is new with every look.
        double told = Impression(rival, seen) + _bias + _look[rival].Error + eye * Math.Sqrt(0.5) * _z.Next();
        double heard = t + _go;
        var spread = SightSpread.Usual;
        string name = Name(rival);
        bool wrong = _random.NextDouble() < _settings.GrossShare;
        double what = _random.NextDouble();
        if (what < 0.1 && !wrong)
        {
            double rate = Impression(rival, seen) - Impression(rival, seen - 6);
            int sign = _random.NextDouble() < 0.85 ? Math.Sign(rate) : -Math.Sign(rate);
            _evidence.Add(new TrendEvidence(At(heard), name, sign == 0 ? 1 : sign, spread));
            return;
        }

        if (what < 0.2 && !wrong && _lastTold.TryGetValue(rival, out double last) && heard - last is > 8 and < 70)
        {
            double since = last - _settings.Delay - _go;
            double change = (Impression(rival, seen) - Impression(rival, since) + 0.5 * eye * _z.Next()) / 1.4;
            double seats = Math.Round(change);
            if (Math.Abs(seats) >= 1)
            {
                _evidence.Add(new ChangeEvidence(At(heard), At(last), name, (seats - 0.5) * 1.4, (seats + 0.5) * 1.4, spread));
                return;
            }
        }

        if (wrong)
        {
            told += (3 + 5 * _random.NextDouble()) * 1.4 * (_random.Next(2) == 0 ? 1 : -1);
        }

        _lastTold[rival] = heard;
        if (Math.Abs(told) > 17.6)
        {
            double over = Math.Abs(told) / 17.6 - 1;
            var water = over > 0.25 && _random.Next(2) == 0
                ? gauge.OpenWater(Math.Sign(told), Math.Max(0.25, Math.Round(over * 4) / 4))
                : gauge.OpenWater(Math.Sign(told));
            _evidence.Add(new PositionEvidence(At(heard), name, water.Low, water.High, spread));
            return;
        }

        double r = _random.NextDouble();
        if (r < 0.35 && told > 0 && told < 11.2 + 0.7)
        {
            // "On their three": our coxswain's seat, or our bow ball if one were behind.
            int seat = Math.Clamp((int)Math.Round(9 - told / 1.4), 1, 8);
            Either(heard, name, gauge.CoxOnSeat(seat)!.Value, gauge.BowOnSeat(seat)!.Value, 0.7, spread);
        }
        else if (r < 0.35 && told < -3.5 && told > -14.7)
        {
            int seat = Math.Clamp((int)Math.Round(1 + (-told - 4.2) / 1.4), 1, 8);
            Either(heard, name, gauge.CoxOnSeat(seat)!.Value, gauge.BowOnSeat(seat)!.Value, 0.5, spread);
        }
        else if (r < 0.45)
        {
            // "A seat" without up or down, or about a crew not named.
            double seats = Math.Max(0.5, Math.Round(Math.Abs(told) / 1.4));
            if (_random.Next(2) == 0)
            {
                var up = gauge.Seats(seats);
                var down = gauge.Seats(-seats);
                double forward = told > 0 ? 0.65 : 0.5;
                _evidence.Add(new EitherEvidence(At(heard),
                    [new PositionReading(name, up.Low, up.High, forward, "up"), new PositionReading(name, down.Low, down.High, 1 - forward, "down")], spread));
            }
            else
            {
                var range = gauge.Seats(Math.Sign(told) * seats);
                _evidence.Add(new EitherEvidence(At(heard),
                    [.. Enumerable.Range(1, Field.Crews - 1).Select(c => new PositionReading(Name(c), range.Low, range.High,
                        c == rival ? 0.6 : 0.4 / Math.Max(1, Field.Crews - 2), ""))], spread));
            }
        }
        else
        {
            double seats = Math.Abs(told) < 4 ? Math.Round(told / 1.4 * 2) / 2 : Math.Round(told / 1.4);
            var range = gauge.Seats(seats, Math.Abs(told) < 4 ? 0.35 : 0.5);
            _evidence.Add(new PositionEvidence(At(heard), name, range.Low, range.High, spread));
        }
    }

    /// <summary>What a coxswain has in mind: the margin in the mean of the last seconds.</summary>
    private double Impression(int rival, double seen)
    {
        double sum = 0;
        const int looks = 5;
        for (int i = 0; i < looks; i++)
        {
            sum += Field.Margin(rival, Math.Max(seen - _impression * i / (looks - 1), 0));
        }

        return sum / looks;
    }

    private void Either(double t, string crew, MarginRange cox, MarginRange bow, double coxWeight, SightSpread spread) =>
        _evidence.Add(new EitherEvidence(At(t),
            [new PositionReading(crew, cox.Low, cox.High, coxWeight, "cox"), new PositionReading(crew, bow.Low, bow.High, 1 - coxWeight, "bow ball")], spread));

    private int Pick(double t)
    {
        // The nearer a crew the more is said of it.
        double[] weight = [.. Enumerable.Range(1, Field.Crews - 1).Select(c => 1 / (4 + Math.Abs(Field.Margin(c, t))))];
        double u = _random.NextDouble() * weight.Sum();
        for (int i = 0; i < weight.Length; i++)
        {
            u -= weight[i];
            if (u <= 0)
            {
                return i + 1;
            }
        }

        return weight.Length;
    }

    private void SayOwn(double end)
    {
        for (double mark = 250; mark < _settings.DistanceMetres; mark += 250)
        {
            if (_random.Next(4) > 0)
            {
                double t = Field.TimeAt(0, mark) + Delay() - 0.5;
                _evidence.Add(new OwnPlaceEvidence(At(t + _go), mark, 4, new SightSpread(1, 1, 0.95, 0)));
            }
        }

        for (double t = 30; t < end; t += 25)
        {
            // A rate that goes with the speed by about its square root, told to half a stroke.
            double rate = Math.Round(2 * (35 * Math.Pow(Field.Speed(0, t) / (_settings.DistanceMetres / end), 2) + 0.5 * _z.Next())) / 2;
            _evidence.Add(new OwnRateEvidence(At(t + _go), rate, 0.5));
        }
    }

    private List<OwnSample> TrackSamples(double end)
    {
        var result = new List<OwnSample>();
        double drift = 2 * _z.Next();
        for (double t = 0; t <= end; t += 1)
        {
            drift = drift * Math.Exp(-1 / 40.0) + 2 * Math.Sqrt(1 - Math.Exp(-2 / 40.0)) * _z.Next();
            result.Add(new OwnSample(At(t + _go), Field.Metres(0, t) + drift, 2.2, Field.Speed(0, t) + 0.06 * _z.Next(), 0.07));
        }

        return result;
    }
}
