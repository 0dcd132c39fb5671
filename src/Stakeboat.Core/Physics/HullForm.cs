namespace Stakeboat.Core.Physics;

/// <summary>
/// A hull that is thin and alike fore and aft, closed at both ends, given by its half-breadth f(x, z), x in [-L/2, L/2], z in [-T, 0].
/// </summary>
public interface IHullForm
{
    /// <summary>Length on the waterline, m.</summary>
    double Length { get; }

    /// <summary>Displaced volume, m³.</summary>
    double Volume { get; }

    /// <summary>Wetted area, m².</summary>
    double WettedArea { get; }

    /// <summary>
    /// The transform P(a, s) = integral of f(x, z) exp(s z) cos(a x) over the centre plane, m³.
    /// </summary>
    /// <param name="a">Wave number along the hull, 1/m.</param>
    /// <param name="s">Decay downwards, 1/m; may be negative, then scaled by exp(s T) by the caller's own bound.</param>
    double Transform(double a, double s);
}

/// <summary>
/// Wigley's parabolic hull f = (B/2)(1 - (2x/L)²)(1 - (z/T)²): the usual test of wave theory. Volume (4/9) L B T.
/// </summary>
public sealed class WigleyHull(double length, double beam, double draft) : IHullForm
{
    public double Length { get; } = length;

    public double Volume => 4.0 / 9 * Length * beam * draft;

    /// <summary>Both sides, by Gauss quadrature with 64 points each way, sqrt(1 + fx² + fz²).</summary>
    public double WettedArea
    {
        get
        {
            double sum = 0;
            for (int i = 0; i < Quadrature.Nodes.Length; i++)
            {
                double x = Quadrature.Nodes[i];
                for (int j = 0; j < Quadrature.Nodes.Length; j++)
                {
                    double z = (Quadrature.Nodes[j] + 1) / 2;
                    double fx = beam / 2 * (-2 * x) * (2 / Length) * (1 - z * z);
                    double fz = beam / 2 * (1 - x * x) * (2 * z / draft);
                    sum += Quadrature.Weights[i] * Quadrature.Weights[j] * Math.Sqrt(1 + fx * fx + fz * fz);
                }
            }

            return 2 * sum * Length / 2 * draft / 2;
        }
    }

    public double Transform(double a, double s)
    {
        double u = a * Length / 2;
        double alongHull = Math.Abs(u) < 0.02 ? Length * (2.0 / 3 - u * u / 15) : 2 * Length * (Math.Sin(u) - u * Math.Cos(u)) / (u * u * u);
        double b = s * draft;
        double down = Math.Abs(b) < 0.02
            ? 2.0 / 3 - b / 4 + b * b / 15
            : (1 - Math.Exp(-b)) / b - (2 - Math.Exp(-b) * (b * b + 2 * b + 2)) / (b * b * b);
        return beam / 2 * alongHull * draft * down;
    }

    /// <summary>The same transform of f_x and a sine, by brute quadrature: a second opinion for tests of the closed form.</summary>
    public double SlopeTransformByQuadrature(double a, double s, int points)
    {
        double sum = 0;
        for (int i = 0; i < points; i++)
        {
            double x = -Length / 2 + Length * (i + 0.5) / points;
            double fx = beam / 2 * (-8 * x / (Length * Length));
            for (int j = 0; j < points; j++)
            {
                double z = -draft * (j + 0.5) / points;
                sum += fx * (1 - z * z / (draft * draft)) * Math.Exp(s * z) * Math.Sin(a * x);
            }
        }

        return sum * Length / points * draft / points;
    }
}

/// <summary>
/// The shell family: half-ellipse sections, beam B (1 - x²)^0.75, draft T (1 - x²)^q, x in [-1, 1], q set to meet the volume. Blunter than
/// Wigley's hull; the exponents barely matter (0.6 to 1.0 changes the area by 3 %, the wave resistance by 4 %).
/// </summary>
public sealed class ShellHull : IHullForm
{
    private const double BeamExponent = 0.75;
    private readonly double[] _beam;
    private readonly double[] _draft;
    private readonly double[] _weight;

    // Stations for the wave integral, finer ones where waves are short: made when first asked for.
    private readonly Lazy<Stations>[] _stations;

    /// <param name="length">Waterline, m.</param>
    /// <param name="beam">Waterline beam amidships, m.</param>
    /// <param name="draft">Amidships, m.</param>
    /// <param name="volume">m³; the exponent of the draft follows from it.</param>
    public ShellHull(double length, double beam, double draft, double volume)
        : this(length, beam, draft, Exponent(length, beam, draft, volume), true)
    {
    }

