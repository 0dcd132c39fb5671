using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Strokes;

/// <summary>
/// Joins fixes along the path with forward acceleration. The smoother's nodes are the fixes (and one a second inside gaps); between
/// nodes the acceleration carries the shape and the smoother's correction is the cubic that takes up what is left at the next node
/// (the mean of integrated white noise held at both ends). All on the sensor clock.
/// </summary>
internal sealed class HullFusion
{
    /// <summary>Degrees of freedom of the fixes' errors.</summary>
    public const double Freedom = 4;
    private const double LongestStep = 1;

    private readonly double[] _fixes;
    private readonly double[] _along;
    private readonly double[] _speed;
    private readonly double[]? _acceleration;
    private readonly bool[]? _missing;
    private readonly double _step;
    private readonly double[]? _area;
    private readonly double[]? _area2;

    /// <param name="fixes">Sensor seconds of the fixes.</param>
    /// <param name="along">m.</param>
    /// <param name="speed">m/s or NaN.</param>
    /// <param name="acceleration">Forward, on an even grid from 0 with <paramref name="step"/>; null without motion.</param>
    public HullFusion(double[] fixes, double[] along, double[] speed, double[]? acceleration, bool[]? missing, double step)
    {
        _fixes = fixes;
        _along = along;
        _speed = speed;
        _acceleration = acceleration;
        _missing = missing;
        _step = step;
        if (acceleration is not null)
        {
            // Speed and way gained since the first sample, by the trapezium and its exact integral.
            int n = acceleration.Length;
            _area = new double[n];
            _area2 = new double[n];
            for (int i = 1; i < n; i++)
            {
                double a0 = acceleration[i - 1];
                double a1 = acceleration[i];
                _area[i] = _area[i - 1] + (0.5 * step * (a0 + a1));
                _area2[i] = _area2[i - 1] + (step * _area[i - 1]) + (step * step * ((a0 / 3) + (a1 / 6)));
            }
        }
    }

    public HullLevels Levels { get; private set; }

    /// <summary>Acceleration's own PSD where there is no motion sample.</summary>
    public double Bare { get; private set; } = 3;

    /// <summary>ln-likelihood under levels, Student-t innovations, with the fixes' clock moved by <paramref name="shift"/> s, over fixes [from, to).</summary>
    public double Evidence(HullLevels levels, double bare, double shift, int from, int to)
    {
        var (model, observations, mean, covariance) = Build(levels, bare, shift, from, to, fill: false);
        return new StateSmoother(model.Model, HullModel.Rows, mean, covariance).Evidence(observations, Freedom);
    }

    /// <summary>Levels by greatest evidence over at most <paramref name="most"/> fixes from the busiest part.</summary>
    public void Learn(int most)
    {
        int n = _fixes.Length;
        int from = 0;
        int to = n;
        if (n > most)
        {
            (from, to) = Busiest(most);
        }

        bool motion = _acceleration is not null;
        bool doppler = HasSpeed(from, to);
        double hz = (to - from - 1) / Math.Max(1e-9, _fixes[to - 1] - _fixes[from]);
        double[] start = motion
            ? [Math.Log(0.02), Math.Log(1e-4), Math.Log(0.5), Math.Log(1), Math.Log(0.15)]
            : [Math.Log(hz > 2.5 ? 3.0 : 0.5), 0, Math.Log(0.5), Math.Log(1), Math.Log(0.15)];
        int[] free = motion ? doppler ? [0, 1, 2, 3, 4] : [0, 1, 2, 3] : doppler ? [0, 2, 3, 4] : [0, 2, 3];

        HullLevels At(double[] p)
        {
            var full = (double[])start.Clone();
            for (int i = 0; i < free.Length; i++)
            {
                full[free[i]] = p[i];
            }

            return motion
                ? new HullLevels(Math.Exp(full[0]), Math.Exp(full[1]), Math.Exp(full[2]), Math.Exp(full[3]), Math.Exp(full[4]))
                : new HullLevels(Math.Exp(full[0]), 1e-8, Math.Exp(full[2]), Math.Exp(full[3]), Math.Exp(full[4]));
        }

        // Weak priors in ln-levels, sd 1.5 to 2 about the usual, so that a level that the data do not speak of stays sensible.
        double Cost(double[] p)
        {
            double prior = 0;
            for (int i = 0; i < free.Length; i++)
            {
                double z = (p[i] - start[free[i]]) / (free[i] == 1 ? 2 : 1.5);
                prior += 0.5 * z * z;
            }

            var levels = At(p);
            double bare = motion ? 3 : levels.Acceleration;
            double e = Evidence(levels, bare, 0, from, to);
            return double.IsFinite(e) ? prior - e : double.MaxValue;
        }

        var first = new double[free.Length];
        var step = new double[free.Length];
        for (int i = 0; i < free.Length; i++)
        {
            first[i] = start[free[i]];
            step[i] = 0.9;
        }

        var (best, _, _) = NelderMead.Minimise(Cost, first, step, 60 * free.Length, 0.02);
        Levels = At(best);
        Bare = motion ? 3 : Levels.Acceleration;
    }

