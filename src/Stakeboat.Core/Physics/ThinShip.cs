namespace Stakeboat.Core.Physics;

/// <summary>
/// Wave resistance by linear thin-ship theory. Steady, inviscid, no squat, no banks. As a prediction for a shell it is good to about ±30 %
/// (±0.7 % of speed); near the critical speed of shallow water (Froude depth number 0.95 to 1.05) to ±50 %: engineering estimates.
/// </summary>
public static class ThinShip
{
    /// <summary>Standard gravity, m/s² (CGPM 1901).</summary>
    public const double Gravity = 9.80665;

    /// <summary>
    /// Deep water, N: Michell 1898, Rw = (4 rho g²/pi U²) ∫ (I²+J²) l²/sqrt(l²-1) dl over l from 1, with l = cosh u and Simpson's rule in u;
    /// for hulls alike fore and aft and closed at the ends |I + iJ| = l k0 |P(l k0, l² k0)|, k0 = g/U².
    /// </summary>
    /// <param name="speed">Through the water, m/s.</param>
    /// <param name="density">kg/m³.</param>
    public static double Deep(IHullForm hull, double speed, double density, int steps = 1500, double upTo = 4.2)
    {
        Check(hull, speed, density, steps);
        double k0 = Gravity / (speed * speed);
        double h = upTo / steps;
        double sum = 0;
        for (int i = 0; i <= steps; i++)
        {
            double l = Math.Cosh(i * h);
            double amplitude = l * k0 * hull.Transform(l * k0, l * l * k0);
            double weight = i == 0 || i == steps ? 1 : i % 2 == 1 ? 4 : 2;
            sum += weight * amplitude * amplitude * l * l;
        }

        return 4 * density * Gravity * Gravity / (Math.PI * speed * speed) * sum * h / 3;
    }

    /// <summary>
    /// Water of depth h without sides, N: Srettensky 1937, Lunde 1951. Subcritical waves begin at the angle 0, supercritical ones at
    /// arccos(1/Fh). Reduces to <see cref="Deep"/> within 1e-3 at 20 m and more.
    /// </summary>
    /// <param name="depth">m.</param>
    public static double Finite(IHullForm hull, double speed, double density, double depth, int steps = 1500, double upTo = 4.2)
    {
        Check(hull, speed, density, steps);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(depth);
        double k0 = Gravity / (speed * speed);
        double froude = speed / Math.Sqrt(Gravity * depth);
        double from = froude > 1 ? Math.Acosh(froude) : 0;
        if (from >= upTo)
        {
            return 0;
        }

        // u = from + w² spreads the points where the wave number rises from nothing.
        double top = Math.Sqrt(upTo - from);
        double step = top / steps;
        double sum = 0;
        for (int i = 0; i <= steps; i++)
        {
            double w = i * step;
            double weight = i == 0 || i == steps ? 1 : i % 2 == 1 ? 4 : 2;
            sum += weight * FiniteIntegrand(hull, Math.Cosh(from + w * w), k0, depth) * 2 * w;
        }

        return 4 * density * speed * speed / Math.PI * sum * step / 3;
    }

    private static double FiniteIntegrand(IHullForm hull, double sec, double k0, double depth)
    {
        double kh = WaveNumberDepth(k0 * sec * sec * depth);
        if (kh < 1e-9)
        {
            return 0;
        }

        double k = kh / depth;
        double cos = 1 / sec;
        double decay = Math.Exp(-2 * kh);
        double transform = hull.Transform(k * cos, k) / (1 + decay);
        if (kh < 20)
        {
            transform += decay * hull.Transform(k * cos, -k) / (1 + decay);
        }

        double amplitude = k * cos * transform;
        double denominator = kh > 200 ? 1 : 1 - 2 * kh / Math.Sinh(2 * kh);
        if (denominator < 1e-12)
        {
            return 0;
        }

        // d theta = du / cosh u.
        return k * k * cos / Math.Tanh(kh) * amplitude * amplitude / denominator * cos;
    }

    /// <summary>Solves x = c tanh x for x > 0 by Newton steps from the right, where the function is convex; 0 where c is not above 1.</summary>
    private static double WaveNumberDepth(double c)
    {
        if (c <= 1)
        {
            return 0;
        }

        double x = c;
        for (int i = 0; i < 100; i++)
        {
            double tanh = Math.Tanh(x);
            double step = (x - c * tanh) / (1 - c * (1 - tanh * tanh));
            x -= step;
            if (Math.Abs(step) < 1e-14 * x)
            {
                break;
            }
        }

        return x;
    }

    private static void Check(IHullForm hull, double speed, double density, int steps)
    {
        ArgumentNullException.ThrowIfNull(hull);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(speed);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(density);
        if (steps % 2 != 0)
        {
            throw new ArgumentOutOfRangeException(nameof(steps), steps, "Simpson's rule needs an even number of steps.");
        }
    }
}

/// <summary>
/// Wave resistance per density of one hull as a function of speed and depth, computed where it is asked for and kept: knots every 0.05 m/s,
/// four-point interpolation between them (within 1e-3 of the integral from 2.5 m/s up). Speeds below 1.5 m/s give the value of 1.5 m/s
/// scaled down with the sixth power: it is nothing beside friction there.
/// </summary>
public sealed class WaveCurve(IHullForm hull)
{
    private const double Step = 0.05;
    private readonly System.Collections.Concurrent.ConcurrentDictionary<(int Knot, int Millimetres), double> _knots = new();

    /// <summary>Rw/rho, m⁴/s².</summary>
    /// <param name="depth">m; null for deep water.</param>
    public double PerDensity(double speed, double? depth = null)
    {
        if (speed < 1.5)
        {
            return PerDensity(1.5, depth) * Math.Pow(Math.Max(speed, 0) / 1.5, 6);
        }

        int mm = depth is { } d && d < 30 ? (int)Math.Round(d * 1000) : 0;
        double y = Math.Min(speed, 12) / Step;
        int i = (int)Math.Floor(y);
        double t = y - i;
        double p0 = Knot(i - 1, mm), p1 = Knot(i, mm), p2 = Knot(i + 1, mm), p3 = Knot(i + 2, mm);
        return p0 * (-t * (t - 1) * (t - 2) / 6) + p1 * ((t + 1) * (t - 1) * (t - 2) / 2) + p2 * (-(t + 1) * t * (t - 2) / 2) + p3 * ((t + 1) * t * (t - 1) / 6);
    }

    private double Knot(int i, int mm) => _knots.GetOrAdd((i, mm), k =>
        k.Millimetres == 0 ? ThinShip.Deep(hull, k.Knot * Step, 1, 600, 3.9) : ThinShip.Finite(hull, k.Knot * Step, 1, k.Millimetres / 1000.0, 600, 3.9));
}
