using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Margins;

/// <summary>Strength of the process and of the evidence's spread.</summary>
/// <param name="PassingSd">Of a crew's passing speed, m/s.</param>
/// <param name="SightFactor">On every spread of what was seen and said.</param>
public readonly record struct MarginStrength(double PassingSd, double SightFactor);

/// <summary>A window site together with the evidence it came from.</summary>
internal sealed record SiteOfEvidence(MarginEvidence Evidence, WindowSite Site, int[] Crews, string[] Labels);

/// <summary>A problem turned into a chain of steps with sites.</summary>
internal sealed class MarginModel
{
    private readonly record struct Act(double Time, int Order, int Dropped, int Anchor, Functional? Site, double Shift, double Precision, int SiteId, int Arm);

    /// <summary>Share of the variance across the lanes that lasts from call to call; own judgement.</summary>
    private const double LastingShare = 0.7;

    private readonly MarginProblem _problem;
    private readonly MarginSettings _settings;
    private readonly Dictionary<string, int> _crew = new(StringComparer.Ordinal);
    private readonly List<Act> _acts = [];
    private readonly List<SiteOfEvidence> _sites = [];
    private readonly List<MarginEvidence> _leftOut = [];
    private readonly List<double> _stepTimes = [];
    private readonly double[] _levelSd;
    private readonly MarginStates _states;
    private readonly double _rateMiddle;
    private readonly HashSet<int> _spoken = [];

    public MarginModel(MarginProblem problem)
    {
        _problem = problem;
        _settings = problem.Settings ?? MarginSettings.Default;
        for (int i = 0; i < problem.Rivals.Count; i++)
        {
            if (!_crew.TryAdd(problem.Rivals[i].Name, i + 1))
            {
                throw new ArgumentException($"Two rivals are called {problem.Rivals[i].Name}: give them different names.", nameof(problem));
            }
        }

        (Profile, End) = StartProfile.For(problem);
        double last = problem.Evidence.OfType<MarkTimeEvidence>().Where(m => IsFinish(m.Mark)).Select(m => m.At.Seconds).DefaultIfEmpty(End).Max();
        Last = Math.Max(End, Math.Min(last, End + 120));
        _levelSd = [.. Enumerable.Repeat(150.0, problem.Rivals.Count + 1)];
        var anchors = AnchorSlots(problem.Evidence.OfType<ChangeEvidence>().Where(Usable), out int slots);
        _states = new MarginStates(problem.Rivals.Count + 1, slots);
        double[] spms = [.. problem.Evidence.OfType<OwnRateEvidence>().Select(r => r.Spm).Order()];
        _rateMiddle = spms.Length > 0 ? spms[spms.Length / 2] : 34;
        var lastRate = double.NegativeInfinity;
        foreach (var e in problem.Evidence.OrderBy(e => e.At.Seconds))
        {
            if (e is OwnRateEvidence && e.At.Seconds < lastRate + 4)
            {
                continue; // counted strokes come in rows whose errors are one
            }

            if (!Usable(e))
            {
                _leftOut.Add(e);
                continue;
            }

            Take(e, anchors);
            if (e is OwnRateEvidence)
            {
                lastRate = e.At.Seconds;
            }
        }

        TakeTrack();
        TakeFinish();
    }

    public StartProfile Profile { get; }

    /// <summary>When we finished, race clock, s.</summary>
    public double End { get; }

    /// <summary>When the last crew finished, at least End, s.</summary>
    public double Last { get; }

    public MarginStates States => _states;

    public IReadOnlyList<SiteOfEvidence> Sites => _sites;

    public IReadOnlyList<MarginEvidence> LeftOut => _leftOut;

    /// <summary>Rivals about whom anything at all was said, seen or published.</summary>
    public bool Spoken(int crew) => _spoken.Contains(crew);

    public int CrewIndex(string? name) => name is null ? 0 : _crew.GetValueOrDefault(name, -1);

