using Stakeboat.Core.Numerics;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Margins;

/// <summary>A rival over the race, a value each grid time. Margins m, speeds m/s.</summary>
/// <param name="MarginRate">How fast the margin grew.</param>
/// <param name="Speed">The rival's own speed over ground.</param>
/// <param name="AnyEvidence">False where nothing was said, seen or published of this crew: the numbers are the prior's.</param>
public sealed record RivalTrace(Rival Rival, double[] Mean, double[] Sd, Estimate[] MarginRate, Estimate[] Speed, bool AnyEvidence)
{
    public Estimate At(int index) => new(Mean[index], Sd[index]);
}

/// <summary>Our own boat over the race: distance m, speed m/s.</summary>
public sealed record OwnTrace(Estimate[] Metres, Estimate[] Speed);

/// <summary>How a piece of evidence was understood.</summary>
/// <param name="Labels">Of its readings, in order; one empty label where there was no choice.</param>
/// <param name="Crews">Which crew each reading is about; null: ours alone.</param>
/// <param name="Posterior">Probability of each reading; they and the gross error add up to 1.</param>
/// <param name="GrossError">Probability that it was meant otherwise altogether.</param>
public sealed record ResolvedEvidence(
    MarginEvidence Evidence, IReadOnlyList<string> Labels, IReadOnlyList<string?> Crews, IReadOnlyList<double> Posterior, double GrossError);

/// <summary>A margin at a moment with a factor, for sums of which the uncertainty is wanted.</summary>
public readonly record struct MarginTerm(string Crew, Instant<RaceClock> At, double Factor);

/// <summary>The answer: who was where at every second, how sure, and why.</summary>
public sealed class MarginSolution
{
    private readonly MarginModel _model;
    private readonly GaussianChain _chain;
    private readonly int[] _steps;

    internal MarginSolution(
        MarginProblem problem, MarginModel model, GaussianChain chain, double[] grid, int[] steps, MarginStrength strength, PropagationEnd end)
    {
        Problem = problem;
        _model = model;
        _chain = chain;
        _steps = steps;
        Seconds = grid;
        Strength = strength;
        LogEvidence = end.LogEvidence;
        Converged = end.Converged;
        Sweeps = end.Sweeps;
        LeftOut = model.LeftOut;
        Rivals = [.. problem.Rivals.Select((r, i) => Trace(r, i + 1))];
        Own = OwnTraceOf();
        CoxBias = At(steps[^1], Functional.Of((MarginStates.Bias, 1)));
        GoShift = At(steps[^1], Functional.Of((MarginStates.GoShift, 1)));
        Evidence = [.. model.Sites.Select(Resolve)];
    }

    public MarginProblem Problem { get; }

    /// <summary>Grid times on the race clock: every second from go, then the finish.</summary>
    public double[] Seconds { get; }

    public IReadOnlyList<RivalTrace> Rivals { get; }

    public OwnTrace Own { get; }

    /// <summary>Evidence that left a choice or could be a gross error, as it was resolved.</summary>
    public IReadOnlyList<ResolvedEvidence> Evidence { get; }

    /// <summary>What could not be used: outside the race, or about nobody we know.</summary>
    public IReadOnlyList<MarginEvidence> LeftOut { get; }

    public MarginStrength Strength { get; }

    /// <summary>How much better than true the coxswain told it, m.</summary>
    public Estimate CoxBias { get; }

    /// <summary>How much later than assumed the race began on our own clock, s.</summary>
    public Estimate GoShift { get; }

    public double LogEvidence { get; }

    public bool Converged { get; }

    public int Sweeps { get; }

    /// <summary>When we finished, race clock.</summary>
    public Instant<RaceClock> End => Instant<RaceClock>.FromSeconds(_model.End);

    public RivalTrace Rival(string name) => Rivals[Crew(name) - 1];

    /// <summary>A rival's margin at any moment of the race, m.</summary>
    public Estimate MarginAt(string crew, Instant<RaceClock> at) => Combine([new MarginTerm(crew, at, 1)]);

    /// <summary>What the margin to a rival grew by between two moments, m: with the covariance of the two.</summary>
    public Estimate Gain(string crew, Instant<RaceClock> from, Instant<RaceClock> to) =>
        Combine([new MarginTerm(crew, to, 1), new MarginTerm(crew, from, -1)]);

    /// <summary>A sum of margins, each with its factor, m.</summary>
    public Estimate Combine(IReadOnlyList<MarginTerm> terms)
    {
        var (means, cov) = Joint([terms]);
        return new Estimate(means[0], Math.Sqrt(Math.Max(cov[0], 0)));
    }

