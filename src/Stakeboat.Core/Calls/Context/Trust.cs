namespace Stakeboat.Core.Calls.Context;

/// <summary>
/// Turns a proposal's score into the probability that it is right, as it came out on voices and races left out of training: a logistic
/// curve with a bend, an offset and a slope for each type of call. Fitted by oracles/calls/fit-trust.py.
/// </summary>
internal static class Trust
{
    public static double Of(Call call, double score, bool track)
    {
        double s = Math.Clamp(score, -3, 8);
        var (offset, slope) = call switch
        {
            CommandCall => (0.03, -0.18),
            ConditionsCall => (0.10, -0.04),
            CountCall => (0.10, 0.07),
            DistanceCall => (0.23, 0.09),
            MarginCall => (-0.07, -0.06),
            MoveCall => (-0.25, 0.19),
            PaceCall => (0.18, -0.04),
            RateCall => (0.23, 0.05),
            RateChangeCall => (-0.74, 0.16),
            RivalMoveCall => (-0.20, 0.06),
            ShiftCall => (0.08, -0.10),
            SteerCall => (-0.15, 0.08),
            StrokesToCall => (0.39, 0.05),
            TechniqueCall => (-0.09, -0.07),
            TimeCall => (0.04, 0.06),
            TrendCall => (0.02, -0.12),
            WantCall => (0.07, -0.21),
            _ => (0.0, 0.0),
        };
        double z = -0.464 + (0.491 * s) - (0.226 * Math.Max(0, s - 3)) + offset + (slope * s) + (track ? 0.014 - (0.047 * s) : 0);
        return 1 / (1 + Math.Exp(-z));
    }
}