    public void Use(HullLevels levels, double bare)
    {
        Levels = levels;
        Bare = bare;
    }

    /// <summary>The smoother's run at the nodes and the hull on an even grid of about <paramref name="hz"/> (with motion: the motion's own grid).</summary>
    public (HullSignal Hull, Smoothed Run, double[] Nodes, int Observations) Solve(double hz)
    {
        var (built, observations, mean, covariance) = Build(Levels, Bare, 0, 0, _fixes.Length, fill: true);
        var run = new StateSmoother(built.Model, HullModel.Rows, mean, covariance).Run(observations, Freedom);
        double step = _acceleration is not null ? _step : 1 / hz;
        return (Between(built, run, step), run, built.Nodes, observations.Length);
    }

    private readonly record struct Built(HullModel Model, double[] Nodes, double[]? GainedSpeed, double[]? GainedWay, bool[]? Blind);

    private (Built Built, Observation[] Observations, double[] Mean, double[] Covariance) Build(
        HullLevels levels, double bare, double shift, int from, int to, bool fill)
    {
        var nodes = new List<double>(to - from + 16);
        var observations = new List<Observation>(2 * (to - from));
        double position2 = levels.Position * levels.Position;
        double speed2 = levels.Speed * levels.Speed;
        double span = _acceleration is not null ? (_acceleration.Length - 1) * _step : double.PositiveInfinity;
        if (fill && _acceleration is not null && _fixes.Length > 0)
        {
            // The log may begin before the first fix: at most 60 s of it are carried backwards.
            double head = Math.Max(0, _fixes[0] - 60);
            for (double t = head; t < _fixes[0] - 0.01; t += LongestStep)
            {
                nodes.Add(t);
            }
        }

        double spacing = _acceleration is null ? LongestStep : 0.5;
        for (int i = from; i < to; i++)
        {
            double t = _fixes[i] + shift;
            if (fill && nodes.Count > 0 && t - nodes[^1] > LongestStep * 1.2)
            {
                double last = nodes[^1];
                int parts = (int)Math.Ceiling((t - last) / spacing);
                for (int k = 1; k < parts; k++)
                {
                    nodes.Add(last + ((t - last) * k / parts));
                }
            }

            nodes.Add(t);
            observations.Add(new Observation(nodes.Count - 1, HullModel.PositionRow, _along[i], position2));
            if (!double.IsNaN(_speed[i]))
            {
                observations.Add(new Observation(nodes.Count - 1, HullModel.SpeedRow, _speed[i], speed2));
            }
        }

        if (fill && _acceleration is not null)
        {
            double tail = Math.Min(span, nodes[^1] + 60);
            while (nodes[^1] + 1e-6 < tail)
            {
                nodes.Add(Math.Min(tail, nodes[^1] + LongestStep));
            }
        }

        var at = nodes.ToArray();
        double[]? gainedSpeed = null;
        double[]? gainedWay = null;
        bool[]? blind = null;
        if (_acceleration is not null)
        {
            gainedSpeed = new double[at.Length];
            gainedWay = new double[at.Length];
            blind = new bool[at.Length];
            var (v0, s0) = Integrals(at[0]);
            for (int k = 0; k + 1 < at.Length; k++)
            {
                var (v1, s1) = Integrals(at[k + 1]);
                gainedSpeed[k] = v1 - v0;
                gainedWay[k] = s1 - s0 - (v0 * (at[k + 1] - at[k]));
                blind[k] = at[k] < -0.01 || at[k + 1] > span + 0.01 || AnyMissing(at[k], at[k + 1]);
                (v0, s0) = (v1, s1);
            }
        }

        double speedGuess = 0;
        for (int i = from; i < to; i++)
        {
            if (!double.IsNaN(_speed[i]))
            {
                speedGuess = _speed[i];
                break;
            }
        }

        double[] mean = [RobustLocation.Median(_along.AsSpan(from, Math.Min(5, to - from))), speedGuess, 0, 0];
        double wander2 = levels.Wander * levels.Wander;
        double[] covariance = [100, 0, 0, 0, 0, 9, 0, 0, 0, 0, _acceleration is null ? 1e-6 : 1, 0, 0, 0, 0, wander2];
        return (new Built(new HullModel(at, gainedSpeed, gainedWay, blind, levels, bare), at, gainedSpeed, gainedWay, blind),
            observations.ToArray(), mean, covariance);
    }