    /// <summary>Builds the chain with further empty steps at <paramref name="grid"/> times; says at which step each of those stands.</summary>
    /// <param name="traced">Functionals to be traced at the grid's times.</param>
    public GaussianChain Build(MarginStrength strength, IReadOnlyList<double> grid, out int[] gridSteps, IReadOnlyList<Functional>? traced = null)
    {
        var acts = new List<Act>(_acts);
        for (int i = 0; i < grid.Count; i++)
        {
            acts.Add(new Act(grid[i], 2, -1, i, null, 0, 0, -2, 0));
        }

        acts.Sort((a, b) => a.Time != b.Time ? a.Time.CompareTo(b.Time) : a.Order.CompareTo(b.Order));
        var steps = new List<ChainStep>(acts.Count);
        gridSteps = new int[grid.Count];
        _stepTimes.Clear();
        double now = 0;
        foreach (var act in acts)
        {
            double time = Math.Max(act.Time, 0);
            StateOp[] ops = _states.Advance(time - now, _settings.PassingSeconds, _settings.LookSeconds);
            if (act.Dropped >= 0)
            {
                ops = [.. ops, .. _states.Drop(act.Dropped, act.Anchor)];
            }

            NoiseEntry[] noise = time > now ? new NoiseEntry[_states.NoiseCount + (now < _settings.AwaySeconds ? _states.Crews : 0)] : [];
            var step = new ChainStep(ops, noise, act.Site, asked: act.SiteId == -2) { Shift = act.Shift, Precision = act.Precision };
            if (act.SiteId >= 0)
            {
                var arm = _sites[act.SiteId].Site.Arms[act.Arm];
                arm.Step = steps.Count;
            }
            else if (act.SiteId == -2)
            {
                gridSteps[act.Anchor] = steps.Count;
            }

            steps.Add(step);
            _stepTimes.Add(time);
            now = time;
        }

        var mean = new double[_states.Size];
        mean[MarginStates.Bias] = _settings.BiasMean;
        var chain = new GaussianChain(mean, new double[_states.Size * _states.Size], steps, traced);
        SetStrength(chain, strength);
        return chain;
    }

    /// <summary>Puts a strength into a chain that <see cref="Build"/> made last.</summary>
    public void SetStrength(GaussianChain chain, MarginStrength strength)
    {
        double passing = strength.PassingSd * strength.PassingSd;
        Span<double> each = stackalloc double[_states.Crews];
        Span<double> look = stackalloc double[_states.Crews];
        for (int i = 1; i < look.Length; i++)
        {
            double abeam = Abeam(i), lasting = _settings.LastingEyeSd;
            look[i] = strength.SightFactor * strength.SightFactor * (LastingShare * abeam * abeam + lasting * lasting);
        }

        double before = 0;
        for (int k = 0; k < chain.Steps.Count; k++)
        {
            double now = _stepTimes[k];
            if (now <= before)
            {
                continue;
            }

            double middle = 0.5 * (now + before);
            double phase = Phase(middle);
            for (int j = 0; j < each.Length; j++)
            {
                each[j] = passing * (InBurst(j, middle) ? _settings.BurstFactor : 1) * phase;
            }

            double perMinute = _settings.CommonPerMinute * (middle < 60 ? 2.5 : 1);
            var noise = chain.Steps[k].Noise;
            _states.Noise(noise, now - before, perMinute * perMinute / 60, _settings.DriftPsd, _settings.PassingSeconds, each, _settings.LookSeconds, look);
            // Away quicker or slower: a lead of the first strokes that stays.
            double away = Math.Max(0, Math.Min(now, _settings.AwaySeconds) - before) / _settings.AwaySeconds * _settings.AwaySd * _settings.AwaySd;
            for (int j = 0; away > 0 && j < each.Length; j++)
            {
                noise[_states.NoiseCount + j] = new NoiseEntry(MarginStates.Place(j), MarginStates.Place(j), away);
            }

            before = now;
        }

        FillPrior(chain.Prior, passing, look);
        foreach (var s in _sites)
        {
            SetSoftness(chain, s, strength.SightFactor);
        }
    }

