using Stakeboat.Core.Energetics;

namespace Stakeboat.Core.Pacing;

/// <summary>
/// The same question as a full non-linear program, to confirm the closed structure: unknown speeds at the ends of the cells, drag by the
/// trapezoid rule, thrust m(vb² - va²)/2dx + F between 0 and its most, power under its cap, W' never below zero at any node. Solved by a
/// logarithmic barrier and Newton's method with exact first and second derivatives.
/// </summary>
public static class FullProgram
{
    /// <summary>Time and speeds of the program.</summary>
    /// <param name="Metres">Ends of the cells.</param>
    /// <param name="Speeds">m/s at them; the first is 0 from rest.</param>
    /// <param name="Watts">Of each rower in each cell.</param>
    public sealed record Result(double Seconds, IReadOnlyList<double> Metres, IReadOnlyList<double> Speeds, IReadOnlyList<double> Watts, bool Converged);

    public static Result Solve(BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, int cells = 100)
    {
        ArgumentNullException.ThrowIfNull(boat);
        ArgumentNullException.ThrowIfNull(crew);
        var work = new Program(boat, crew, wind, distance, cells);
        return work.Solve();
    }

    private sealed class Program
    {
        private readonly BoatModel _boat;
        private readonly CrewEnergy _crew;
        private readonly double[] _x;
        private readonly double[] _wind;
        private readonly int _n;
        private readonly double _share;

        public Program(BoatModel boat, CrewEnergy crew, WindAlong wind, double distance, int cells)
        {
            _boat = boat;
            _crew = crew;
            _x = Grid(distance, cells);
            _n = _x.Length - 1;
            _wind = [.. Enumerable.Range(0, _n).Select(i => wind.At((_x[i] + _x[i + 1]) / 2))];
            _share = boat.Efficiency * boat.Rowers;
        }

        /// <summary>Finer in the first and last 75 m: a quarter of the cells in each.</summary>
        private static double[] Grid(double distance, int cells)
        {
            int end = Math.Max(cells / 4, 4);
            double edge = Math.Min(75, distance / 4);
            var x = new List<double>();
            for (int i = 0; i < end; i++)
            {
                double f = (double)i / end;
                x.Add(edge * f * f);
            }

            int middle = cells - 2 * end;
            for (int i = 0; i < middle; i++)
            {
                x.Add(edge + (distance - 2 * edge) * i / middle);
            }

            for (int i = 0; i <= end; i++)
            {
                x.Add(distance - edge + edge * i / end);
            }

            return [.. x];
        }

        public Result Solve()
        {
            double[] v = Start();
            double t = 2;
            bool converged = false;
            for (int outer = 0; outer < 16; outer++)
            {
                converged = Newton(v, t);
                int constraints = 4 * _n;
                if (constraints / t < 2e-4)
                {
                    break;
                }

                t *= 6;
            }

            return new Result(Seconds(v), _x, [.. v], [.. Enumerable.Range(0, _n).Select(i => Cell(v, i, 0).Power)], converged);
        }

        /// <summary>An easy race that keeps every constraint.</summary>
        private double[] Start()
        {
            double even = OptimalPlan.EvenPower(_boat, _crew, _wind.Max(), _x[^1]);
            var v = new double[_n + 1];
            for (double power = even; power > 0.2 * even; power *= 0.97)
            {
                for (int i = 0; i < _n; i++)
                {
                    double dx = _x[i + 1] - _x[i];
                    double lo = 0.05, hi = 12;
                    for (int k = 0; k < 60; k++)
                    {
                        double mid = (lo + hi) / 2;
                        v[i + 1] = mid;
                        var c = Cell(v, i, 0);
                        if (c.Thrust > 0.9 * _boat.MaxThrust || c.Power > power)
                        {
                            hi = mid;
                        }
                        else
                        {
                            lo = mid;
                        }
                    }

                    v[i + 1] = lo;
                    _ = dx;
                }

                if (double.IsFinite(Barrier(v, 1)))
                {
                    return v;
                }
            }

            throw new InvalidOperationException("No race within the crew's means was found to begin from.");
        }

        private readonly record struct CellValues(double Time, double Thrust, double Power, double Energy);

        /// <summary>Time, thrust, power of each rower and energy above CP of a cell.</summary>
        private CellValues Cell(double[] v, int i, double bump)
        {
            double a = v[i], b = v[i + 1] + bump;
            return Values(i, a, b);
        }

