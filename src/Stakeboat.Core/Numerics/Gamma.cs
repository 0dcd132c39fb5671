namespace Stakeboat.Core.Numerics;

/// <summary>Logarithm of the gamma function for positive arguments.</summary>
public static class Gamma
{
    /// <summary>Stirling's series after raising the argument above 10 (Abramowitz and Stegun 1964, 6.1.41); relative error below 1e-13.</summary>
    public static double Log(double x)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(x);
        double shift = 0;
        while (x < 10)
        {
            shift -= Math.Log(x);
            x++;
        }

        double i = 1 / x;
        double i2 = i * i;
        double series = i * ((1.0 / 12) - (i2 * ((1.0 / 360) - (i2 * ((1.0 / 1260) - (i2 * ((1.0 / 1680) - (i2 * ((1.0 / 1188) - (i2 * 691.0 / 360360))))))))));
        return shift + ((x - 0.5) * Math.Log(x)) - x + (0.5 * Math.Log(2 * Math.PI)) + series;
    }
}
