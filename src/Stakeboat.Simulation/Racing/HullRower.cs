using Stakeboat.Simulation.Hull;

namespace Stakeboat.Simulation.Racing;

/// <summary>Rows one hull stroke by stroke through the force model, and keeps the nodes and the strokes.</summary>
internal sealed class HullRower
{
    private const double NodeSeconds = 0.01;
    private readonly BoatMechanics _boat;
    private readonly int _oars;
    private readonly List<PathNode> _nodes = [];
    private readonly List<TrueStroke> _strokes = [];
    private readonly Func<double, double, (double Across, double Heading)> _steer;
    private double _x;
    private double _heading;

    /// <param name="steer">From seconds and metres: where the hull is meant to lie across and where it points (clockwise, rad). The place along is integrated.</param>
    public HullRower(BoatMechanics boat, int oars, double startTime, Func<double, double, (double Across, double Heading)> steer)
    {
        _boat = boat;
        _oars = oars;
        _steer = steer;
        Time = startTime;
        MeanSpeed = 0;
        var (y, h) = steer(startTime, 0);
        _heading = h;
        _nodes.Add(new PathNode(startTime, 0, 0, 0, 0, y, h));
    }

    public double Time { get; private set; }

    public double Speed { get; private set; }

    public double Metres { get; private set; }

    /// <summary>Mean speed of the last stroke, m/s.</summary>
    public double MeanSpeed { get; private set; }

    public int StrokeCount => _strokes.Count;

    /// <summary>Time of the drive for a stroke of <paramref name="period"/> s: 0.72 s at 36, 1.0 s at 18 strokes/min. Common practice, no source.</summary>
    public static double DriveTime(double period) => 0.44 + 0.168 * period;

    /// <summary>One stroke that aims at a mean speed; the work is bounded by <paramref name="strength"/> times the steady work at 5.5 m/s.</summary>
    /// <param name="length">Share of a full stroke.</param>
    /// <param name="unevenness">Factor on this stroke's work.</param>
    public TrueStroke Row(double rate, double targetSpeed, double length, double unevenness, double strength = 2.2)
    {
        double period = 60 / rate, drive = DriveTime(period) * (0.6 + 0.4 * length);
        double mass = _boat.CrewMass + _boat.HullMass;

        // Impulse that holds the target (mean of u² is about 1.02 of the mean's square) and closes 0.6 of the gap in one stroke.
        double need = 1.02 * _boat.Drag * targetSpeed * targetSpeed * period + 0.6 * mass * (targetSpeed - MeanSpeed);
        double limit = strength * _boat.Drag * 5.5 * 5.5 * (60.0 / 36);
        double impulse = Math.Clamp(need * unevenness, 0, limit);
        var model = new ForceStroke
        {
            CrewMass = _boat.CrewMass,
            BoatMass = _boat.HullMass,
            Drag = _boat.Drag,
            Slide = _boat.Slide * length,
            Drive = drive,
            Period = period,
            Spike = _boat.CatchSpike,
            Oars = _oars,
            PeakForce = impulse * Math.PI / (2 * _oars * drive),
        };
        int n1 = Math.Max(8, (int)Math.Ceiling(drive / NodeSeconds)), n2 = Math.Max(8, (int)Math.Ceiling((period - drive) / NodeSeconds));
        var nodes = StrokeIntegrator.Stroke(model, Speed, n1, n2);
        double t0 = Time;
        Append(nodes, t0, Metres);
        double slow = nodes.Min(n => n.Speed), fast = nodes.Max(n => n.Speed), metres = nodes[^1].Metres;
        var stroke = new TrueStroke(t0, t0 + drive, t0 + period, rate, metres, metres / period, slow, fast,
            nodes[0].Speed - nodes.Take(n1 + 1).Min(n => n.Speed));
        _strokes.Add(stroke);
        Time = t0 + period;
        Speed = nodes[^1].Speed;
        Metres += metres;
        MeanSpeed = stroke.MeanSpeed;
        return stroke;
    }

    /// <summary>Lets the hull run, nobody moving: u' = -C u|u| / M in closed form, u = u0 / (1 + C u0 t / M).</summary>
    public void Rest(double seconds)
    {
        double k = _boat.Drag / (_boat.CrewMass + _boat.HullMass) * Math.Abs(Speed);
        int n = Math.Max(1, (int)Math.Ceiling(seconds / 0.05));
        double t0 = Time, u0 = Speed, s0 = Metres;
        var nodes = new HullNode[n + 1];
        for (int i = 0; i <= n; i++)
        {
            double t = seconds * i / n, u = u0 / (1 + k * t);
            nodes[i] = new HullNode(t, u, k < 1e-12 ? u0 * t : u0 / k * Math.Log(1 + k * t), -_boat.Drag * u * Math.Abs(u) / (_boat.CrewMass + _boat.HullMass));
        }

        Append(nodes, t0, s0);
        Time = t0 + seconds;
        Speed = nodes[^1].Speed;
        Metres = s0 + nodes[^1].Metres;
        MeanSpeed = Speed;
    }

    public HullPath Path() => new([.. _nodes], [.. _strokes]);

    private void Append(HullNode[] nodes, double t0, double s0)
    {
        foreach (var n in nodes)
        {
            double t = t0 + n.Time, s = s0 + n.Metres;
            var (y, h) = _steer(t, s);
            _x += (s - _nodes[^1].Metres) * Math.Cos((h + _heading) / 2);
            _heading = h;
            _nodes.Add(new PathNode(t, n.Speed, s, n.Acceleration, _x, double.IsNaN(y) ? _nodes[^1].Y + (s - _nodes[^1].Metres) * Math.Sin(h) : y, h));
        }
    }
}
