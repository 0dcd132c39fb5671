using Stakeboat.Core.Numerics;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief.Findings;

/// <summary>Mean of a few cases with Student's 90 % interval.</summary>
internal static class Sample
{
    /// <summary>Mean, its half-width at <paramref name="level"/> (Student's t, n - 1 degrees of freedom) and n. Null for fewer than three cases: two give an interval too wide to say anything.</summary>
    public static (double Mean, double Half, int N)? Of(IReadOnlyList<double> values, double level = 0.90)
    {
        int n = values.Count;
        if (n < 3)
        {
            return null;
        }

        double mean = values.Sum() / n, ss = 0;
        foreach (double v in values)
        {
            ss += (v - mean) * (v - mean);
        }

        return (mean, StudentT.TwoSided(level, n - 1) * Math.Sqrt(ss / (n - 1) / n), n);
    }

    public static Finding Finding(FindingKind kind, (double Mean, double Half, int N) s, double worth, string subject, IReadOnlyList<Evidence> evidence, double? other = null) =>
        new(kind, s.Mean, s.Mean - s.Half, s.Mean + s.Half, s.N, worth, subject, evidence, other);

    /// <summary>A number that was counted, with no interval.</summary>
    public static Finding Counted(FindingKind kind, double value, int n, double worth, string subject, IReadOnlyList<Evidence> evidence, double? other = null) =>
        new(kind, value, value, value, n, worth, subject, evidence, other);

    public static Estimate Difference(Estimate a, Estimate b) => new(a.Mean - b.Mean, Math.Sqrt(a.Sd * a.Sd + b.Sd * b.Sd));
}