    /// <summary>Factor on passing variance by the stage of the race.</summary>
    private double Phase(double time) => time < _settings.StartSeconds ? _settings.StartFactor
        : time > End - _settings.SprintSeconds ? _settings.SprintFactor : 1;

    private void FillPrior(double[] cov, double passing, ReadOnlySpan<double> look)
    {
        int n = _states.Size;
        Array.Clear(cov);
        void Set(int i, double sd) => cov[i * n + i] = sd * sd;
        Set(MarginStates.FieldSpeed, Profile.SpeedSd);
        Set(MarginStates.GoShift, _problem.GoSd);
        Set(MarginStates.RateSpeed, Profile.SpeedSd + 0.15);
        Set(MarginStates.Bias, _settings.BiasSd);
        Set(MarginStates.TrackShift, 4);
        for (int j = 0; j < _states.Crews; j++)
        {
            Set(MarginStates.Place(j), j == 0 ? 1e-3 : _levelSd[j]);
            Set(_states.Lasting(j), _settings.SpeedSpread);
            Set(_states.Passing(j), Math.Sqrt(passing * _settings.StartFactor));
            if (j > 0)
            {
                Set(_states.Look(j), Math.Sqrt(look[j]));
            }
        }
    }

    /// <summary>Softness of a told position: the eye, the part of the angle across the lanes that changes, and what the margin moved while the words were spoken.</summary>
    private void SetSoftness(GaussianChain chain, SiteOfEvidence s, double factor)
    {
        SightSpread? spread = s.Evidence switch
        {
            PositionEvidence p => p.Spread,
            EitherEvidence e => e.Spread,
            ChangeEvidence c => c.Spread,
            _ => null,
        };
        if (spread is null)
        {
            return;
        }

        for (int a = 0; a < s.Site.Arms.Length; a++)
        {
            var arm = s.Site.Arms[a];
            int crew = s.Crews[a];
            double abeam = Abeam(crew);
            double impression = 0.5 * _settings.ImpressionSeconds;
            double late = Math.Sqrt(spread.DelaySd * spread.DelaySd + _problem.GoSd * _problem.GoSd + impression * impression);

            // The closing speed's second moment: prior spread of a rate at this stage of the race; close to what a race shows.
            double time = _stepTimes[arm.Step];
            double both = Phase(time) * ((InBurst(0, time) ? _settings.BurstFactor : 1) + (InBurst(crew, time) ? _settings.BurstFactor : 1));
            double rate2 = both * (_settings.PassingSd * _settings.PassingSd) + _settings.SpeedSpread * _settings.SpeedSpread;
            double variance = factor * factor * (spread.EyeSd * spread.EyeSd + (1 - LastingShare) * abeam * abeam) + rate2 * late * late;
            arm.Softness = Math.Sqrt(variance * (s.Evidence is ChangeEvidence ? 2 : 1));
        }
    }

    /// <summary>What the angle across the lanes is worth, m: aside × tan δ.</summary>
    private double Abeam(int rival) => (_problem.Rivals[rival - 1].Aside?.Metres ?? 13.5) * Math.Tan(_settings.AbeamDegrees * Math.PI / 180);

    private bool InBurst(int crew, double time)
    {
        if (_problem.Bursts is not { Count: > 0 } bursts)
        {
            return false;
        }

        foreach (var b in bursts)
        {
            if (CrewIndex(b.Crew) == crew && time >= b.From.Seconds - 2 && time <= b.To.Seconds + 5)
            {
                return true;
            }
        }

        return false;
    }

    private bool IsFinish(double mark) => _problem.RaceDistance is { } d && Math.Abs(mark - d.Metres) < 0.5;

    private bool Known(string? crew) => crew is null || _crew.ContainsKey(crew);

