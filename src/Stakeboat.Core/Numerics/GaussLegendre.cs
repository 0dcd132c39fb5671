namespace Stakeboat.Core.Numerics;

/// <summary>Gauss-Legendre quadrature; nodes by Newton's method on the Legendre recurrence (Press et al. 2007, 4.6).</summary>
public sealed class GaussLegendre
{
    private readonly double[] _x;
    private readonly double[] _w;

    public GaussLegendre(int order)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(order, 1);
        _x = new double[order];
        _w = new double[order];
        for (int i = 0; i < order; i++)
        {
            double z = Math.Cos(Math.PI * (i + 0.75) / (order + 0.5));
            double slope = 1;
            for (int round = 0; round < 100; round++)
            {
                double p1 = 1;
                double p2 = 0;
                for (int j = 0; j < order; j++)
                {
                    (p1, p2) = ((((2 * j) + 1) * z * p1 - (j * p2)) / (j + 1), p1);
                }

                slope = order * ((z * p1) - p2) / ((z * z) - 1);
                double step = p1 / slope;
                z -= step;
                if (Math.Abs(step) < 1e-16)
                {
                    break;
                }
            }

            _x[i] = z;
            _w[i] = 2 / ((1 - (z * z)) * slope * slope);
        }
    }

    public double Integrate(Func<double, double> f, double from, double to)
    {
        ArgumentNullException.ThrowIfNull(f);
        double half = 0.5 * (to - from);
        double middle = 0.5 * (to + from);
        double s = 0;
        for (int i = 0; i < _x.Length; i++)
        {
            s += _w[i] * f(middle + (half * _x[i]));
        }

        return s * half;
    }
}
