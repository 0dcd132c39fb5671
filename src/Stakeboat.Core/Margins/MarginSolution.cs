using Stakeboat.Core.Numerics;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Margins;

/// <summary>A rival over the race, a value each grid time. Margins m, speeds m/s.</summary>
public sealed class RivalTrace
{
    private readonly Lazy<Estimate[]> _rate;
    private readonly Lazy<Estimate[]> _speed;

    internal RivalTrace(Rival rival, double[] mean, double[] sd, bool anyEvidence, Func<Estimate[]> rate, Func<Estimate[]> speed)
    {
        (Rival, Mean, Sd, AnyEvidence) = (rival, mean, sd, anyEvidence);
        _rate = new Lazy<Estimate[]>(rate);
        _speed = new Lazy<Estimate[]>(speed);
    }

    public Rival Rival { get; }

    public double[] Mean { get; }

    public double[] Sd { get; }

    /// <summary>False where nothing was said, seen or published of this crew: the numbers are the prior's.</summary>
    public bool AnyEvidence { get; }

    /// <summary>How fast the margin grew.</summary>
    public Estimate[] MarginRate => _rate.Value;

    /// <summary>The rival's own speed over ground.</summary>
    public Estimate[] Speed => _speed.Value;

    public Estimate At(int index) => new(Mean[index], Sd[index]);
}

/// <summary>Our own boat over the race: distance m, speed m/s.</summary>
public sealed class OwnTrace
{
    private readonly Lazy<Estimate[]> _speed;

    internal OwnTrace(Estimate[] metres, Func<Estimate[]> speed)
    {
        Metres = metres;
        _speed = new Lazy<Estimate[]>(speed);
    }

    public Estimate[] Metres { get; }

    public Estimate[] Speed => _speed.Value;
}

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
    private readonly ChainMixture _chain;
    private readonly int[] _steps;

    internal MarginSolution(
        MarginProblem problem, MarginModel model, ChainMixture chain, IReadOnlyList<PropagationMode> modes, double[] grid, int[] steps,
        MarginStrength strength, PropagationEnd end)
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
        int n = problem.Rivals.Count;
        CoxBias = TracedAt(grid.Length - 1, n + 1);
        GoShift = TracedAt(grid.Length - 1, n + 2);
        Modes = chain.Parts.Count;
        Evidence = [.. model.Sites.Select((site, i) => Resolve(site, i, modes))];
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

    /// <summary>From how many normal answers this one is mixed: 1 unless calls leave more than one way to understand them.</summary>
    public int Modes { get; }

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
    public (double[] Mean, double[] Covariance) Joint(IReadOnlyList<IReadOnlyList<MarginTerm>> sums) => ChainMixture.Mix(JointByMode(sums));

    /// <summary>The same for each way to understand the calls, with its weight.</summary>
    public IReadOnlyList<(double Weight, double[] Mean, double[] Covariance)> JointByMode(IReadOnlyList<IReadOnlyList<MarginTerm>> sums)
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

        return [.. _chain.JointByPart(at).Select(part => Summed(part, weights))];
    }

    private static (double Weight, double[] Mean, double[] Covariance) Summed(
        (double Weight, double[] Mean, double[] Covariance) part, List<Dictionary<int, double>> weights)
    {
        int n = weights.Count, m = part.Mean.Length;
        var mean = new double[n];
        var cov = new double[n * n];
        for (int i = 0; i < n; i++)
        {
            mean[i] = weights[i].Sum(w => w.Value * part.Mean[w.Key]);
            for (int j = 0; j <= i; j++)
            {
                double c = 0;
                foreach (var (a, wa) in weights[i])
                {
                    foreach (var (b, wb) in weights[j])
                    {
                        c += wa * wb * part.Covariance[a * m + b];
                    }
                }

                cov[i * n + j] = c;
                cov[j * n + i] = c;
            }
        }

        return (part.Weight, mean, cov);
    }

    /// <summary>Full covariance of a rival's margin over the grid times, row by row, m².</summary>
    public double[] CovarianceOf(string crew)
    {
        int c = Crew(crew);
        return _chain.Joint([.. _steps.Select(s => (s, MarginStates.Margin(c)))]).Covariance;
    }

    /// <summary>Covariance of all rivals' margins at one grid time, row by row in the order of <see cref="Rivals"/>, m².</summary>
    public double[] CovarianceAcross(int gridIndex) => _chain.Joint(AllAt(gridIndex)).Covariance;

    /// <summary>Margins to all rivals at one grid time for each way to understand the calls, with its weight.</summary>
    public IReadOnlyList<(double Weight, double[] Mean, double[] Covariance)> AcrossByMode(int gridIndex) => _chain.JointByPart(AllAt(gridIndex));

    private List<(int, Functional)> AllAt(int gridIndex) => [.. Rivals.Select((_, i) => (_steps[gridIndex], MarginStates.Margin(i + 1)))];

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

    private Estimate At(int step, Functional f, double offset = 0)
    {
        var (mean, variance) = _chain.Moments(step, f);
        return new Estimate(offset + mean, Math.Sqrt(Math.Max(variance, 0)));
    }

    /// <summary>What is found at every second without keeping covariances: every margin, our own place, the coxswain's bias, the shift of "go".</summary>
    internal static IReadOnlyList<Functional> Traced(int rivals) =>
    [
        .. Enumerable.Range(1, rivals).Select(MarginStates.Margin), MarginStates.OffProfile(0), Functional.Of((MarginStates.Bias, 1)),
        Functional.Of((MarginStates.GoShift, 1)),
    ];

    private Estimate TracedAt(int grid, int traced, double offset = 0)
    {
        var (mean, variance) = _chain.Traced(grid, traced, Problem.Rivals.Count + 3);
        return new Estimate(offset + mean, Math.Sqrt(Math.Max(variance, 0)));
    }

    private RivalTrace Trace(Rival rival, int crew)
    {
        Functional rate = _model.States.Rate(crew), speed = _model.States.SpeedOffProfile(crew);
        var m = Seconds.Select((_, i) => TracedAt(i, crew - 1)).ToArray();
        return new RivalTrace(rival, [.. m.Select(e => e.Mean)], [.. m.Select(e => e.Sd)], _model.Spoken(crew),
            () => [.. _steps.Select(s => At(s, rate))],
            () => [.. _steps.Select((s, i) => At(s, speed, _model.Profile.Speed(Seconds[i])))]);
    }

    private OwnTrace OwnTraceOf()
    {
        var speed = _model.States.SpeedOffProfile(0);
        int own = Problem.Rivals.Count;
        return new OwnTrace(
            [.. Seconds.Select((t, i) => TracedAt(i, own, _model.Profile.Distance(t)))],
            () => [.. _steps.Select((s, i) => At(s, speed, _model.Profile.Speed(Seconds[i])))]);
    }

    private ResolvedEvidence Resolve(SiteOfEvidence s, int index, IReadOnlyList<PropagationMode> modes)
    {
        var crews = new List<string?>();
        for (int a = 0; a < s.Site.Arms.Length; a++)
        {
            string? name = s.Crews[a] > 0 ? Problem.Rivals[s.Crews[a] - 1].Name : null;
            crews.AddRange(Enumerable.Repeat(name, s.Site.Arms[a].Windows.Length));
        }

        double all = modes.Sum(m => m.Weight);
        double Share(int option) => modes.Sum(m => m.Weight * m.Posterior[index][option]) / all;
        int count = s.Site.WindowCount;
        return new ResolvedEvidence(s.Evidence, s.Labels, crews, [.. Enumerable.Range(0, count).Select(Share)], Share(count));
    }
}
