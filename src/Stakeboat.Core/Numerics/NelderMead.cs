namespace Stakeboat.Core.Numerics;

/// <summary>Downhill simplex search (Nelder and Mead 1965) for a few parameters without derivatives.</summary>
public static class NelderMead
{
    /// <summary>Least value found and where. Stops after <paramref name="evaluations"/> or when the simplex's values lie within <paramref name="tolerance"/>; <c>Settled</c> tells which.</summary>
    public static (double[] At, double Value, bool Settled) Minimise(Func<double[], double> f, double[] start, double[] step, int evaluations, double tolerance)
    {
        ArgumentNullException.ThrowIfNull(f);
        ArgumentNullException.ThrowIfNull(start);
        ArgumentNullException.ThrowIfNull(step);
        int n = start.Length;
        var points = new double[n + 1][];
        var values = new double[n + 1];
        for (int i = 0; i <= n; i++)
        {
            points[i] = (double[])start.Clone();
            if (i > 0)
            {
                points[i][i - 1] += step[i - 1];
            }

            values[i] = f(points[i]);
        }

        int used = n + 1;
        bool settled = false;
        while (used < evaluations)
        {
            Array.Sort(values, points);
            if (values[n] - values[0] <= tolerance)
            {
                settled = true;
                break;
            }

            var centre = new double[n];
            for (int i = 0; i < n; i++)
            {
                for (int j = 0; j < n; j++)
                {
                    centre[j] += points[i][j] / n;
                }
            }

            double[] Along(double k)
            {
                var p = new double[n];
                for (int j = 0; j < n; j++)
                {
                    p[j] = centre[j] + (k * (points[n][j] - centre[j]));
                }

                return p;
            }

            var reflected = Along(-1);
            double vr = f(reflected);
            used++;
            if (vr < values[0])
            {
                var expanded = Along(-2);
                double ve = f(expanded);
                used++;
                (points[n], values[n]) = ve < vr ? (expanded, ve) : (reflected, vr);
            }
            else if (vr < values[n - 1])
            {
                (points[n], values[n]) = (reflected, vr);
            }
            else
            {
                var contracted = vr < values[n] ? Along(-0.5) : Along(0.5);
                double vc = f(contracted);
                used++;
                if (vc < Math.Min(vr, values[n]))
                {
                    (points[n], values[n]) = (contracted, vc);
                }
                else
                {
                    for (int i = 1; i <= n; i++)
                    {
                        for (int j = 0; j < n; j++)
                        {
                            points[i][j] = points[0][j] + (0.5 * (points[i][j] - points[0][j]));
                        }

                        values[i] = f(points[i]);
                        used++;
                    }
                }
            }
        }

        Array.Sort(values, points);
        return (points[0], values[0], settled);
    }
}