    private bool Usable(MarginEvidence e)
    {
        double t = e.At.Seconds;
        if (!double.IsFinite(t) || t < -1 || t > Math.Max(End, Last) + 20)
        {
            return false;
        }

        return e switch
        {
            PositionEvidence p => _crew.ContainsKey(p.Crew) && p.High > p.Low,
            EitherEvidence m => m.Readings.Any(r => r.Weight > 0 && r.High > r.Low && (r.Crew is null ? _crew.Count > 0 : Known(r.Crew))),
            ChangeEvidence c => _crew.ContainsKey(c.Crew) && c.High > c.Low && c.Since.Seconds < t && c.Since.Seconds >= 0,
            TrendEvidence r => Known(r.Crew) && _crew.Count > 0 && r.Sign != 0,
            MarkTimeEvidence m => Known(m.Crew) && double.IsFinite(m.Mark) && m.Mark > 0 && t > 0,
            VerdictEvidence v => Known(v.Ahead) && Known(v.Behind) && v.Ahead != v.Behind && v.High > v.Low,
            DeadHeatEvidence d => Known(d.Crew) && Known(d.Other) && d.Crew != d.Other,
            LevelStartEvidence l => Known(l.Crew),
            OwnPlaceEvidence o => double.IsFinite(o.Metres) && o.Metres >= 0,
            OwnRateEvidence r => r.Spm is > 10 and < 60,
            _ => false,
        };
    }

    /// <summary>Gives every relative change an anchor that no other holds meanwhile.</summary>
    private static Dictionary<ChangeEvidence, int> AnchorSlots(IEnumerable<ChangeEvidence> changes, out int slots)
    {
        var result = new Dictionary<ChangeEvidence, int>(ReferenceEqualityComparer.Instance);
        var freeAt = new List<double>();
        foreach (var c in changes.OrderBy(c => c.Since.Seconds))
        {
            int slot = freeAt.FindIndex(t => t < c.Since.Seconds);
            if (slot < 0)
            {
                slot = freeAt.Count;
                freeAt.Add(0);
            }

            freeAt[slot] = c.At.Seconds;
            result[c] = slot;
        }

        slots = freeAt.Count;
        return result;
    }

    private void Take(MarginEvidence e, Dictionary<ChangeEvidence, int> anchors)
    {
        double t = Math.Max(e.At.Seconds, 0);
        switch (e)
        {
            case PositionEvidence p:
                AddSite(p, InMind(t, p.Spread), p.Spread.Trust,
                    [(CrewIndex(p.Crew), _states.MarginTold(CrewIndex(p.Crew)), [(p.Low, p.High, 1.0)])], [""]);
                break;
            case EitherEvidence m:
                TakeEither(m, t);
                break;
            case ChangeEvidence c:
                int slot = anchors[c];
                int crew = CrewIndex(c.Crew);
                _acts.Add(new Act(InMind(c.Since.Seconds, c.Spread), 3, crew, slot, null, 0, 0, -1, 0));
                AddSite(c, InMind(t, c.Spread), c.Spread.Trust, [(crew, _states.Change(crew, slot), [(c.Low, c.High, 1.0)])], [""]);
                break;
            case TrendEvidence r:
                TakeTrend(r, t);
                break;
            case MarkTimeEvidence m:
                int who = CrewIndex(m.Crew);
                double sd = Profile.MeanSpeed * m.TimeSd;
                _spoken.Add(who);
                AddExact(t, MarginStates.OffProfile(who), m.Mark - Profile.Distance(t), Math.Sqrt(sd * sd + 0.02 * 0.02));
                break;
            case VerdictEvidence v:
                int ahead = CrewIndex(v.Ahead), behind = CrewIndex(v.Behind);
                _spoken.Add(ahead);
                _spoken.Add(behind);
                AddSite(v, AtFinish(t), 0.995, [(0, MarginStates.Between(ahead, behind), [(v.Low, v.High, 1.0)])], [""]);
                _sites[^1].Site.Arms[0].Softness = v.Sd;
                break;
            case DeadHeatEvidence d:
                _spoken.Add(CrewIndex(d.Crew));
                _spoken.Add(CrewIndex(d.Other));
                AddExact(AtFinish(t), MarginStates.Between(CrewIndex(d.Crew), CrewIndex(d.Other)), 0, d.Sd);
                break;
            case LevelStartEvidence l:
                for (int j = 1; j < _levelSd.Length; j++)
                {
                    if (l.Crew is null || CrewIndex(l.Crew) == j)
                    {
                        _levelSd[j] = Math.Min(_levelSd[j], l.Sd);
                    }
                }

                break;
            case OwnPlaceEvidence o:
                TakeOwnPlace(o);
                break;
            case OwnRateEvidence r when t > 20:
                TakeRate(r, t);
                break;
        }
    }

