namespace Stakeboat.Core.Margins;

/// <summary>
/// The field's distance and speed in the mean: from rest to a steady speed, S(t) = V (t - τ(1 - e^(-t/τ))).
/// τ = 3 s puts an eight at 80 % of its speed after 5 s; own judgement, the common conditions take up the rest.
/// </summary>
/// <param name="MeanSpeed">V, m/s.</param>
/// <param name="SpeedSd">How uncertain V is, m/s.</param>
internal sealed record StartProfile(double MeanSpeed, double SpeedSd)
{
    private const double Tau = 3;

    public double Distance(double t) => t <= 0 ? 0 : MeanSpeed * (t - Tau * (1 - Math.Exp(-t / Tau)));

    public double Speed(double t) => t <= 0 ? 0 : MeanSpeed * (1 - Math.Exp(-t / Tau));

    /// <summary>The profile of a race and when we finished it, from whatever is known.</summary>
    public static (StartProfile Profile, double End) For(MarginProblem problem)
    {
        double? distance = problem.RaceDistance?.Metres;
        double? finish = problem.Evidence.OfType<MarkTimeEvidence>()
            .Where(m => m.Crew is null && distance is { } d && Math.Abs(m.Mark - d) < 0.5)
            .Select(m => (double?)m.At.Seconds).FirstOrDefault() ?? problem.Finish?.Seconds;

        // By class: 5.3 m/s for eight rowers, 4.2 for one; common practice, no source.
        double speed = problem.OwnSpeed ?? 4.2 + 1.1 * Math.Log(problem.Us.Seats) / Math.Log(8);
        double sd = problem.OwnSpeed is null ? 0.4 : 0.15;
        if (distance is { } length && finish is { } t && t > 20)
        {
            speed = length / (t - Tau);
            sd = 0.15;
        }
        else if (problem.Evidence.OfType<MarkTimeEvidence>().Where(m => m.At.Seconds > 20 && m.Mark > 0).MaxBy(m => m.Mark) is { } far)
        {
            speed = far.Mark / (far.At.Seconds - Tau);
            sd = 0.15;
        }

        speed = Math.Clamp(speed, 1.5, 8);
        double last = problem.Evidence.Select(e => e.At.Seconds).Where(double.IsFinite).DefaultIfEmpty(0).Max();
        double end = finish ?? (distance is { } l ? l / speed + Tau : Math.Max(last + 5, 60));
        return (new StartProfile(speed, sd), Math.Clamp(end, 1, 7200));
    }
}
