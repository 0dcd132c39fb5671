using Stakeboat.Core.Measurement;

namespace Stakeboat.Core.Line;

/// <summary>A line across the water that a boat must cross: its port and its starboard end as met under way.</summary>
public readonly record struct Gate(PlanePoint Port, PlanePoint Starboard);

/// <summary>The shortest way through a channel.</summary>
public static class ShortestWay
{
    /// <summary>
    /// From start to finish through the gates in order, by the funnel over a triangulated corridor (Lee and Preparata 1984): the two sides of
    /// the funnel are drawn in gate by gate, and where they cross the way turns at a corner. Exact for the polygon that the gates span.
    /// </summary>
    /// <returns>Start, each corner at which the way bends, finish.</returns>
    public static IReadOnlyList<PlanePoint> Through(PlanePoint start, IReadOnlyList<Gate> gates, PlanePoint finish)
    {
        ArgumentNullException.ThrowIfNull(gates);
        var way = new List<PlanePoint> { start };
        int n = gates.Count + 1;
        Gate At(int i) => i < gates.Count ? gates[i] : new Gate(finish, finish);
        var apex = start;
        var port = start;
        var starboard = start;
        int portAt = -1;
        int starboardAt = -1;
        for (int i = 0; i < n; i++)
        {
            var gate = At(i);

            // Draw the starboard side in, unless it would widen the funnel; past the port side the way turns there.
            if (Turn(apex, starboard, gate.Starboard) >= 0)
            {
                if (Same(apex, starboard) || Turn(apex, port, gate.Starboard) < 0)
                {
                    (starboard, starboardAt) = (gate.Starboard, i);
                }
                else
                {
                    Bend(port);
                    (i, apex, starboard, starboardAt) = (portAt, port, port, portAt);
                    continue;
                }
            }

            if (Turn(apex, port, gate.Port) <= 0)
            {
                if (Same(apex, port) || Turn(apex, starboard, gate.Port) > 0)
                {
                    (port, portAt) = (gate.Port, i);
                }
                else
                {
                    Bend(starboard);
                    (i, apex, port, portAt) = (starboardAt, starboard, starboard, starboardAt);
                }
            }
        }

        Bend(finish);
        return way;

        void Bend(PlanePoint corner)
        {
            if (!Same(way[^1], corner))
            {
                way.Add(corner);
            }
        }
    }

    /// <summary>Length of a way, m.</summary>
    public static double Length(IReadOnlyList<PlanePoint> way)
    {
        ArgumentNullException.ThrowIfNull(way);
        double sum = 0;
        for (int i = 1; i < way.Count; i++)
        {
            sum += PathShape.Length(way[i - 1], way[i]);
        }

        return sum;
    }

    /// <summary>
    /// Shortest way round a bend of inner radius r from and to radius R, turned by an angle (rad): 2 sqrt(R² - r²) + r (angle - 2 acos(r/R))
    /// where the straight would cut the inside, else the chord.
    /// </summary>
    public static double RoundBend(double inner, double radius, double angle)
    {
        double free = 2 * Math.Acos(inner / radius);
        return angle > free
            ? (2 * Math.Sqrt((radius * radius) - (inner * inner))) + (inner * (angle - free))
            : 2 * radius * Math.Sin(0.5 * angle);
    }

    /// <summary>What a lane that lies <paramref name="offset"/> m farther out costs in a bend of <paramref name="angle"/> rad, m: their product.</summary>
    public static double LaneExtra(double angle, double offset) => angle * offset;

    /// <summary>Twice the area of a, b, c: positive where c lies to port of the line from a to b.</summary>
    private static double Turn(PlanePoint a, PlanePoint b, PlanePoint c) =>
        ((b.East - a.East) * (c.North - a.North)) - ((b.North - a.North) * (c.East - a.East));

    private static bool Same(PlanePoint a, PlanePoint b) => a.East == b.East && a.North == b.North;
}