    /// <summary>A verdict without a time is about our own finish.</summary>
    private double AtFinish(double t) => t > 0 ? Math.Min(t, Last) : End;

    /// <summary>The middle of the seconds over which an impression of a margin was formed.</summary>
    private double InMind(double at, SightSpread spread) => Seen(at - 0.5 * _settings.ImpressionSeconds, spread);

    private static double Seen(double at, SightSpread spread) => Math.Max(at - spread.DelaySeconds, 0);

    private void TakeEither(EitherEvidence m, double t)
    {
        var arms = new List<(int Crew, Functional F, List<(double, double, double)> Windows)>();
        var labels = new List<string>();
        foreach (var group in Enumerable.Range(1, _crew.Count))
        {
            string name = _problem.Rivals[group - 1].Name;
            var readings = m.Readings.Where(r => r.Weight > 0 && r.High > r.Low && (r.Crew is null || r.Crew == name)).ToList();
            if (readings.Count > 0)
            {
                arms.Add((group, _states.MarginTold(group),
                    [.. readings.Select(r => (r.Low, r.High, r.Crew is null ? r.Weight / _crew.Count : r.Weight))]));
                labels.AddRange(readings.Select(r => r.Label));
            }
        }

        AddSite(m, InMind(t, m.Spread), m.Spread.Trust, arms, labels);
    }

    private void TakeTrend(TrendEvidence r, double t)
    {
        (double, double, double) window = r.Sign > 0 ? (0, double.PositiveInfinity, 1) : (double.NegativeInfinity, 0, 1);
        var arms = Enumerable.Range(1, _crew.Count)
            .Where(j => r.Crew is null || CrewIndex(r.Crew) == j)
            .Select(j => (j, _states.Rate(j), new List<(double, double, double)> { (window.Item1, window.Item2, r.Crew is null ? 1.0 / _crew.Count : 1.0) }))
            .ToList();

        // Weak on purpose: what is felt as "walking" is read from a few strokes, and hoped for. Own judgement: 0.05 m/s, seen 3 s before.
        AddSite(r, Math.Max(Seen(t, r.Spread) - 2, 0), Math.Min(r.Spread.Trust, 0.9), arms, [.. arms.Select(_ => "")]);
        foreach (var arm in _sites[^1].Site.Arms)
        {
            arm.Softness = 0.05;
        }
    }

    private void TakeOwnPlace(OwnPlaceEvidence o)
    {
        double at = Seen(Math.Max(o.At.Seconds, 0), o.Spread);
        double y = o.Metres - Profile.Distance(at);
        double v = Profile.MeanSpeed;
        double sd = Math.Sqrt(o.Sd * o.Sd + v * v * o.Spread.DelaySd * o.Spread.DelaySd);

        // A window of ±1 sd with a soft edge behaves as a normal of about 1.15 sd and lets a gross error go.
        AddSite(o, at, o.Spread.Trust,
            [(0, Functional.Of((MarginStates.Field, 1), (MarginStates.Place(0), 1), (MarginStates.GoShift, v)), [(y - sd, y + sd, 1.0)])], [""]);
        _sites[^1].Site.Arms[0].Softness = sd;
    }

