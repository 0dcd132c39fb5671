using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Measurement;

/// <summary>Small facts of lines on a plane.</summary>
public static class PathShape
{
    private static readonly GaussLegendre Rule = new(32);

    /// <summary>Curvature of the circle through three points, 1/m, positive where the line bends to port (Menger): 4 area / (a b c). Smooth first: noise bends.</summary>
    public static double Curvature(PlanePoint a, PlanePoint b, PlanePoint c)
    {
        double cross = ((b.East - a.East) * (c.North - a.North)) - ((b.North - a.North) * (c.East - a.East));
        double ab = Length(a, b);
        double bc = Length(b, c);
        double ca = Length(c, a);
        return ab * bc * ca == 0 ? 0 : 2 * cross / (ab * bc * ca);
    }

    /// <summary>Share by which weaving y = A sin(2 pi x / lambda) lengthens the way: mean of sqrt(1 + y'²) less 1, by quadrature of one quarter wave (an elliptic integral).</summary>
    public static double WeaveExcess(double amplitude, double wavelength)
    {
        double k = 2 * Math.PI * amplitude / wavelength;
        double mean = Rule.Integrate(
            u =>
            {
                double c = k * Math.Cos(u);

                // sqrt(1 + c²) - 1 without cancellation.
                return c * c / (Math.Sqrt(1 + (c * c)) + 1);
            },
            0, Math.PI / 2);
        return mean / (Math.PI / 2);
    }

    public static double Length(PlanePoint a, PlanePoint b)
    {
        double e = b.East - a.East;
        double n = b.North - a.North;
        return Math.Sqrt((e * e) + (n * n));
    }
}