        private CellValues Values(int i, double a, double b)
        {
            double dx = _x[i + 1] - _x[i];
            double time = 2 * dx / (a + b);
            double drag = (_boat.Drag(a, _wind[i]) + _boat.Drag(b, _wind[i])) / 2;
            double thrust = _boat.MassKg * (b * b - a * a) / (2 * dx) + drag;
            double power = thrust * (a + b) / 2 / _share;
            return new CellValues(time, thrust, power, thrust * dx / _share - _crew.Power.Cp * time);
        }

        private double Seconds(double[] v)
        {
            double sum = 0;
            for (int i = 0; i < _n; i++)
            {
                sum += 2 * (_x[i + 1] - _x[i]) / (v[i] + v[i + 1]);
            }

            return sum;
        }

        private double Barrier(double[] v, double t)
        {
            double sum = 0, spent = 0;
            for (int i = 0; i < _n; i++)
            {
                if (v[i + 1] <= 0.01)
                {
                    return double.PositiveInfinity;
                }

                var c = Cell(v, i, 0);
                spent += c.Energy;
                double store = (_crew.Power.WPrime - spent) / _crew.Power.WPrime;
                double low = c.Thrust / _boat.MaxThrust, high = 1 - low, cap = 1 - c.Power / _crew.Pmax;
                if (store <= 0 || low <= 0 || high <= 0 || cap <= 0)
                {
                    return double.PositiveInfinity;
                }

                sum += t * c.Time - Math.Log(store) - Math.Log(low) - Math.Log(high) - Math.Log(cap);
            }

            return sum;
        }

        private bool Newton(double[] v, double t)
        {
            double value = Barrier(v, t);
            for (int iteration = 0; iteration < 60; iteration++)
            {
                var (gradient, hessian) = Derivatives(v, t);
                double[]? step = null;
                double damping = 0;
                while (step is null)
                {
                    step = TrySolve(hessian, gradient, damping);
                    damping = damping == 0 ? 1e-6 * Trace(hessian) / _n : damping * 10;
                }

                double decrement = 0;
                for (int k = 0; k < _n; k++)
                {
                    decrement += step[k] * gradient[k];
                }

                if (decrement < 1e-7)
                {
                    return true;
                }

                double length = 1;
                var trial = new double[_n + 1];
                bool moved = false;
                for (int k = 0; k < 50; k++)
                {
                    trial[0] = v[0];
                    for (int j = 0; j < _n; j++)
                    {
                        trial[j + 1] = v[j + 1] - length * step[j];
                    }

                    double next = Barrier(trial, t);
                    if (next < value - 1e-4 * length * decrement)
                    {
                        Array.Copy(trial, v, _n + 1);
                        value = next;
                        moved = true;
                        break;
                    }

                    length *= 0.5;
                }

                if (!moved)
                {
                    return decrement < 1e-3;
                }
            }

            return false;
        }

        private double Trace(double[,] h)
        {
            double sum = 0;
            for (int i = 0; i < _n; i++)
            {
                sum += Math.Abs(h[i, i]);
            }

            return sum;
        }

        /// <summary>Gradient and Hessian of the barrier by v1..vn: every constraint but the store's is of one cell; the store's sum over cells.</summary>
        private (double[] Gradient, double[,] Hessian) Derivatives(double[] v, double t)
        {
            var gradient = new double[_n + 1];
            var hessian = new double[_n + 1, _n + 1];
            double w0 = _crew.Power.WPrime;
            var energyA = new double[_n];
            var energyB = new double[_n];
            var inverse = new double[_n];
            double spent = 0;
            for (int i = 0; i < _n; i++)
            {
                var (ga, gb) = EnergySlope(v, i);
                energyA[i] = ga;
                energyB[i] = gb;
                spent += Cell(v, i, 0).Energy;
                inverse[i] = 1 / (w0 - spent);
            }

            // d/dv of -sum log(store_j): weight of cell i's energy is the sum over j >= i of 1/store_j.
            double tail = 0;
            var weight = new double[_n];
            for (int i = _n - 1; i >= 0; i--)
            {
                tail += inverse[i];
                weight[i] = tail;
            }

            for (int i = 0; i < _n; i++)
            {
                AddCell(v, i, t, weight[i], gradient, hessian);
            }

            var row = new double[_n + 1];
            for (int j = 0; j < _n; j++)
            {
                row[j] += energyA[j];
                row[j + 1] += energyB[j];
                double s2 = inverse[j] * inverse[j];
                for (int p = 1; p <= j + 1; p++)
                {
                    double f = s2 * row[p];
                    for (int q = 1; q <= p; q++)
                    {
                        hessian[p, q] += f * row[q];
                    }
                }
            }

            var g = new double[_n];
            var h = new double[_n, _n];
            for (int p = 1; p <= _n; p++)
            {
                g[p - 1] = gradient[p];
                for (int q = 1; q <= p; q++)
                {
                    h[p - 1, q - 1] = hessian[p, q];
                }
            }

            return (g, h);
        }