    private ShellHull(double length, double beam, double draft, double exponent, bool given)
    {
        _ = given;
        Length = length;
        Beam = beam;
        Draft = draft;
        DraftExponent = exponent;
        _stations = [.. Quadrature.Fine.Select(q => new Lazy<Stations>(() => new Stations(q.Value, length, beam, draft, exponent)))];
        var coarse = _stations[0].Value;
        (_beam, _draft, _weight) = (coarse.Beam, coarse.Draft, coarse.Weight);
        Volume = Sum(i => Math.PI / 4 * _beam[i] * _draft[i]);
        WettedArea = Sum(i => Girth(_beam[i] / 2, _draft[i]));
    }

    public double Length { get; }

    public double Beam { get; }

    public double Draft { get; }

    /// <summary>q.</summary>
    public double DraftExponent { get; }

    public double Volume { get; }

    /// <summary>Girth of the half-ellipses along the hull; the slope of the surface fore and aft, under 0.1 %, is left out.</summary>
    public double WettedArea { get; }

    /// <summary>Area of the waterline, m².</summary>
    public double WaterplaneArea => Sum(i => _beam[i]);

    /// <summary>Area of the centre plane, m².</summary>
    public double LateralArea => Sum(i => _draft[i]);

    /// <summary>The same hull sunk deeper or lifted so that it displaces another volume: drafts in proportion, waterline kept.</summary>
    public ShellHull AtVolume(double volume) => new(Length, Beam, Draft * volume / Volume, DraftExponent, true);

    public double Transform(double a, double s)
    {
        // Gauss points must outnumber half the phase along the hull, a L/2 times pi/2 for x = sin p; a tenth more and forty are on the safe side.
        double need = 0.6 * Math.Abs(a) * Length / 2 * Math.PI / 2 + 40;
        int k = 0;
        while (k < _stations.Length - 1 && Quadrature.Sizes[k] < need)
        {
            k++;
        }

        var at = _stations[k].Value;
        double sum = 0;
        for (int i = 0; i < at.X.Length; i++)
        {
            sum += at.Beam[i] / 2 * at.Draft[i] * HalfEllipse.G0(s * at.Draft[i]) * Math.Cos(a * at.X[i]) * at.Weight[i];
        }

        return sum;
    }

    private double Sum(Func<int, double> f)
    {
        double sum = 0;
        for (int i = 0; i < _beam.Length; i++)
        {
            sum += f(i) * _weight[i];
        }

        return sum;
    }

    private sealed class Stations
    {
        public Stations((double[] Nodes, double[] Weights) rule, double length, double beam, double draft, double exponent)
        {
            int n = rule.Nodes.Length;
            (X, Beam, Draft, Weight) = (new double[n], new double[n], new double[n], new double[n]);
            for (int i = 0; i < n; i++)
            {
                // x = sin p takes the root-like ends out of the integrand.
                double p = rule.Nodes[i] * Math.PI / 2, x = Math.Sin(p), e = 1 - x * x;
                X[i] = x * length / 2;
                Beam[i] = beam * Math.Pow(e, BeamExponent);
                Draft[i] = draft * Math.Pow(e, exponent);
                Weight[i] = rule.Weights[i] * Math.PI / 2 * Math.Cos(p) * length / 2;
            }
        }

        public double[] X { get; }

        public double[] Beam { get; }

        public double[] Draft { get; }

        public double[] Weight { get; }
    }

    /// <summary>Length of half an ellipse with half axes a (across) and b (down).</summary>
    private static double Girth(double a, double b)
    {
        double sum = 0;
        for (int j = 0; j < Quadrature.Nodes.Length; j++)
        {
            double p = (Quadrature.Nodes[j] + 1) * Math.PI / 4;
            double sin = Math.Sin(p), cos = Math.Cos(p);
            sum += Quadrature.Weights[j] * Math.Sqrt(a * a * sin * sin + b * b * cos * cos);
        }

        return 2 * sum * Math.PI / 4;
    }

    private static double Exponent(double length, double beam, double draft, double volume)
    {
        double lo = 0.05, hi = 6;
        double want = volume / (Math.PI / 8 * beam * draft * length);
        for (int i = 0; i < 100; i++)
        {
            double mid = (lo + hi) / 2;
            if (EndIntegral(BeamExponent + mid) > want)
            {
                lo = mid;
            }
            else
            {
                hi = mid;
            }
        }

        return (lo + hi) / 2;
    }