    private void TakeRate(OwnRateEvidence r, double t)
    {
        // v ∝ rate^(1/2) about the race's own middle rate. Own judgement: power between the cube of the speed and distance per stroke kept.
        double gain = 0.5 * Profile.MeanSpeed * (r.Spm - _rateMiddle) / _rateMiddle;
        double y = gain + Profile.MeanSpeed - Profile.Speed(t);
        double sd = Math.Sqrt(0.12 * 0.12 + Math.Pow(0.5 * Profile.MeanSpeed * r.Sd / _rateMiddle, 2));
        AddExact(t, Functional.Of((MarginStates.FieldSpeed, 1), (_states.Lasting(0), 1), (_states.Passing(0), 1), (MarginStates.RateSpeed, -1)), y, sd);
    }

    private void TakeTrack()
    {
        if (_problem.OwnTrack is not { Count: > 0 } track)
        {
            return;
        }

        // Errors of a satellite's place last for tens of seconds: one sample each 5 s, each place worth a quarter of its own.
        const double every = 5;
        double next = 0;
        foreach (var s in track)
        {
            double t = s.At.Seconds;
            if (!(t >= next && t <= Last))
            {
                continue;
            }

            next = t + every;
            double v = Profile.MeanSpeed;
            if (s.Metres is { } metres && double.IsFinite(metres) && s.MetresSd > 0)
            {
                // Where a track's zero lies against the start line is known to a few metres (4 m, own judgement), the same for all of it.
                AddExact(t, Functional.Of((MarginStates.Field, 1), (MarginStates.Place(0), 1), (MarginStates.GoShift, v), (MarginStates.TrackShift, 1)),
                    metres - Profile.Distance(t), 2 * s.MetresSd);
            }

            if (s.Speed is { } speed && double.IsFinite(speed) && s.SpeedSd > 0 && t > 8)
            {
                AddExact(t, _states.SpeedOffProfile(0), speed - Profile.Speed(t), Math.Max(s.SpeedSd, 0.05));
            }
        }
    }

    private void TakeFinish()
    {
        if (_problem is { Finish: { } finish, RaceDistance: { } distance })
        {
            double v = Profile.MeanSpeed, t = finish.Seconds;
            double sd = Math.Max(0.05, v * _problem.FinishSd);
            AddExact(t, Functional.Of((MarginStates.Field, 1), (MarginStates.Place(0), 1), (MarginStates.GoShift, v)),
                distance.Metres - Profile.Distance(t), sd);
        }
    }

    private void AddExact(double t, Functional f, double value, double sd)
    {
        double precision = 1 / (sd * sd);
        _acts.Add(new Act(t, 1, -1, 0, f, value * precision, precision, -1, 0));
    }

    private void AddSite(
        MarginEvidence e, double t, double trust, IReadOnlyList<(int Crew, Functional F, List<(double Low, double High, double Weight)> Windows)> arms, List<string> labels)
    {
        double sum = arms.Sum(a => a.Windows.Sum(w => w.Weight));
        double wrong = Math.Clamp(1 - trust, 1e-3, 0.999);
        double width = arms.SelectMany(a => a.Windows).Average(w => double.IsFinite(w.High - w.Low) ? w.High - w.Low : _settings.GrossRange / 2);
        double range = e is TrendEvidence ? 0.5 : e is OwnPlaceEvidence ? 500 : _settings.GrossRange;
        if (e is TrendEvidence)
        {
            width = 0.25;
        }

        // A gross error may put its window anywhere in the range: probability width / range for this one.
        double gross = Math.Log(wrong) + Math.Log(Math.Min(0.5, width / range));
        int id = _sites.Count;
        var made = new List<WindowArm>();
        foreach (var (crew, f, windows) in arms)
        {
            int arm = made.Count;
            _acts.Add(new Act(t, 1, -1, 0, f, 0, 0, id, arm));
            made.Add(new WindowArm(-1, [.. windows.Select(w => new Window(w.Low, w.High, Math.Log((1 - wrong) * w.Weight / sum)))], 0.5));
            if (crew > 0)
            {
                _spoken.Add(crew);
            }
        }

        _sites.Add(new SiteOfEvidence(e, new WindowSite([.. made], gross), [.. arms.Select(a => a.Crew)], [.. labels]));
    }
}
