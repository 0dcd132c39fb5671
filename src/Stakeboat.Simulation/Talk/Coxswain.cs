using Stakeboat.Core.Calls;
using Stakeboat.Simulation.Racing;

namespace Stakeboat.Simulation.Talk;

/// <summary>Says what a coxswain would say of a race, seen late and with errors: what falls due first is said first, and the gaps are filled.</summary>
internal sealed class Coxswain
{
    private readonly RaceView _race;
    private readonly CoxHabits _habits;
    private readonly Dice _dice;
    private readonly LineBuilder _say;
    private readonly List<(double At, double Late, Part[] Parts)> _due = [];
    private readonly double _go;
    private readonly double _finish;
    private int _turn;

    private Coxswain(RaceView race, CoxHabits habits, Dice dice)
    {
        _race = race;
        _habits = habits;
        _dice = dice;
        _say = new LineBuilder(habits, dice.For("tempo"));
        _go = race.Scenario.GoAt;
        _finish = race.Finishes[race.Scenario.Us];
    }

    public static SpokenRace Speak(RaceView race, CoxHabits habits, Dice dice)
    {
        var cox = new Coxswain(race, habits, dice);
        cox.BeforeTheStart();
        cox.TheStart();
        cox.Marks();
        cox.OurMoves();
        cox.TheirMoves();
        cox.TheEnd();
        cox.Talk();
        return new SpokenRace([.. cox._say.Lines]);
    }

    private static Part P(string text, params Call[] calls) => new(text, calls);

    private void At(double t, params Part[] parts) => _due.Add((t, 3, parts));

    private void Count(double t, int n) => _due.Add((t, 0.5, [P(Numbers.Small(n), new CountCall(n))]));

    private double Delay() => Math.Max(0.2, _habits.Delay + _habits.DelaySd * _dice.Normal());

    private void BeforeTheStart()
    {
        (double Back, Part[] Parts)[] lines =
        [
            (55, [P("okay we are locked on"), P("bow pair touch it please", new CommandCall(Deed.Touch, "bowPair"))]),
            (48, [P("hold water", new CommandCall(Deed.HoldWater, "all"))]),
            (43, [P("I have my point", new SteerCall(SteerSide.None, SteerMeans.Point))]),
            (37, [P("first five long and together and nobody looks round", new TechniqueCall(Focus.Length))]),
            (29, [P("there is a little head wind", new ConditionsCall(Condition.HeadWind))]),
            (22, [P("deep breath in and out", new TechniqueCall(Focus.Breathing))]),
            (15, [P($"{_race.Scenario.Names[0]} small touch", new CommandCall(Deed.Touch, "1")), P("and easy", new CommandCall(Deed.Stop, "1"))]),
            (8, [P("sit ready", new CommandCall(Deed.SitReady, "all"))]),
        ];
        bool head = _race.Scenario.Wind.Count > 0 && _race.Scenario.Wind[0].HeadMps > 0.8;
        foreach (var (back, parts) in lines)
        {
            if (_go - back > 1 && (head || back != 29))
            {
                At(_go - back, parts);
            }
        }
    }

    private void TheStart()
    {
        var s = _race.Own.Strokes;
        string[] words = ["three quarter", "half", "half", "three quarter", "full"];
        for (int i = 0; i < words.Length && i < s.Count; i++)
        {
            _due.Add((s[i].Catch + 0.1, 0.7, i == 0 ? [P(words[i], new ShiftCall(RhythmChange.Start))] : [P(words[i])]));
        }

        var me = _race.Scenario.Crews.First(c => c.Name == _race.Scenario.Us);
        int settle = 5 + me.HighStrokes;
        if (settle + 4 < s.Count)
        {
            At(s[Math.Max(0, settle - 3)].Catch, P("settle in two", new ShiftCall(RhythmChange.Settle)));
            At(s[settle].Catch, P("and settle", new ShiftCall(RhythmChange.Settle)));
            At(s[settle + 3].Catch, P("long and loose now", new TechniqueCall(Focus.Length)));
        }
    }

    private void Marks()
    {
        double length = _race.Scenario.DistanceMetres;
        for (int m = 250; m < length - 100; m += 250)
        {
            if (_race.Own.TimeAtMetres(m) is not { } t)
            {
                continue;
            }

            double left = length - m;
            Part[] said = left == 500 ? [P("last five hundred", new DistanceCall(500, DistanceSense.Left))]
                : left == 250 ? [P("two fifty to go", new DistanceCall(250, DistanceSense.Left))]
                : 2 * m == length ? [P("halfway", new DistanceCall(m, DistanceSense.Gone))]
                : m % 500 == 0 ? [P($"through the {Numbers.Metres(m)}", new DistanceCall(m, DistanceSense.Gone))]
                : [P($"{Numbers.Metres(m)} gone", new DistanceCall(m, DistanceSense.Gone))];
            At(t + 0.5 * Delay(), said);
        }
    }

