using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Strokes;

/// <summary>Levels of the fusion's noises.</summary>
/// <param name="Acceleration">PSD of the accelerometer's error, or without one of the acceleration itself, (m/s²)²/Hz.</param>
/// <param name="BiasWalk">PSD of the bias's drift, (m/s³)²/Hz.</param>
/// <param name="Position">Uncorrelated part of a fix, m.</param>
/// <param name="Wander">Correlated part of a fix, m.</param>
/// <param name="Speed">Of the receiver's own speed, m/s.</param>
internal readonly record struct HullLevels(double Acceleration, double BiasWalk, double Position, double Wander, double Speed)
{
    /// <summary>Correlation time of a fix's wandering part, s (common practice for single-frequency receivers in the open, no source).</summary>
    public const double WanderTime = 25;
}

/// <summary>
/// Along the track: place s, speed v, accelerometer bias b, and the wandering error c of the fixes. Between nodes the measured
/// acceleration is integrated as it stands (exact for the broken line through its samples); its error is white with PSD q, its bias a
/// random walk, and c is first-order Gauss-Markov: s' = s + v dt + S - b dt²/2, v' = v + V - b dt, b' = b, c' = c exp(-dt/tau).
/// </summary>
internal sealed class HullModel : IStateModel
{
    public static readonly double[][] Rows = [[1, 0, 0, 1], [0, 1, 0, 0]];
    public const int PositionRow = 0;
    public const int SpeedRow = 1;
    private readonly double[] _nodes;
    private readonly double[]? _gainedSpeed;
    private readonly double[]? _gainedWay;
    private readonly HullLevels _levels;
    private readonly double _bare;
    private readonly bool[]? _blind;

    /// <param name="nodes">Seconds of the nodes.</param>
    /// <param name="gainedSpeed">Integral of the acceleration from each node to the next; null without motion.</param>
    /// <param name="gainedWay">Its double integral.</param>
    /// <param name="blind">Steps in which motion samples are missing.</param>
    /// <param name="bare">PSD of the acceleration itself where motion samples are missing.</param>
    public HullModel(double[] nodes, double[]? gainedSpeed, double[]? gainedWay, bool[]? blind, HullLevels levels, double bare)
    {
        _nodes = nodes;
        _gainedSpeed = gainedSpeed;
        _gainedWay = gainedWay;
        _blind = blind;
        _levels = levels;
        _bare = bare;
    }

    public int Size => 4;

    public int Nodes => _nodes.Length;

    public void Step(int node, Span<double> f, Span<double> u, Span<double> q)
    {
        double dt = _nodes[node + 1] - _nodes[node];
        double decay = Math.Exp(-dt / HullLevels.WanderTime);
        f.Clear();
        q.Clear();
        u.Clear();
        f[0] = 1;
        f[1] = dt;
        f[5] = 1;
        f[10] = 1;
        f[15] = decay;
        bool blind = _gainedSpeed is null || (_blind is not null && _blind[node]);
        double a = blind ? _bare : _levels.Acceleration;
        double w = _levels.BiasWalk;
        if (!blind)
        {
            f[2] = -0.5 * dt * dt;
            f[6] = -dt;
            u[0] = _gainedWay![node];
            u[1] = _gainedSpeed![node];
            double d2 = dt * dt;
            q[0] += w * d2 * d2 * dt / 20;
            q[1] += w * d2 * d2 / 8;
            q[2] = q[8] = -w * d2 * dt / 6;
            q[5] += w * d2 * dt / 3;
            q[6] = q[9] = -w * d2 / 2;
        }

        q[10] = w * dt;
        q[0] += a * dt * dt * dt / 3;
        q[1] += a * dt * dt / 2;
        q[4] = q[1];
        q[5] += a * dt;
        q[15] = _levels.Wander * _levels.Wander * (1 - (decay * decay));
    }
}
