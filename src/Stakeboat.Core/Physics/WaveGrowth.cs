namespace Stakeboat.Core.Physics;

/// <summary>Height and period of wind waves by one family of growth curves.</summary>
/// <param name="Method">Author and year.</param>
/// <param name="Height">Significant height, m.</param>
/// <param name="Period">Peak or significant period, s.</param>
public sealed record WaveEstimate(string Method, double Height, double Period);

/// <summary>
/// Waves that a steady wind raises over a fetch. The families differ by 1.3 to 1.6 times at a lake's fetches: show the range, never one number.
/// </summary>
public static class WaveGrowth
{
    private const double G = 9.80665;

    /// <summary>All families, least height first.</summary>
    /// <param name="wind">At 10 m, m/s.</param>
    /// <param name="fetch">m.</param>
    /// <param name="depth">m, for the family that knows of it.</param>
    public static IReadOnlyList<WaveEstimate> All(double wind, double fetch, double depth = 3)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(wind);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(fetch);
        return wind < 0.1
            ? [new WaveEstimate("calm", 0, 0)]
            : [.. new[] { Cem2003(wind, fetch, depth), Spm1984(wind, fetch), Smb(wind, fetch), YoungVerhagen1996(wind, fetch, depth) }.OrderBy(e => e.Height)];
    }

    /// <summary>Coastal Engineering Manual 2003, II-2-36: friction velocity, straight fetch, period no longer than the depth allows.</summary>
    public static WaveEstimate Cem2003(double wind, double fetch, double depth)
    {
        double friction = Math.Sqrt(0.001 * (1.1 + 0.035 * wind)) * wind;
        double x = G * fetch / (friction * friction);
        double h = Math.Min(0.0413 * Math.Sqrt(x), 211.5) * friction * friction / G;
        double t = Math.Min(0.651 * Math.Cbrt(x), 239.8) * friction / G;
        return new WaveEstimate("Coastal Engineering Manual 2003", h, Math.Min(t, 9.78 * Math.Sqrt(depth / G)));
    }

    /// <summary>Shore Protection Manual 1984, deep water, adjusted wind 0.71 U^1.23 (from memory).</summary>
    public static WaveEstimate Spm1984(double wind, double fetch)
    {
        double u = 0.71 * Math.Pow(wind, 1.23);
        double x = G * fetch / (u * u);
        return new WaveEstimate("Shore Protection Manual 1984", 0.0016 * Math.Sqrt(x) * u * u / G, 0.2857 * Math.Cbrt(x) * u / G);
    }

    /// <summary>Sverdrup-Munk-Bretschneider (from memory).</summary>
    public static WaveEstimate Smb(double wind, double fetch)
    {
        double x = G * fetch / (wind * wind);
        return new WaveEstimate(
            "Sverdrup-Munk-Bretschneider", 0.283 * Math.Tanh(0.0125 * Math.Pow(x, 0.42)) * wind * wind / G, 7.54 * Math.Tanh(0.077 * Math.Pow(x, 0.25)) * wind / G);
    }

    /// <summary>Young-Verhagen type curves with depth (exponent 0.187 from memory; a page has 0.18).</summary>
    public static WaveEstimate YoungVerhagen1996(double wind, double fetch, double depth, double periodExponent = 0.187)
    {
        double x = G * fetch / (wind * wind);
        double d = G * depth / (wind * wind);
        double a = Math.Tanh(0.343 * Math.Pow(d, 1.14));
        double b = Math.Tanh(4.14e-4 * Math.Pow(x, 0.79) / a);
        double h = 0.24 * wind * wind / G * Math.Pow(a * b, 0.572);
        double c = Math.Tanh(0.1 * Math.Pow(d, 2.01));
        double e = Math.Tanh(2.77e-7 * Math.Pow(x, 1.45) / c);
        return new WaveEstimate("Young and Verhagen 1996", h, 7.69 * wind / G * Math.Pow(c * e, periodExponent));
    }

    /// <summary>Least time that a wind must blow for a fetch to count, s: Coastal Engineering Manual, 77.23 X^0.67/(U^0.34 g^0.33) (from memory).</summary>
    public static double MinimumDuration(double wind, double fetch) => 77.23 * Math.Pow(fetch, 0.67) / (Math.Pow(wind, 0.34) * Math.Pow(G, 0.33));
}