    private void OurMoves()
    {
        foreach (var b in _race.Bursts.Where(b => b.Crew == _race.Scenario.Us))
        {
            var strokes = _race.Own.Strokes.Where(s => s.Catch > b.From - 0.01 && s.Catch < b.To - 0.01).ToArray();
            double period = 60 / strokes[0].Rate;
            string n = Numbers.Small(b.Strokes), what = b.Purpose is null ? $"power {n}" : $"{n} for {b.Purpose}";
            if (b.Answer)
            {
                At(b.From - 0.6, P($"we go with them {n}", new MoveCall(b.Strokes, null)));
            }
            else
            {
                At(b.From - 2 * period - 1.2, P($"{what} in two", new MoveCall(b.Strokes, b.Purpose)));
                Count(b.From - 2 * period + 0.6, 1);
                Count(b.From - period + 0.6, 2);
            }

            int counted = strokes.Length > 12 ? 5 : strokes.Length;
            for (int i = 0; i < strokes.Length; i++)
            {
                if (i < counted || i == 9)
                {
                    Count(strokes[i].Catch + 0.1, i + 1);
                }
            }

            if (strokes.Length > 12)
            {
                At(strokes[^6].Catch + 0.2, P("last five", new StrokesToCall(5, StrokesTarget.End)));
            }

            // What it brought, on the rival that it was worth most against.
            var best = b.SeatsByRival.MaxBy(r => r.Value);
            int seats = (int)Math.Round(best.Value + _habits.MarginBias + 0.3 * _dice.Normal());
            if (seats >= 1)
            {
                string unit = seats == 1 ? "a seat" : $"{Numbers.Small(seats)} seats";
                At(b.To + Delay(), P($"that took {unit} on {best.Key}", new TrendCall(best.Key, Who.Us, seats)));
            }
        }
    }

    private void TheirMoves()
    {
        foreach (var b in _race.Bursts.Where(b => b.Crew != _race.Scenario.Us))
        {
            string text = _dice.Pick<string>([$"{b.Crew} are going", $"{b.Crew} taking a move", $"here come {b.Crew} they're moving"]);
            At(b.From + 2 + Delay(), P(text, new RivalMoveCall(b.Crew)));
        }
    }

    private void TheEnd()
    {
        var me = _race.Scenario.Crews.First(c => c.Name == _race.Scenario.Us);
        var racing = _race.Own.Strokes.Where(s => s.Catch < _finish).ToArray();
        if (_race.Own.TimeAtMetres(_race.Scenario.DistanceMetres - me.SprintFromToGo) is { } sprint)
        {
            At(sprint - 9, P("sprint in five", new StrokesToCall(5, StrokesTarget.Sprint)));
            At(sprint + 0.3, P("sprint now", new ShiftCall(RhythmChange.Sprint)), P("up two", new RateChangeCall(2, null, null)));
        }

        foreach (int left in new[] { 20, 10, 5 })
        {
            int i = racing.Length - 1 - left;
            if (i > 0)
            {
                // The coxswain counts the strokes that are left a little wrong.
                double t = racing[Math.Max(0, i - _dice.Index(2))].Catch;
                At(t, P(left == 5 ? "five more" : $"last {Numbers.Small(left)}", new StrokesToCall(left, StrokesTarget.Finish)));
            }
        }

        At(_finish + 1.5, P("weigh enough", new CommandCall(Deed.Stop, "all")));

        // Talk after the finish is no call.
        string[] after = ["well rowed every one of you", "look at that scoreboard", "nobody touch my water bottle", "I want to row that again tomorrow"];
        for (int i = 0; i < after.Length && 9 + 17 * i < _race.Scenario.After - 6; i++)
        {
            At(_finish + 9 + 17 * i, P(after[i]));
        }
    }

    private void Talk()
    {
        _due.Sort((a, b) => a.At.CompareTo(b.At));
        int next = 0;
        double end = _finish + _race.Scenario.After - 2, idle = 2;
        while (true)
        {
            double due = next < _due.Count ? _due[next].At : end;
            bool room = Math.Max(idle, _say.Free) + 4 < due;
            double now = Math.Max(idle, _say.Free);
            if (room && now > _go + 12 && now < _finish - 3)
            {
                double started = now + _habits.Pause * _dice.Between(0.5, 1.4);
                if (started + 3 < due)
                {
                    Fill(started);
                    idle = _say.Free;
                    continue;
                }
            }

            if (next >= _due.Count)
            {
                return;
            }

            var (at, late, parts) = _due[next++];

            // Nobody counts a stroke that is past: what comes too late is left unsaid.
            if (_say.Free + 0.12 <= at + late)
            {
                _say.Say(at, parts);
                idle = _say.Free;
            }
        }
    }

