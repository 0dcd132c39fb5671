namespace Stakeboat.Simulation.Racing;

/// <summary>One stroke as it truly was: times in s of the recording, m, m/s.</summary>
/// <param name="Catch">The body's turn at the front: where the drive begins.</param>
/// <param name="Finish">End of the drive.</param>
/// <param name="Next">Catch of the next stroke, or where the next stroke could have begun when none followed.</param>
/// <param name="Rate">60 / (Next - Catch), strokes/min.</param>
/// <param name="Slowest">Least speed from catch to next catch; Fastest likewise.</param>
/// <param name="Check">Speed at the catch less the slowest after it.</param>
public sealed record TrueStroke(
    double Catch, double Finish, double Next, double Rate, double Metres, double MeanSpeed, double Slowest, double Fastest, double Check);

/// <summary>
/// What a hull truly did. Times are s of the recording. Between integration nodes (about 10 ms) position and speed are cubic and quadratic
/// in time from speed and acceleration at both ends.
/// </summary>
public sealed class HullPath
{
    private readonly double[] _t, _u, _s, _a, _x, _y, _h;

    internal HullPath(IReadOnlyList<PathNode> nodes, IReadOnlyList<TrueStroke> strokes)
    {
        _t = [.. nodes.Select(n => n.Time)];
        _u = [.. nodes.Select(n => n.Speed)];
        _s = [.. nodes.Select(n => n.Metres)];
        _a = [.. nodes.Select(n => n.Acceleration)];
        _x = [.. nodes.Select(n => n.X)];
        _y = [.. nodes.Select(n => n.Y)];
        _h = [.. nodes.Select(n => n.Heading)];
        Strokes = strokes;
    }

    public IReadOnlyList<TrueStroke> Strokes { get; }

    public double From => _t[0];

    public double To => _t[^1];

    /// <summary>Distance of the bow ball along its own path, m; 0 at the start line.</summary>
    public double MetresAt(double seconds)
    {
        var (i, h, w) = Find(seconds);
        if (h <= 0)
        {
            return _s[i];
        }

        double d = _s[i + 1] - _s[i];
        double w2 = w * w, w3 = w2 * w;
        return _s[i] + (3 * w2 - 2 * w3) * d + (w3 - 2 * w2 + w) * h * _u[i] + (w3 - w2) * h * _u[i + 1];
    }

    /// <summary>Speed over ground, m/s.</summary>
    public double SpeedAt(double seconds)
    {
        var (i, h, w) = Find(seconds);
        if (h <= 0)
        {
            return _u[i];
        }

        double d = _u[i + 1] - _u[i];
        double w2 = w * w, w3 = w2 * w;
        return _u[i] + (3 * w2 - 2 * w3) * d + (w3 - 2 * w2 + w) * h * _a[i] + (w3 - w2) * h * _a[i + 1];
    }

    /// <summary>Acceleration of the hull along itself, m/s².</summary>
    public double AccelerationAt(double seconds)
    {
        var (i, h, w) = Find(seconds);
        return h <= 0 ? _a[i] : _a[i] + w * (_a[i + 1] - _a[i]);
    }

    /// <summary>Place of the bow ball on the plane: m along the course's heading (or the outing's first heading) and m to starboard of lane 1.</summary>
    public (double Along, double Across) PlaceAt(double seconds)
    {
        var (i, h, w) = Find(seconds);
        return h <= 0 ? (_x[i], _y[i]) : (_x[i] + w * (_x[i + 1] - _x[i]), _y[i] + w * (_y[i + 1] - _y[i]));
    }

    /// <summary>Where the bow points, radians clockwise from the course's heading.</summary>
    public double HeadingAt(double seconds)
    {
        var (i, h, w) = Find(seconds);
        return h <= 0 ? _h[i] : _h[i] + w * (_h[i + 1] - _h[i]);
    }

    /// <summary>Stroke rate of the stroke under way; null between pieces.</summary>
    public double? RateAt(double seconds)
    {
        int low = 0, high = Strokes.Count - 1;
        while (low < high)
        {
            int mid = (low + high + 1) / 2;
            (low, high) = Strokes[mid].Catch <= seconds ? (mid, high) : (low, mid - 1);
        }

        return Strokes.Count > 0 && seconds >= Strokes[low].Catch && seconds < Strokes[low].Next ? Strokes[low].Rate : null;
    }

    /// <summary>When the bow ball first came to <paramref name="metres"/>; null where it never did.</summary>
    public double? TimeAtMetres(double metres)
    {
        for (int i = 0; i + 1 < _t.Length; i++)
        {
            if (_s[i] < metres && _s[i + 1] >= metres)
            {
                double low = _t[i], high = _t[i + 1];
                for (int k = 0; k < 60; k++)
                {
                    double mid = (low + high) / 2;
                    (low, high) = MetresAt(mid) < metres ? (mid, high) : (low, mid);
                }

                return high;
            }
        }

        return null;
    }

    private (int Index, double Step, double Share) Find(double seconds)
    {
        if (seconds <= _t[0])
        {
            return (0, 0, 0);
        }

        if (seconds >= _t[^1])
        {
            return (_t.Length - 1, 0, 0);
        }

        int low = 0, high = _t.Length - 1;
        while (high - low > 1)
        {
            int mid = (low + high) / 2;
            (low, high) = _t[mid] <= seconds ? (mid, high) : (low, mid);
        }

        double h = _t[high] - _t[low];
        return (low, h, h <= 0 ? 0 : (seconds - _t[low]) / h);
    }
}

internal readonly record struct PathNode(double Time, double Speed, double Metres, double Acceleration, double X, double Y, double Heading);