    /// <summary>Several sums of margins with their joint covariance, row by row.</summary>
    public (double[] Mean, double[] Covariance) Joint(IReadOnlyList<IReadOnlyList<MarginTerm>> sums)
    {
        var at = new List<(int Step, Functional F)>();
        var index = new Dictionary<(int, int), int>();
        var weights = new List<Dictionary<int, double>>();
        foreach (var terms in sums)
        {
            var row = new Dictionary<int, double>();
            foreach (var term in terms)
            {
                int crew = Crew(term.Crew);
                var (k, w) = Place(term.At.Seconds);
                foreach (var (g, f) in ((int, double)[])[(k, 1 - w), (Math.Min(k + 1, Seconds.Length - 1), w)])
                {
                    if (f == 0)
                    {
                        continue;
                    }

                    if (!index.TryGetValue((g, crew), out int i))
                    {
                        i = at.Count;
                        index[(g, crew)] = i;
                        at.Add((_steps[g], MarginStates.Margin(crew)));
                    }

                    row[i] = row.GetValueOrDefault(i) + f * term.Factor;
                }
            }

            weights.Add(row);
        }

        double[] basic = _chain.Covariances(at);
        double[] basicMean = [.. at.Select(a => _chain.Mean(a.Step, a.F))];
        int n = sums.Count, m = at.Count;
        var mean = new double[n];
        var cov = new double[n * n];
        for (int i = 0; i < n; i++)
        {
            mean[i] = weights[i].Sum(w => w.Value * basicMean[w.Key]);
            for (int j = 0; j <= i; j++)
            {
                double c = 0;
                foreach (var (a, wa) in weights[i])
                {
                    foreach (var (b, wb) in weights[j])
                    {
                        c += wa * wb * basic[a * m + b];
                    }
                }

                cov[i * n + j] = c;
                cov[j * n + i] = c;
            }
        }

        return (mean, cov);
    }

    /// <summary>Full covariance of a rival's margin over the grid times, row by row, m².</summary>
    public double[] CovarianceOf(string crew)
    {
        int c = Crew(crew);
        return _chain.Covariances([.. _steps.Select(s => (s, MarginStates.Margin(c)))]);
    }

    /// <summary>Covariance of all rivals' margins at one grid time, row by row in the order of <see cref="Rivals"/>, m².</summary>
    public double[] CovarianceAcross(int gridIndex)
    {
        int n = Rivals.Count;
        var result = new double[n * n];
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j <= i; j++)
            {
                double c = _chain.Covariance(_steps[gridIndex], MarginStates.Margin(i + 1), MarginStates.Margin(j + 1));
                result[i * n + j] = c;
                result[j * n + i] = c;
            }
        }

        return result;
    }

    /// <summary>Our own distance, m, at any moment of the race.</summary>
    public Estimate OwnMetresAt(Instant<RaceClock> at)
    {
        var (k, w) = Place(at.Seconds);
        int next = Math.Min(k + 1, Seconds.Length - 1);
        return new Estimate(
            (1 - w) * Own.Metres[k].Mean + w * Own.Metres[next].Mean, (1 - w) * Own.Metres[k].Sd + w * Own.Metres[next].Sd);
    }

    private int Crew(string name)
    {
        int i = _model.CrewIndex(name);
        return i > 0 ? i : throw new ArgumentException($"No rival is called {name}.", nameof(name));
    }

    private (int Index, double Weight) Place(double t)
    {
        if (!(t > Seconds[0]))
        {
            return (0, 0);
        }

        if (t >= Seconds[^1])
        {
            return (Seconds.Length - 1, 0);
        }

        int k = Array.BinarySearch(Seconds, t);
        if (k >= 0)
        {
            return (k, 0);
        }

        k = ~k - 1;
        return (k, (t - Seconds[k]) / (Seconds[k + 1] - Seconds[k]));
    }

    private Estimate At(int step, Functional f, double offset = 0) =>
        new(offset + _chain.Mean(step, f), Math.Sqrt(Math.Max(_chain.Variance(step, f), 0)));

    private RivalTrace Trace(Rival rival, int crew)
    {
        Functional margin = MarginStates.Margin(crew), rate = MarginStates.Rate(crew), speed = MarginStates.SpeedOffProfile(crew);
        var m = _steps.Select(s => At(s, margin)).ToArray();
        return new RivalTrace(rival, [.. m.Select(e => e.Mean)], [.. m.Select(e => e.Sd)],
            [.. _steps.Select(s => At(s, rate))],
            [.. _steps.Select((s, i) => At(s, speed, _model.Profile.Speed(Seconds[i])))],
            _model.Spoken(crew));
    }

    private OwnTrace OwnTraceOf()
    {
        Functional place = MarginStates.OffProfile(0), speed = MarginStates.SpeedOffProfile(0);
        return new OwnTrace(
            [.. _steps.Select((s, i) => At(s, place, _model.Profile.Distance(Seconds[i])))],
            [.. _steps.Select((s, i) => At(s, speed, _model.Profile.Speed(Seconds[i])))]);
    }

    private ResolvedEvidence Resolve(SiteOfEvidence s)
    {
        var crews = new List<string?>();
        for (int a = 0; a < s.Site.Arms.Length; a++)
        {
            string? name = s.Crews[a] > 0 ? Problem.Rivals[s.Crews[a] - 1].Name : null;
            crews.AddRange(Enumerable.Repeat(name, s.Site.Arms[a].Windows.Length));
        }

        return new ResolvedEvidence(s.Evidence, s.Labels, crews, [.. s.Site.Posterior], s.Site.GrossPosterior);
    }
}
