namespace Stakeboat.Core.Physics;

/// <summary>
/// How a stream runs across and down a channel, in shares of its fastest surface speed. Across: (h/h_max)^(2/3) (Manning's law with each
/// strip by itself, the lateral exchange neglected); bends carry the fastest water outwards, which is not in it. Down: a power law of the
/// height above the bed, 1/6 to 1/7 (common practice). To be trusted to 20-30 % (common practice, no source): a measured stream is better.
/// </summary>
public static class StreamProfile
{
    /// <summary>Share of the fastest stream over water of depth <paramref name="depth"/> where the deepest is <paramref name="deepest"/>.</summary>
    public static double Across(double depth, double deepest) => depth <= 0 ? 0 : Math.Pow(depth / deepest, 2.0 / 3);

    /// <summary>Mean over the width of a parabolic bed, and mean over its cross section (what carries the water), as shares of the fastest.</summary>
    public static (double Width, double Area) ParabolicBedMeans()
    {
        var rule = new Numerics.GaussLegendre(64);

        // y = sin u keeps the ends smooth: depth 1 - y² = cos² u.
        double width = rule.Integrate(u => Across(Math.Cos(u) * Math.Cos(u), 1) * Math.Cos(u), 0, Math.PI / 2);
        double carried = rule.Integrate(u => Across(Math.Cos(u) * Math.Cos(u), 1) * Math.Pow(Math.Cos(u), 3), 0, Math.PI / 2);
        double area = rule.Integrate(u => Math.Pow(Math.Cos(u), 3), 0, Math.PI / 2);
        return (width, carried / area);
    }

    /// <summary>Mean over the depth against the surface for a power law with exponent 1/<paramref name="n"/>: n/(n + 1).</summary>
    public static double MeanOverSurface(double n) => n / (n + 1);

    /// <summary>
    /// Seconds for a way over ground through water that itself moves: sum of ds/(v + c), each piece with the speed through the water and the
    /// stream along it (positive with the boat), m and m/s.
    /// </summary>
    /// <exception cref="ArgumentException">The stream is as fast as the boat against it.</exception>
    public static double Seconds(IEnumerable<(double Metres, double Speed, double Stream)> pieces)
    {
        ArgumentNullException.ThrowIfNull(pieces);
        double sum = 0;
        foreach (var (metres, speed, stream) in pieces)
        {
            sum += speed + stream > 0 ? metres / (speed + stream)
                : throw new ArgumentException("Against a stream as fast as the boat no ground is made.", nameof(pieces));
        }

        return sum;
    }
}
