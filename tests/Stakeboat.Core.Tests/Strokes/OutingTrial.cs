using Stakeboat.Core.Boats;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Simulation.Racing;
using Stakeboat.Simulation.Sensors;

namespace Stakeboat.Core.Tests.Strokes;

/// <summary>Sums over many simulated outings, each with another boat, rate, phone pose and sensor.</summary>
internal sealed class OutingTrial
{
    public int Outings { get; private set; }

    public int True { get; private set; }

    public int Found { get; private set; }

    public int Matched { get; private set; }

    public int Clocks { get; private set; }

    public int ClocksTried { get; private set; }

    public int WrongWay { get; private set; }

    public List<double> RateErrors { get; } = [];

    public List<double> CatchErrors { get; } = [];

    public List<double> ClockErrors { get; } = [];

    public List<double> SpeedRmse { get; } = [];

    public List<string> Notes { get; } = [];

    public Dictionary<string, (int Inside, int All)> Cover { get; } = [];

    public static PracticeScenario Scenario(int seed)
    {
        var dice = new Random(seed * 7919 + 13);
        BoatClass[] boats = [.. BoatClass.All];
        double Between(double a, double b) => a + ((b - a) * dice.NextDouble());
        var boat = boats[seed % boats.Length];
        double low = Between(16, 26);
        double high = Between(28, 46);
        double fast = Between(4.2, 5.8);
        double slow = fast * Between(0.62, 0.78);
        double[] rates = [25, 50, 50, 100];
        var steps = new List<PracticeStep>
        {
            new PracticeStep.Rest(Between(12, 25)),
            new PracticeStep.Strokes(dice.Next(18, 30), low, slow),
            new PracticeStep.Rest(Between(10, 20)),
        };
        switch (seed % 3)
        {
            case 0:
                steps.Add(new PracticeStep.PauseDrill(8, 20, slow * 0.9, Between(1, 2)));
                steps.Add(new PracticeStep.Rest(Between(8, 15)));
                break;
            case 1:
                steps.Add(new PracticeStep.Strokes(1, 20, 1.5, 0.6));
                steps.Add(new PracticeStep.Rest(Between(8, 15)));
                break;
        }

        steps.Add(new PracticeStep.Strokes(dice.Next(60, 110), high, fast));
        steps.Add(new PracticeStep.Rest(Between(12, 20)));
        steps.Add(new PracticeStep.Ladder(30, low, high, slow, fast));
        steps.Add(new PracticeStep.Rest(15));
        return new PracticeScenario
        {
            Name = "trial",
            Boat = boat,
            Steps = steps,
            HeadingDegrees = Between(0, 360),
            Satellite = new SatelliteSensor
            {
                Hertz = seed % 4 == 3 ? 5 : 1,
                SpeedSd = Between(0.05, 0.15),
                SpeedSpikeShare = 0.05,
                SpikeShare = 0.02,
                GapsPerHour = 4,
                ClockOffset = Between(-20, 20),
                ClockDrift = Between(-2e-5, 2e-5),
            },
            Motion = new MotionSensor
            {
                Hertz = rates[seed % rates.Length],
                Gyroscope = seed % 2 == 0,
                TiltRoll = Between(-40, 40),
                TiltPitch = Between(-60, 60),
                TiltYaw = Between(-180, 180),
                TiltDriftPerMinute = Between(0, 0.6),
                NoiseSd = Between(0.2, 0.6),
                WashSd = Between(0.1, 0.35),
                ClockOffset = Between(-5, 300),
                ClockDrift = Between(-3e-5, 3e-5),
            },
        };
    }

