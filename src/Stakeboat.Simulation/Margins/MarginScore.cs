using Stakeboat.Core.Margins;
using Stakeboat.Core.Time;

namespace Stakeboat.Simulation.Margins;

/// <summary>Sums over trials: how often intervals of 90 % held the truth, and how wide they were.</summary>
public sealed class MarginScore
{
    private readonly List<double> _half = [];

    public int Races { get; private set; }

    public int Seconds { get; private set; }

    public int SecondsHeld { get; private set; }

    public int Gains { get; private set; }

    public int GainsHeld { get; private set; }

    public int Orders { get; private set; }

    public int OrdersRight { get; private set; }

    public int NotConverged { get; private set; }

    /// <summary>Seconds by eighths of the race, and those held.</summary>
    public int[] SecondsByEighth { get; } = new int[8];

    public int[] HeldByEighth { get; } = new int[8];

    public double CoverageOf(int eighth) => HeldByEighth[eighth] / (double)Math.Max(1, SecondsByEighth[eighth]);

    public double SquaredError { get; private set; }

    public double Coverage => SecondsHeld / (double)Math.Max(1, Seconds);

    public double GainCoverage => GainsHeld / (double)Math.Max(1, Gains);

    /// <summary>Half width of the 90 % interval, seats of 1.4 m.</summary>
    public double MedianHalfSeats
    {
        get
        {
            var sorted = _half.Order().ToList();
            return sorted.Count == 0 ? double.NaN : sorted[sorted.Count / 2] / 1.4;
        }
    }

    public double RmsSeats => Math.Sqrt(SquaredError / Math.Max(1, Seconds)) / 1.4;

    public void Add(MarginTrial trial, MarginSolution solution)
    {
        Races++;
        NotConverged += solution.Converged ? 0 : 1;
        for (int c = 1; c < trial.Field.Crews; c++)
        {
            var trace = solution.Rival(MarginTrial.Name(c));
            for (int i = 1; i < solution.Seconds.Length; i++)
            {
                double truth = trial.Field.Margin(c, solution.Seconds[i]);
                var e = trace.At(i);
                bool held = truth >= e.Low90 && truth <= e.High90;
                int eighth = Math.Min(7, 8 * i / solution.Seconds.Length);
                Seconds++;
                SecondsHeld += held ? 1 : 0;
                SecondsByEighth[eighth]++;
                HeldByEighth[eighth] += held ? 1 : 0;
                SquaredError += (truth - e.Mean) * (truth - e.Mean);
                if (i % 5 == 0)
                {
                    _half.Add(e.High90 - e.Mean);
                }
            }

            double end = solution.Seconds[^1];
            Orders++;
            OrdersRight += Math.Sign(trace.Mean[^1]) == Math.Sign(trial.Field.Margin(c, end)) ? 1 : 0;
            foreach (var b in trial.Field.Bursts.Where(b => (b.Crew == 0 || b.Crew == c) && b.To < end))
            {
                var gain = solution.Gain(MarginTrial.Name(c), Instant<RaceClock>.FromSeconds(b.From), Instant<RaceClock>.FromSeconds(b.To));
                double truth = trial.Field.Margin(c, b.To) - trial.Field.Margin(c, b.From);
                Gains++;
                GainsHeld += truth >= gain.Low90 && truth <= gain.High90 ? 1 : 0;
            }
        }
    }
}
