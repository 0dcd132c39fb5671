namespace Stakeboat.Core.Strokes;

/// <summary>
/// How the phone lay: the forward axis through the outing, anew from each moment at which the phone was moved. Each stretch has a sign of
/// its own, since nothing but speed or the stroke's shape tells bow from stern.
/// </summary>
internal sealed class PhonePose
{
    /// <summary>Gravity turning by more between the seconds before and after is a phone that was moved, degrees (my judgement, no source).</summary>
    private const double Moved = 25;

    /// <summary>Most stretches; a phone that moves more often lies loose, and its axis is followed as it goes.</summary>
    private const int Most = 5;

    private const double Look = 3;

    private readonly List<(int From, int To, EvenMotion Motion, ForwardAxis Axis)> _stretches = [];

    /// <summary>Number of stretches between moves.</summary>
    public int Stretches => _stretches.Count;

    /// <summary>When the phone was moved, seconds of the log, and by how many degrees.</summary>
    public List<(double At, double Degrees)> Moves { get; } = [];

    /// <summary>Largest slow turn of "up" in any stretch, degrees, and when.</summary>
    public (double Degrees, double At) LargestTilt { get; private set; }

    public static PhonePose Find(EvenMotion m)
    {
        var pose = new PhonePose();
        var cuts = m.HasGravity ? Cuts(m) : [];
        if (cuts.Count >= Most)
        {
            cuts = [];
        }

        int from = 0;
        foreach (var (at, degrees) in cuts)
        {
            pose.Moves.Add((at * m.Step, degrees));
            pose.Add(m, from, at);
            from = at;
        }

        pose.Add(m, from, m.Count);
        return pose;
    }

    private void Add(EvenMotion m, int from, int to)
    {
        var part = from == 0 && to == m.Count ? m : m.Slice(from, to);
        var axis = ForwardAxis.Find(part);
        _stretches.Add((from, to, part, axis));
        if (axis.LargestTilt > LargestTilt.Degrees)
        {
            LargestTilt = (axis.LargestTilt, (from * m.Step) + axis.LargestTiltAt);
        }
    }

    /// <summary>Turns the axis round in one stretch.</summary>
    public void Flip(int stretch) => _stretches[stretch].Axis.Flip();

    /// <summary>First sample of a stretch and the one past its last.</summary>
    public (int From, int To) Range(int stretch) => (_stretches[stretch].From, _stretches[stretch].To);

    public double[] Along(EvenMotion m, double[] x, double[] y, double[] z) => Each(m, x, y, z, (a, p, u, v, w) => a.Along(p, u, v, w));

    public double[] Upward(EvenMotion m, double[] x, double[] y, double[] z) => Each(m, x, y, z, (a, p, u, v, w) => a.Upward(p, u, v, w));

    public double[] ToPort(EvenMotion m, double[] x, double[] y, double[] z) => Each(m, x, y, z, (a, p, u, v, w) => a.ToPort(p, u, v, w));

    private double[] Each(EvenMotion m, double[] x, double[] y, double[] z, Func<ForwardAxis, EvenMotion, double[], double[], double[], double[]> project)
    {
        if (_stretches.Count == 1)
        {
            return project(_stretches[0].Axis, m, x, y, z);
        }

        var all = new double[m.Count];
        foreach (var (from, to, part, axis) in _stretches)
        {
            project(axis, part, x[from..to], y[from..to], z[from..to]).CopyTo(all, from);
        }

        return all;
    }

    /// <summary>Samples at which gravity's direction changes from one lasting pose to another.</summary>
    private static List<(int At, double Degrees)> Cuts(EvenMotion m)
    {
        int look = Math.Max(1, (int)Math.Round(Look / m.Step));
        int stride = Math.Max(1, (int)Math.Round(0.25 / m.Step));
        var sum = new double[3][];
        double[][] axes = [m.X, m.Y, m.Z];
        for (int a = 0; a < 3; a++)
        {
            sum[a] = new double[m.Count + 1];
            for (int i = 0; i < m.Count; i++)
            {
                sum[a][i + 1] = sum[a][i] + axes[a][i];
            }
        }

        double Turn(int at, int reach)
        {
            double dot = 0;
            double before = 0;
            double after = 0;
            for (int a = 0; a < 3; a++)
            {
                double p = sum[a][at] - sum[a][Math.Max(0, at - reach)];
                double q = sum[a][Math.Min(m.Count, at + reach)] - sum[a][at];
                dot += p * q;
                before += p * p;
                after += q * q;
            }

            return before * after > 0 ? Math.Acos(Math.Clamp(dot / Math.Sqrt(before * after), -1, 1)) * 180 / Math.PI : 0;
        }

        var cuts = new List<(int At, double Degrees)>();
        int end = m.Count - (2 * look);
        for (int i = 2 * look; i < end; i += stride)
        {
            if (Turn(i, look) < Moved)
            {
                continue;
            }

            // The sharpest turn of the next seconds, and lasting: 15 s before and after differ too.
            int best = i;
            double most = 0;
            int k = i;
            for (; k < Math.Min(end, i + (2 * look)); k += stride)
            {
                double t = Turn(k, look);
                if (t > most)
                {
                    (most, best) = (t, k);
                }
            }

            if (Turn(best, 5 * look) > Moved)
            {
                cuts.Add((best, most));
                i = k + look;
            }
            else
            {
                i = k;
            }
        }

        return cuts;
    }
}
