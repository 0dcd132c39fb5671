namespace Stakeboat.Core.Numerics;

/// <summary>Gates for squared standardised errors of one or two dimensions.</summary>
public static class ChiSquare
{
    /// <summary>The value below which a chi-square variable of 1 or 2 degrees lies with a probability in (0, 1): (quantile of the normal at (1+p)/2)², and -2 ln(1-p).</summary>
    public static double Quantile(double probability, int degrees)
    {
        if (!(probability is > 0 and < 1))
        {
            throw new ArgumentOutOfRangeException(nameof(probability), probability, "A probability between 0 and 1 is needed.");
        }

        double z;
        return degrees switch
        {
            1 => (z = Gaussian.Quantile(0.5 + (0.5 * probability))) * z,
            2 => -2 * Math.Log(1 - probability),
            _ => throw new ArgumentOutOfRangeException(nameof(degrees), degrees, "Gates are made for one and two dimensions."),
        };
    }
}
