using Stakeboat.Core.Units;

namespace Stakeboat.Core.Energetics;

/// <summary>A piece of the crew's own rate ladder: power (or speed cubed, in any unit) at a rate.</summary>
public readonly record struct RateStep(double PerMinute, double Power);

/// <summary>
/// How power goes with rate: ln P = a + b (r - r0). Published slopes as prior for b: +2.7 % a beat on a machine (r 0.97, n = 30), +4.4 % in a
/// single (r 0.98, n = 69), Held 2020: 0.035 ± 0.012. These are sprint slopes: they say what a rate costs, not that it can be held.
/// </summary>
/// <param name="LogPowerAtReference">a.</param>
/// <param name="Slope">b, per stroke/min.</param>
/// <param name="ReferenceRate">r0, strokes/min.</param>
public sealed record RatePower(double LogPowerAtReference, Estimate Slope, double ReferenceRate)
{
    public const double PriorSlope = 0.035;
    public const double PriorSlopeSd = 0.012;

    /// <summary>Power over that at the reference rate.</summary>
    public double Ratio(StrokeRate rate) => Math.Exp(Slope.Mean * (rate.PerMinute - ReferenceRate));

    /// <summary>Per cent of speed for one stroke/min, by the cube root.</summary>
    public double LiftPercent => 100 * (Math.Exp(Slope.Mean / 3) - 1);

    /// <summary>The prior alone.</summary>
    public static RatePower Prior(double referenceRate) => new(0, new Estimate(PriorSlope, PriorSlopeSd), referenceRate);

    /// <summary>Prior and the crew's own steps, each good to <paramref name="stepSd"/> as a share.</summary>
    public static RatePower Fit(IReadOnlyList<RateStep> steps, double referenceRate, double stepSd = 0.03)
    {
        ArgumentNullException.ThrowIfNull(steps);
        if (steps.Count == 0)
        {
            return Prior(referenceRate);
        }

        double w = 1 / (stepSd * stepSd);
        double s = 0, sx = 0, sxx = 0, sy = 0, sxy = 0;
        foreach (var step in steps)
        {
            double x = step.PerMinute - referenceRate, y = Math.Log(step.Power);
            s += w;
            sx += w * x;
            sxx += w * x * x;
            sy += w * y;
            sxy += w * x * y;
        }

        double prior = 1 / (PriorSlopeSd * PriorSlopeSd);
        sxx += prior;
        sxy += prior * PriorSlope;
        double det = s * sxx - sx * sx;
        double slope = (s * sxy - sx * sy) / det;
        return new RatePower((sxx * sy - sx * sxy) / det, new Estimate(slope, Math.Sqrt(s / det)), referenceRate);
    }
}
