using Stakeboat.Core.Measurement;

namespace Stakeboat.Core.Line;

/// <summary>The way through a channel that bends least: least sum of squared second differences within the walls.</summary>
public static class SmoothestWay
{
    /// <summary>
    /// Where to cross each gate. A quadratic program in one share a gate, 0 at its port and 1 at its starboard end, solved by projected
    /// over-relaxation (Cryer 1971), which converges for a convex program with bounds. Gates should be about evenly spaced; in a bend
    /// of much more than a right angle the sum also falls with the gates' spacing, so that the way hugs the inside longer than the least curvature would.
    /// </summary>
    /// <param name="tolerance">Sweeps end when no share moves by more.</param>
    /// <returns>One point a gate, and whether it settled within <paramref name="sweeps"/>.</returns>
    public static (IReadOnlyList<PlanePoint> Way, bool Settled) Through(IReadOnlyList<Gate> gates, double tolerance = 1e-10, int sweeps = 200_000)
    {
        ArgumentNullException.ThrowIfNull(gates);
        int n = gates.Count;
        var share = new double[n];
        Array.Fill(share, 0.5);
        var east = new double[n];
        var north = new double[n];
        for (int i = 0; i < n; i++)
        {
            Place(i);
        }

        // Gradient of the sum with respect to share i: the five-point star (1, -4, 6, -4, 1), cut short at the ends, along the gate.
        const double Relax = 1.7;
        bool settled = n < 3;
        for (int sweep = 0; sweep < sweeps && !settled; sweep++)
        {
            double most = 0;
            for (int i = 0; i < n; i++)
            {
                double ge = gates[i].Starboard.East - gates[i].Port.East;
                double gn = gates[i].Starboard.North - gates[i].Port.North;
                double slope = 0;
                double own = 0;
                for (int c = Math.Max(1, i - 1); c <= Math.Min(n - 2, i + 1); c++)
                {
                    double weight = c == i ? -2 : 1;
                    slope += weight * ((ge * (east[c - 1] - (2 * east[c]) + east[c + 1])) + (gn * (north[c - 1] - (2 * north[c]) + north[c + 1])));
                    own += weight * weight;
                }

                double curve = own * ((ge * ge) + (gn * gn));
                if (curve <= 0)
                {
                    continue;
                }

                double next = Math.Clamp(share[i] - (Relax * slope / curve), 0, 1);
                most = Math.Max(most, Math.Abs(next - share[i]));
                share[i] = next;
                Place(i);
            }

            settled = most < tolerance;
        }

        var way = new PlanePoint[n];
        for (int i = 0; i < n; i++)
        {
            way[i] = new PlanePoint(east[i], north[i]);
        }

        return (way, settled);

        void Place(int i)
        {
            var g = gates[i];
            east[i] = g.Port.East + (share[i] * (g.Starboard.East - g.Port.East));
            north[i] = g.Port.North + (share[i] * (g.Starboard.North - g.Port.North));
        }
    }

    /// <summary>Sum of squared second differences, m²: what is made least.</summary>
    public static double Bending(IReadOnlyList<PlanePoint> way)
    {
        ArgumentNullException.ThrowIfNull(way);
        double sum = 0;
        for (int i = 1; i + 1 < way.Count; i++)
        {
            double e = way[i - 1].East - (2 * way[i].East) + way[i + 1].East;
            double n = way[i - 1].North - (2 * way[i].North) + way[i + 1].North;
            sum += (e * e) + (n * n);
        }

        return sum;
    }
}