        private (double A, double B) EnergySlope(double[] v, int i)
        {
            double a = v[i], b = v[i + 1], dx = _x[i + 1] - _x[i], s = a + b;
            double time = 2 * dx * _crew.Power.Cp / (s * s);
            double fa = -_boat.MassKg * a / dx + _boat.DragSlope(a, _wind[i]) / 2;
            double fb = _boat.MassKg * b / dx + _boat.DragSlope(b, _wind[i]) / 2;
            return (fa * dx / _share + time, fb * dx / _share + time);
        }

        private void AddCell(double[] v, int i, double t, double storeWeight, double[] gradient, double[,] hessian)
        {
            double a = v[i], b = v[i + 1], dx = _x[i + 1] - _x[i], s = a + b;
            var c = Cell(v, i, 0);
            double timeSlope = -2 * dx / (s * s), timeCurve = 4 * dx / (s * s * s);
            double fa = -_boat.MassKg * a / dx + _boat.DragSlope(a, _wind[i]) / 2;
            double fb = _boat.MassKg * b / dx + _boat.DragSlope(b, _wind[i]) / 2;
            double drag2A = _boat.WaterDrag + _boat.AirDrag * Math.Sign(a + _wind[i]);
            double drag2B = _boat.WaterDrag + _boat.AirDrag * Math.Sign(b + _wind[i]);
            double faa = -_boat.MassKg / dx + drag2A, fbb = _boat.MassKg / dx + drag2B;
            double pa = (fa * s + c.Thrust) / 2 / _share, pb = (fb * s + c.Thrust) / 2 / _share;
            double paa = (faa * s + 2 * fa) / 2 / _share, pbb = (fbb * s + 2 * fb) / 2 / _share, pab = (fa + fb) / 2 / _share;
            double low = 1 / c.Thrust, high = 1 / (_boat.MaxThrust - c.Thrust), cap = 1 / (_crew.Pmax - c.Power);
            double first = high - low, second = high * high + low * low;
            double ea = fa * dx / _share - _crew.Power.Cp * timeSlope, eb = fb * dx / _share - _crew.Power.Cp * timeSlope;
            double eaa = faa * dx / _share - _crew.Power.Cp * timeCurve, ebb = fbb * dx / _share - _crew.Power.Cp * timeCurve, eab = -_crew.Power.Cp * timeCurve;
            gradient[i] += t * timeSlope + first * fa + cap * pa + storeWeight * ea;
            gradient[i + 1] += t * timeSlope + first * fb + cap * pb + storeWeight * eb;
            hessian[i, i] += t * timeCurve + second * fa * fa + first * faa + cap * cap * pa * pa + cap * paa + storeWeight * eaa;
            hessian[i + 1, i + 1] += t * timeCurve + second * fb * fb + first * fbb + cap * cap * pb * pb + cap * pbb + storeWeight * ebb;
            hessian[i + 1, i] += t * timeCurve + second * fa * fb + cap * cap * pa * pb + cap * pab + storeWeight * eab;
        }

        private double[]? TrySolve(double[,] h, double[] g, double damping)
        {
            int n = g.Length;
            var l = new double[n, n];
            for (int i = 0; i < n; i++)
            {
                for (int j = 0; j <= i; j++)
                {
                    double sum = h[i, j] + (i == j ? damping : 0);
                    for (int k = 0; k < j; k++)
                    {
                        sum -= l[i, k] * l[j, k];
                    }

                    if (i == j)
                    {
                        if (!(sum > 1e-12))
                        {
                            return null;
                        }

                        l[i, i] = Math.Sqrt(sum);
                    }
                    else
                    {
                        l[i, j] = sum / l[j, j];
                    }
                }
            }

            var y = new double[n];
            for (int i = 0; i < n; i++)
            {
                double sum = g[i];
                for (int k = 0; k < i; k++)
                {
                    sum -= l[i, k] * y[k];
                }

                y[i] = sum / l[i, i];
            }

            for (int i = n - 1; i >= 0; i--)
            {
                double sum = y[i];
                for (int k = i + 1; k < n; k++)
                {
                    sum -= l[k, i] * y[k];
                }

                y[i] = sum / l[i, i];
            }

            return y;
        }
    }
}