    private (double Speed, double Way) Integrals(double t)
    {
        double x = t / _step;
        int n = _acceleration!.Length;
        int i = (int)Math.Clamp(Math.Floor(x), 0, n - 2);
        double h = t - (i * _step);
        double slope = (_acceleration[i + 1] - _acceleration[i]) / _step;
        double a = _acceleration[i];
        if (h < 0 || h > _step)
        {
            // Beyond the log: nothing is known of the acceleration; such a step is blind.
            h = Math.Clamp(h, 0, _step);
        }

        double v = _area![i] + (h * (a + (0.5 * slope * h)));
        double s = _area2![i] + (h * _area[i]) + (h * h * ((0.5 * a) + (slope * h / 6)));
        return (v, s + (v * (t - (i * _step) - h)));
    }

    private bool AnyMissing(double from, double to)
    {
        if (_missing is null)
        {
            return false;
        }

        int a = Math.Max(0, (int)(from / _step));
        int b = Math.Min(_missing.Length - 1, (int)(to / _step) + 1);
        for (int i = a; i <= b; i++)
        {
            if (_missing[i])
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>The hull between the nodes.</summary>
    private HullSignal Between(Built built, Smoothed run, double step)
    {
        var nodes = built.Nodes;
        double first = Math.Ceiling((nodes[0] / step) - 1e-9) * step;
        int n = Math.Max(1, (int)Math.Floor(((nodes[^1] - first) / step) + 1e-9) + 1);
        var metres = new double[n];
        var speed = new double[n];
        var metresSd = new float[n];
        var speedSd = new float[n];
        int k = 0;
        int prepared = -1;
        double v0 = 0;
        double s0 = 0;
        double ds = 0;
        double dv = 0;
        double vMid = 0;
        double sMid = 0;
        double dt = 1;
        bool blind = true;
        for (int i = 0; i < n; i++)
        {
            double t = first + (i * step);
            while (k + 2 < nodes.Length && nodes[k + 1] <= t)
            {
                k++;
            }

            int z = k * 4;
            double sk = run.Mean[z];
            double vk = run.Mean[z + 1];
            double bk = run.Mean[z + 2];
            if (k != prepared)
            {
                prepared = k;
                dt = nodes[k + 1] - nodes[k];
                blind = built.GainedSpeed is null || built.Blind![k];
                double gs = blind ? 0 : built.GainedSpeed![k] - (bk * dt);
                double gw = blind ? 0 : built.GainedWay![k] - (0.5 * bk * dt * dt);
                ds = run.Mean[z + 4] - (sk + (vk * dt) + gw);
                dv = run.Mean[z + 5] - (vk + gs);
                if (!blind)
                {
                    (v0, s0) = Integrals(nodes[k]);
                }

                (sMid, vMid) = MidVariance(run, k, dt, blind ? Bare : Levels.Acceleration, blind);
            }

            double h = t - nodes[k];
            double f = Math.Clamp(h / dt, 0, 1);
            double f2 = f * f;
            double f3 = f2 * f;
            double ownV = vk;
            double ownS = sk + (vk * h);
            if (!blind)
            {
                var (vi, si) = Integrals(t);
                ownV += vi - v0 - (bk * h);
                ownS += si - s0 - (v0 * h) - (0.5 * bk * h * h);
            }

            // Cubic with value and slope 0 at this node, ds and dv at the next.
            metres[i] = ownS + (((3 * f2) - (2 * f3)) * ds) + ((f3 - f2) * dt * dv);
            speed[i] = ownV + (((6 * f) - (6 * f2)) * ds / dt) + (((3 * f2) - (2 * f)) * dv);
            metresSd[i] = (float)Math.Sqrt(Quadratic(run.Covariance[k * 16], sMid, run.Covariance[(k + 1) * 16], f));
            speedSd[i] = (float)Math.Sqrt(Quadratic(run.Covariance[(k * 16) + 5], vMid, run.Covariance[((k + 1) * 16) + 5], f));
        }

        return new HullSignal(first, step, metres, speed, metresSd, speedSd);
    }

    private static double Quadratic(double a, double mid, double b, double f)
    {
        double v = (a * (1 - f) * (1 - (2 * f))) + (4 * mid * f * (1 - f)) + (b * f * ((2 * f) - 1));
        return Math.Max(v, 0.25 * Math.Min(a, Math.Min(mid, b)));
    }

    /// <summary>
    /// Variances of place and speed half way between two nodes: at f = 1/2 the cubic gives s = s0/2 + s1/2 + dt (v0 - v1)/8 and
    /// v = 3 (s1 - s0)/(2 dt) - (v0 + v1)/4 of the nodes' errors, and the held noise adds q dt³/192 and q dt/16.
    /// </summary>
    private static (double S, double V) MidVariance(Smoothed run, int k, double dt, double q, bool blind)
    {
        // Joint covariance of (s0, v0, s1, v1).
        Span<double> c = stackalloc double[16];
        Span<double> cross = stackalloc double[4];
        for (int i = 0; i < 2; i++)
        {
            for (int j = 0; j < 2; j++)
            {
                c[(i * 4) + j] = run.Covariance[(k * 16) + (i * 4) + j];
                c[((i + 2) * 4) + j + 2] = run.Covariance[((k + 1) * 16) + (i * 4) + j];
                double x = 0;
                for (int m = 0; m < 4; m++)
                {
                    x += run.Gain[(k * 16) + (i * 4) + m] * run.Covariance[((k + 1) * 16) + (m * 4) + j];
                }

                cross[(i * 2) + j] = x;
            }
        }

        for (int i = 0; i < 2; i++)
        {
            for (int j = 0; j < 2; j++)
            {
                c[(i * 4) + j + 2] = cross[(i * 2) + j];
                c[((j + 2) * 4) + i] = cross[(i * 2) + j];
            }
        }

        _ = blind;
        ReadOnlySpan<double> ws = [0.5, dt / 8, 0.5, -dt / 8];
        ReadOnlySpan<double> wv = [-1.5 / dt, -0.25, 1.5 / dt, -0.25];
        double vs = q * dt * dt * dt / 192;
        double vv = q * dt / 16;
        for (int i = 0; i < 4; i++)
        {
            for (int j = 0; j < 4; j++)
            {
                vs += ws[i] * ws[j] * c[(i * 4) + j];
                vv += wv[i] * wv[j] * c[(i * 4) + j];
            }
        }

        return (Math.Max(vs, 1e-9), Math.Max(vv, 1e-9));
    }

    private bool HasSpeed(int from, int to)
    {
        int n = 0;
        for (int i = from; i < to; i++)
        {
            n += double.IsNaN(_speed[i]) ? 0 : 1;
        }

        return n > (to - from) / 2;
    }

    /// <summary>The run of <paramref name="most"/> fixes along which the boat went farthest.</summary>
    public (int From, int To) Busiest(int most)
    {
        int n = _fixes.Length;
        if (n <= most)
        {
            return (0, n);
        }

        int best = 0;
        double far = double.NegativeInfinity;
        for (int i = 0; i + most <= n; i += Math.Max(1, most / 8))
        {
            double d = _along[i + most - 1] - _along[i];
            if (d > far)
            {
                far = d;
                best = i;
            }
        }

        // Begin a little earlier, so that a start from rest is inside.
        int lead = Math.Min(best, most / 8);
        return (best - lead, best - lead + most);
    }
}