    /// <summary>Integral of (1 - x²)^p over [-1, 1].</summary>
    private static double EndIntegral(double p)
    {
        double sum = 0;
        var (nodes, weights) = Quadrature.Fine[0].Value;
        for (int i = 0; i < nodes.Length; i++)
        {
            double angle = nodes[i] * Math.PI / 2;
            sum += weights[i] * Math.PI / 2 * Math.Pow(Math.Cos(angle), 2 * p + 1);
        }

        return sum;
    }
}

/// <summary>G0(a) = integral of sqrt(1 - s²) exp(-a s) over [0, 1]: the section integral of a half-ellipse.</summary>
public static class HalfEllipse
{
    private const int Count = 4096;
    private const double Largest = 30;
    private const double Least = -8;
    private static readonly double Top = Math.Log(1 + Largest);

    // Shallow water needs the section weighted towards its keel as well.
    private static readonly double[] Below = [.. Enumerable.Range(0, Count + 3).Select(i => ByQuadrature(Least - Least * (i - 1) / Count))];
    private static readonly double[] Table = [.. Enumerable.Range(0, Count + 3).Select(i => ByQuadrature(Math.Exp((i - 1) * Top / Count) - 1))];

    /// <summary>To about 1e-9; beyond 30 by its asymptotic series 1/a - 1/a³ - 3/a⁵ - 45/a⁷.</summary>
    public static double G0(double a)
    {
        if (a < 0)
        {
            return a < Least ? ByQuadrature(a) : Kept(Below, (a - Least) / -Least * Count + 1);
        }

        if (a >= Largest)
        {
            double r = 1 / a;
            double r2 = r * r;
            return r * (1 - r2 * (1 + r2 * (3 + 45 * r2)));
        }

        return Kept(Table, Math.Log(1 + a) / Top * Count + 1);
    }

    /// <summary>Four-point Lagrange between the entries of a table.</summary>
    private static double Kept(double[] table, double y)
    {
        int i = Math.Min((int)y, Count);
        double t = y - i;
        double p0 = table[i - 1], p1 = table[i], p2 = table[i + 1], p3 = table[i + 2];
        return p0 * (-t * (t - 1) * (t - 2) / 6) + p1 * ((t + 1) * (t - 1) * (t - 2) / 2) + p2 * (-(t + 1) * t * (t - 2) / 2) + p3 * ((t + 1) * t * (t - 1) / 6);
    }

    /// <summary>By Gauss quadrature in the angle, 64 points.</summary>
    public static double ByQuadrature(double a)
    {
        double sum = 0;
        for (int i = 0; i < Quadrature.Nodes.Length; i++)
        {
            double p = (Quadrature.Nodes[i] + 1) * Math.PI / 4;
            double cos = Math.Cos(p);
            sum += Quadrature.Weights[i] * cos * cos * Math.Exp(-a * Math.Sin(p));
        }

        return sum * Math.PI / 4;
    }
}

/// <summary>Gauss-Legendre points on [-1, 1].</summary>
internal static class Quadrature
{
    public static readonly double[] Nodes;
    public static readonly double[] Weights;

    /// <summary>Numbers of points of <see cref="Fine"/>.</summary>
    public static readonly int[] Sizes = [200, 400, 800, 1600];

    /// <summary>Finer rules, made when first asked for.</summary>
    public static readonly Lazy<(double[] Nodes, double[] Weights)>[] Fine = [.. Sizes.Select(n => new Lazy<(double[], double[])>(() => Legendre(n)))];

    static Quadrature()
    {
        (Nodes, Weights) = Legendre(64);
    }

    private static (double[] Nodes, double[] Weights) Legendre(int n)
    {
        var x = new double[n];
        var w = new double[n];
        for (int i = 0; i < n; i++)
        {
            double z = Math.Cos(Math.PI * (i + 0.75) / (n + 0.5));
            double slope = 0;
            for (int k = 0; k < 100; k++)
            {
                double p0 = 1, p1 = 0;
                for (int j = 0; j < n; j++)
                {
                    (p0, p1) = (((2 * j + 1) * z * p0 - j * p1) / (j + 1), p0);
                }

                slope = n * (z * p0 - p1) / (z * z - 1);
                double step = p0 / slope;
                z -= step;
                if (Math.Abs(step) < 1e-15)
                {
                    break;
                }
            }

            x[i] = -z;
            w[i] = 2 / ((1 - z * z) * slope * slope);
        }

        return (x, w);
    }
}
