namespace Stakeboat.Core.Numerics;

/// <summary>Smoothed chains of the same steps with weights: a distribution with several modes, and the moments of the whole.</summary>
/// <param name="parts">Weights add up to 1; each chain smoothed with its covariances kept.</param>
public sealed class ChainMixture(IReadOnlyList<(double Weight, GaussianChain Chain)> parts)
{
    public IReadOnlyList<(double Weight, GaussianChain Chain)> Parts { get; } = parts;

    public (double Mean, double Variance) Moments(int step, Functional f)
    {
        if (Parts.Count == 1)
        {
            return Parts[0].Chain.Moments(step, f);
        }

        double mean = 0, second = 0, within = 0, reference = Parts[0].Chain.Mean(step, f);
        foreach (var (weight, chain) in Parts)
        {
            var (m, v) = chain.Moments(step, f);
            double d = m - reference;
            mean += weight * d;
            second += weight * d * d;
            within += weight * v;
        }

        return (reference + mean, within + Math.Max(second - mean * mean, 0));
    }

    /// <summary>Mean and variance of a traced functional at the step asked for in this order.</summary>
    /// <param name="index">Of the step among those asked for.</param>
    /// <param name="traced">Of the functional among <paramref name="count"/> that were traced.</param>
    public (double Mean, double Variance) Traced(int index, int traced, int count)
    {
        int row = index * count + traced;
        double mean = 0, second = 0, within = 0, reference = Parts[0].Chain.TracedMean[row];
        foreach (var (weight, chain) in Parts)
        {
            double d = chain.TracedMean[row] - reference;
            mean += weight * d;
            second += weight * d * d;
            within += weight * chain.TracedVariance[row];
        }

        return (reference + mean, within + Math.Max(second - mean * mean, 0));
    }

    /// <summary>Means and covariance matrix, row by row, of functionals at steps.</summary>
    public (double[] Mean, double[] Covariance) Joint(IReadOnlyList<(int Step, Functional F)> at) => Mix(JointByPart(at));

    /// <summary>The same for every part by itself.</summary>
    public IReadOnlyList<(double Weight, double[] Mean, double[] Covariance)> JointByPart(IReadOnlyList<(int Step, Functional F)> at) =>
        [.. Parts.Select(p => (p.Weight, (double[])[.. at.Select(a => p.Chain.Mean(a.Step, a.F))], p.Chain.Covariances(at)))];

    /// <summary>Moments of a mixture from those of its parts.</summary>
    public static (double[] Mean, double[] Covariance) Mix(IReadOnlyList<(double Weight, double[] Mean, double[] Covariance)> parts)
    {
        if (parts.Count == 1)
        {
            return (parts[0].Mean, parts[0].Covariance);
        }

        int n = parts[0].Mean.Length;
        var mean = new double[n];
        var covariance = new double[n * n];
        foreach (var (weight, m, _) in parts)
        {
            for (int i = 0; i < n; i++)
            {
                mean[i] += weight * m[i];
            }
        }

        foreach (var (weight, m, c) in parts)
        {
            for (int i = 0; i < n; i++)
            {
                for (int j = 0; j < n; j++)
                {
                    covariance[i * n + j] += weight * (c[i * n + j] + (m[i] - mean[i]) * (m[j] - mean[j]));
                }
            }
        }

        return (mean, covariance);
    }
}
