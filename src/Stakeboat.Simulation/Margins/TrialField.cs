using Stakeboat.Core.Numerics;

namespace Stakeboat.Simulation.Margins;

/// <summary>A burst that truly happened in a trial, s after go.</summary>
/// <param name="Crew">0: ours.</param>
public sealed record TrialBurst(int Crew, double From, double To, int Strokes);

/// <summary>
/// A field of crews rowing down a straight course by a script of starts, bursts, fades and sprints in shared gusts: the truth of a trial.
/// It owes nothing to the engine's own model. Distances every 0.25 s.
/// </summary>
public sealed class TrialField
{
    private const double Step = 0.25;
    private readonly double[][] _metres;

    public TrialField(MarginTrialSettings settings, Random random)
    {
        var z = new NormalDraws(random.Next());
        double U(double a, double b) => a + (b - a) * random.NextDouble();
        int n = settings.Crews;
        double length = settings.DistanceMetres;
        double field = U(4.6, 5.7);
        int count = (int)(length / field * 1.5 / Step);
        var gust = new double[count];
        for (int i = 1; i < count; i++)
        {
            gust[i] = gust[i - 1] * Math.Exp(-Step / 40) + 0.012 * Math.Sqrt(1 - Math.Exp(-2 * Step / 40)) * z.Next();
        }

        _metres = new double[n][];
        Finish = new double[n];
        var bursts = new List<TrialBurst>();
        for (int c = 0; c < n; c++)
        {
            double speed = field * (1 + 0.011 * z.Next());
            double high = U(0.03, 0.08), settle = U(18, 40), fade = U(0, 0.015);
            double sprint = U(0.01, 0.045), sprintAt = length - U(200, 400);
            double slowWord = U(0.15, 0.45), tau = U(2.75, 3.45);

            // Crews surge and pay it back, some hardly, some by a seat or two either way. Own judgement.
            double surge = U(0, 0.011), period = U(30, 80), phase = U(0, 2 * Math.PI);
            var mine = new List<TrialBurst>();
            for (int b = random.Next(2, 5); b > 0; b--)
            {
                int strokes = random.Next(3) == 0 ? 20 : 10;
                double from = U(40, length / field - 60);
                if (!mine.Any(m => from < m.To + 10 && from + strokes * 1.7 > m.From - 10))
                {
                    mine.Add(new TrialBurst(c, from, from + strokes * 1.7, strokes));
                }
            }

            double gain = U(0.009, 0.02), form = 0, push = 0, s = 0, v = 0;
            var metres = new double[count];
            for (int i = 1; i < count; i++)
            {
                double t = i * Step;
                form = form * Math.Exp(-Step / 60) + 0.0035 * Math.Sqrt(1 - Math.Exp(-2 * Step / 60)) * z.Next();
                double wanted = mine.Any(m => t >= m.From && t < m.To) ? gain : 0;
                push += (wanted - push) * Step / 3;
                double aim = speed * (1 + gust[i] + form + push + surge * Math.Sin(phase + 2 * Math.PI * t / period) + high * Math.Max(0, 1 - Math.Max(0, t - settle) / 12)
                    - fade * Math.Max(0, s - 300) / 1000 + (s > sprintAt ? sprint * Math.Min(1, (s - sprintAt) / 60) : 0));
                v += t < slowWord ? 0 : (aim - v) * Step / (t < 25 ? tau : 1.5);
                s += v * Step;
                metres[i] = s;
                if (s >= length && Finish[c] == 0)
                {
                    Finish[c] = t - (s - length) / v;
                }
            }

            _metres[c] = metres;
            bursts.AddRange(mine.Where(m => m.To < Finish[c]));
        }

        Bursts = bursts;
    }

    public double[] Finish { get; }

    public IReadOnlyList<TrialBurst> Bursts { get; }

    public int Crews => _metres.Length;

    public double Metres(int crew, double t)
    {
        double k = Math.Clamp(t / Step, 0, _metres[crew].Length - 1.001);
        int i = (int)k;
        return _metres[crew][i] + (k - i) * (_metres[crew][i + 1] - _metres[crew][i]);
    }

    public double Speed(int crew, double t) => (Metres(crew, t + 0.5) - Metres(crew, t - 0.5)) / (t < 0.5 ? t + 0.5 : 1);

    /// <summary>Our bow ball ahead of theirs, m.</summary>
    public double Margin(int rival, double t) => Metres(0, t) - Metres(rival, t);

    /// <summary>When a crew's bow ball came to a mark, s.</summary>
    public double TimeAt(int crew, double mark)
    {
        double low = 0, high = (_metres[crew].Length - 2) * Step;
        for (int i = 0; i < 50; i++)
        {
            double mid = 0.5 * (low + high);
            (low, high) = Metres(crew, mid) < mark ? (mid, high) : (low, mid);
        }

        return high;
    }
}
