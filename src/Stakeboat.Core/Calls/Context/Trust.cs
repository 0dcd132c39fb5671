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
            CommandCall => (-0.07, 0.01),
            ConditionsCall => (0.66, 0.19),
            CountCall => (0.46, -0.23),
            DistanceCall => (0.11, 0.15),
            MarginCall => (0.05, -0.27),
            MoveCall => (0.08, 0.04),
            PaceCall => (-0.24, 0.08),
            RateCall => (0.24, -0.03),
            RateChangeCall => (0.06, 0.14),
            RivalMoveCall => (-0.21, 0.15),
            ShiftCall => (0.02, 0.03),
            SteerCall => (-0.33, 0.03),
            StrokesToCall => (-0.21, 0.07),
            TechniqueCall => (0.03, 0.04),
            TimeCall => (-0.55, 0.05),
            TrendCall => (-0.10, -0.10),
            WantCall => (0.03, -0.34),
            _ => (0.0, 0.0),
        };
        double z = -0.449 + (1.136 * s) - (1.030 * Math.Max(0, s - 3)) + offset + (slope * s) + (track ? 0.319 - (0.121 * s) : 0);
        return 1 / (1 + Math.Exp(-z));
    }
}