    /// <param name="change">What is other than usual in the outing.</param>
    /// <param name="bend">What is done to the log before it is read; its times must stay those of the simulation.</param>
    public void Add(int seed, Func<PracticeScenario, PracticeScenario>? change = null, Func<Core.Measurement.MotionLog, Core.Measurement.MotionLog>? bend = null)
    {
        var scenario = Scenario(seed);
        var row = PracticeSimulator.Run(change?.Invoke(scenario) ?? scenario, (ulong)seed);
        var found = SensorAnalysis.Analyse(new SensorInput(bend?.Invoke(row.Motion!) ?? row.Motion, row.Track));
        Outings++;
        var toSensor = row.ToMotion.Then(found.Motion!.Value);
        double S(double t) => toSensor.Map(Instant<RecordingClock>.FromSeconds(t)).Seconds;
        var back = toSensor.Inverse();
        double Back(double t) => back.Map(Instant<SensorClock>.FromSeconds(t)).Seconds;

        // A catch found within a quarter of a stroke of a true one is that one.
        int k = 0;
        var match = new int[row.Strokes.Count];
        Array.Fill(match, -1);
        for (int i = 0; i < row.Strokes.Count; i++)
        {
            double at = S(row.Strokes[i].Catch);
            double reach = 0.25 * Math.Min(3, row.Strokes[i].Next - row.Strokes[i].Catch);
            while (k < found.Strokes.Count && found.Strokes[k].Catch.Seconds < at - reach)
            {
                k++;
            }

            if (k < found.Strokes.Count && found.Strokes[k].Catch.Seconds <= at + reach)
            {
                match[i] = k++;
            }
        }

        int matched = match.Count(m => m >= 0);
        True += row.Strokes.Count;
        Found += found.Strokes.Count;
        Matched += matched;
        if (matched < row.Strokes.Count - 2 || matched < found.Strokes.Count - 2)
        {
            WrongWay += matched < row.Strokes.Count / 2 ? 1 : 0;
            Notes.Add($"seed {seed}: true {row.Strokes.Count}, found {found.Strokes.Count}, matched {matched}");
        }

        double mean = 0;
        for (int i = 0; i < match.Length; i++)
        {
            mean += match[i] >= 0 ? (found.Strokes[match[i]].Catch.Seconds - S(row.Strokes[i].Catch)) / Math.Max(1, matched) : 0;
        }

        for (int i = 0; i + 1 < match.Length; i++)
        {
            var truth = row.Strokes[i];
            if (match[i] < 0)
            {
                continue;
            }

            var s = found.Strokes[match[i]];
            CatchErrors.Add(s.Catch.Seconds - S(truth.Catch) - mean);
            if (s.Quality == StrokeQuality.Poor || match[i + 1] != match[i] + 1 || Math.Abs(row.Strokes[i + 1].Catch - truth.Next) > 0.01)
            {
                continue;
            }

            RateErrors.Add(s.Rate.Mean - truth.Rate);
            Count("rate", s.Rate, truth.Rate);
            Count("metres", s.Metres, truth.Metres);
            Count("speed", s.Speed, truth.MeanSpeed);
            Count("lowest", s.Lowest, truth.Slowest);
            Count("highest", s.Highest, truth.Fastest);
            Count("check", s.Check, truth.Check);
        }

        ClocksTried++;
        if (found.Satellite is { } map)
        {
            var track = row.Track!;
            var middle = track.Fixes[track.Fixes.Count / 2].Time!.Value;
            double truly = S(row.ToSatellite.Inverse().Map(middle).Seconds);
            double error = map.Map(middle).Seconds - truly;
            ClockErrors.Add(error);
            Clocks += Math.Abs(error) <= 0.1 ? 1 : 0;
            Count("clock", Math.Abs(error) <= 1.645 * map.SdAt(middle));
            if (Math.Abs(error) > 0.1)
            {
                Notes.Add(FormattableString.Invariant($"seed {seed}: clock off by {error:0.00} s"));
            }
        }
        else
        {
            Notes.Add($"seed {seed}: clocks not joined");
        }

        Starts(row, found, S);
        if (found.Hull is { } hull)
        {
            double sum = 0;
            int n = 0;
            foreach (var s in hull.Sample(10))
            {
                double t = Back(s.At.Seconds);
                if (row.Own.RateAt(t) is null)
                {
                    continue;
                }

                double e = s.SpeedMps - row.Own.SpeedAt(t);
                sum += e * e;
                n++;
                Count("hull speed", Math.Abs(e) <= 1.645 * s.SpeedSd);
            }

            SpeedRmse.Add(Math.Sqrt(sum / n));
        }
    }

    public int StartsTrue { get; private set; }

    public int StartsFound { get; private set; }

    /// <summary>The piece of the outing came from a rest: its start is the first catch.</summary>
    private void Starts(SimulatedPractice row, SensorFindings found, Func<double, double> sensor)
    {
        int k = 0;
        foreach (var step in row.Scenario.Steps)
        {
            int count = step switch
            {
                PracticeStep.Strokes s => s.Count,
                PracticeStep.Ladder l => l.Count,
                PracticeStep.PauseDrill p => p.Count,
                PracticeStep.Turn t => t.Count,
                _ => 0,
            };
            if (step is PracticeStep.Strokes { Count: >= 60 })
            {
                double truth = sensor(row.Strokes[k].Catch);
                double off = found.Pieces.Select(p => Math.Abs(p.Start.Mean - truth)).DefaultIfEmpty(99).Min();
                StartsTrue++;
                StartsFound += off <= 0.5 ? 1 : 0;
                if (off > 0.5)
                {
                    Notes.Add($"seed {row.Seed}: start off by {off:0.00} s");
                }
            }

            k += count;
        }
    }

    public double Recall => (double)Matched / True;

    public double Precision => (double)Matched / Found;

    public static double Rms(List<double> x) => Math.Sqrt(x.Sum(v => v * v) / Math.Max(1, x.Count));

    /// <summary>Standard deviation of the middle 98 %.</summary>
    public static double Trimmed(List<double> x)
    {
        var s = x.Select(Math.Abs).Order().Take((int)(0.99 * x.Count)).ToList();
        return Rms(s);
    }

    /// <summary>Errors over their own sds, for whoever fits the sds.</summary>
    public Dictionary<string, List<double>> Standardised { get; } = [];

    private void Count(string name, Core.Units.Estimate? e, double truth)
    {
        if (e is { } v)
        {
            if (!Standardised.TryGetValue(name, out var list))
            {
                Standardised[name] = list = [];
            }

            list.Add((v.Mean - truth) / v.Sd);
            Count(name, v.Low90 <= truth && truth <= v.High90);
        }
    }

    private void Count(string name, bool inside)
    {
        var (a, b) = Cover.GetValueOrDefault(name);
        Cover[name] = (a + (inside ? 1 : 0), b + 1);
    }

    public string Report() => string.Join(Environment.NewLine,
        [
            $"outings {Outings}; strokes {True}, found {Found}, recall {Recall:0.0000}, precision {Precision:0.0000}",
            $"rate sd {Rms(RateErrors):0.000} (trimmed {Trimmed(RateErrors):0.000}); catch sd {Rms(CatchErrors) * 1000:0.0} ms",
            $"hull speed rmse: median {SpeedRmse.Order().ElementAt(SpeedRmse.Count / 2):0.000}, mean {SpeedRmse.Average():0.000}, worst {SpeedRmse.Max():0.000}",
            $"clocks {Clocks}/{ClocksTried} within 0.1 s, rms {Rms(ClockErrors):0.000} s, trimmed {Trimmed(ClockErrors):0.000} s",
            $"starts {StartsFound}/{StartsTrue} within 0.5 s",
            .. Cover.Select(c => $"90 % interval of {c.Key}: {100.0 * c.Value.Inside / c.Value.All:0.0} % of {c.Value.All}"),
            .. Notes.Take(40),
        ]);
}