    private void Fill(double t)
    {
        string[] rota = ["margin", "rate", "technique", "margin", "trend", "technique", "margin", "spirit", "pace", "margin", "rate", "steer"];
        Part? said = rota[_turn++ % rota.Length] switch
        {
            "margin" => Margin(t),
            "rate" => Rate(t),
            "trend" => Trend(t),
            "pace" => Pace(t),
            "steer" => P("on the rudder to " + (_dice.Chance(0.5) ? "port" : "starboard")),
            "spirit" => P(_dice.Pick<string>(["come on you monsters", $"yes {_race.Scenario.Us}", "this is ours", "believe it"]), new SpiritCall()),
            _ => Technique(),
        };
        if (said is { } part && part.Text.StartsWith("on the rudder", StringComparison.Ordinal))
        {
            said = P(part.Text, new SteerCall(part.Text.EndsWith("port", StringComparison.Ordinal) ? SteerSide.Port : SteerSide.Starboard, SteerMeans.Rudder));
        }

        _say.Say(t, said ?? Technique());
    }

    private Part? Margin(double t)
    {
        var hull = _race.Scenario.Geometry;
        var mine = _race.Scenario.Crews.First(c => c.Name == _race.Scenario.Us);
        double seen = t - Delay();
        var rivals = _race.Scenario.Crews.Where(c => c.Name != mine.Name)
            .OrderBy(c => Math.Abs(_race.Margin(c.Name, seen))).ToArray();
        if (rivals.Length == 0)
        {
            return null;
        }

        // The closest is spoken of most.
        var rival = rivals[_dice.Chance(0.6) ? 0 : _dice.Index(rivals.Length)];
        double sd = _habits.MarginSd * (1 + (Math.Abs(rival.Lane - mine.Lane) - 1) / 3.0);
        double error = _habits.MarginBias + sd * _dice.Normal();
        if (_dice.Chance(_habits.GrossShare))
        {
            error += (_dice.Chance(0.5) ? 1 : -1) * _dice.Between(3, 5);
        }

        return MarginTalk.Say(rival.Name, _race.Margin(rival.Name, seen) + error * hull.SeatSpacing.Metres, hull, _dice);
    }

    private Part? Rate(double t)
    {
        var last = _race.Own.Strokes.Where(s => s.Next < t).TakeLast(3).ToArray();
        if (last.Length < 3)
        {
            return null;
        }

        double spm = Math.Round(2 * (last.Average(s => s.Rate) + _habits.RateSd * _dice.Normal())) / 2;
        string said = Numbers.Rate(spm);
        return P(_dice.Pick<string>([said, $"we're at a {said}", $"rate {said}"]), new RateCall(spm, RateSense.Now));
    }

    private Part? Pace(double t)
    {
        if (t < _go + 40)
        {
            return null;
        }

        double v = (_race.Own.MetresAt(t) - _race.Own.MetresAt(t - 12)) / 12;
        int pace = (int)Math.Round(500 / v);
        return P(Numbers.Pace(pace), new PaceCall(pace));
    }

    private Part? Trend(double t)
    {
        double seen = t - Delay(), seat = _race.Scenario.Geometry.SeatSpacing.Metres;
        var moving = _race.Scenario.Crews.Select(c => c.Name).Where(n => n != _race.Scenario.Us)
            .Select(n => (Name: n, Seats: (_race.Margin(n, seen) - _race.Margin(n, Math.Max(_go, seen - 15))) / seat))
            .OrderBy(r => Math.Abs(_race.Margin(r.Name, seen))).Take(2).OrderByDescending(r => Math.Abs(r.Seats)).FirstOrDefault();
        if (moving.Name is null || Math.Abs(moving.Seats) < 0.7)
        {
            return null;
        }

        string n = moving.Name;
        return moving.Seats > 0
            ? P(_race.Margin(n, seen) > 0 ? $"moving away from {n}" : $"walking on {n}", new TrendCall(n, Who.Us, null))
            : P($"{n} are coming back at us", new TrendCall(n, Who.Them, null));
    }

    private Part Technique()
    {
        (string Text, Focus Topic)[] list =
        [
            ("quick catches", Focus.Catch), ("clean at the finish", Focus.Finish), ("push the legs", Focus.Legs), ("stay long", Focus.Length),
            ("hands away", Focus.Hands), ("sit up tall", Focus.Posture), ("patience on the slide", Focus.Ratio), ("keep it level", Focus.Set),
            ("all together", Focus.Timing), ("breathe", Focus.Breathing),
        ];
        var (text, topic) = _dice.Pick(list);
        string who = _dice.Chance(0.25) ? _dice.Pick(_race.Scenario.Names) + " " : "";
        return P(who + text, new TechniqueCall(topic));
    }
}
