using System.Runtime.Intrinsics;
using Stakeboat.Core.Signals;

namespace Stakeboat.Core.Strokes;

/// <summary>
/// Which way the boat moves as seen from a phone that lies anyhow: the horizontal axis along which the stroke shakes most, followed
/// through the outing window by window. Its sign is open until <see cref="Flip"/> is settled by speed.
/// </summary>
internal sealed class ForwardAxis
{
    private const double Window = 10;
    private readonly double[] _fx;
    private readonly double[] _fy;
    private readonly double[] _fz;
    private readonly double[] _ux;
    private readonly double[] _uy;
    private readonly double[] _uz;

    private ForwardAxis(int windows)
    {
        _fx = new double[windows];
        _fy = new double[windows];
        _fz = new double[windows];
        _ux = new double[windows];
        _uy = new double[windows];
        _uz = new double[windows];
    }

    public int Windows => _fx.Length;

    /// <summary>Largest turn of "up" between neighbouring windows, degrees, and when: the phone was moved.</summary>
    public double LargestTilt { get; private set; }

    public double LargestTiltAt { get; private set; }

    /// <summary>Share of the horizontal shaking that lies along the axis.</summary>
    public double Purity { get; private set; }

    public static ForwardAxis Find(EvenMotion m)
    {
        int per = Math.Max(1, (int)Math.Round(Window / m.Step));
        int windows = Math.Max(1, m.Count / per);
        var axis = new ForwardAxis(windows);
        double hz = m.Hz;
        var band = Butterworth.BandPass(2, 0.2, Math.Min(4, 0.4 * hz), hz);
        var shaken = AxesFilter.ZeroPhase(band, m.X, m.Y, m.Z);

        var mean = new double[windows, 3];
        var cov = new double[windows, 6];
        var energy = new double[windows];
        for (int w = 0; w < windows; w++)
        {
            int from = w * per;
            int to = w == windows - 1 ? m.Count : from + per;
            var sum = Vector256<double>.Zero;
            var squares = Vector256<double>.Zero;
            var products = Vector256<double>.Zero;
            for (int i = from; i < to; i++)
            {
                sum += Vector256.Create(m.X[i], m.Y[i], m.Z[i], 0);
                if (m.Missing[i])
                {
                    continue;
                }

                var v = shaken[i];
                squares += v * v;
                products += v * Vector256.Shuffle(v, Vector256.Create(1L, 2, 0, 3));
            }

            mean[w, 0] = sum[0] / (to - from);
            mean[w, 1] = sum[1] / (to - from);
            mean[w, 2] = sum[2] / (to - from);
            cov[w, 0] = squares[0];
            cov[w, 1] = products[0];
            cov[w, 2] = products[2];
            cov[w, 3] = squares[1];
            cov[w, 4] = products[1];
            cov[w, 5] = squares[2];
            energy[w] = cov[w, 0] + cov[w, 3] + cov[w, 5];
        }

        axis.Up(m, mean);
        axis.Shake(m, cov, energy);
        return axis;
    }

    /// <summary>Turns the axis round.</summary>
    public void Flip()
    {
        for (int w = 0; w < Windows; w++)
        {
            _fx[w] = -_fx[w];
            _fy[w] = -_fy[w];
            _fz[w] = -_fz[w];
        }
    }

    /// <summary>Component of a vector signal along the axis at every sample.</summary>
    public double[] Along(EvenMotion m, double[] x, double[] y, double[] z) => Project(m, x, y, z, _fx, _fy, _fz);

    /// <summary>Component upward.</summary>
    public double[] Upward(EvenMotion m, double[] x, double[] y, double[] z) => Project(m, x, y, z, _ux, _uy, _uz);

    /// <summary>Component to port: up × forward.</summary>
    public double[] ToPort(EvenMotion m, double[] x, double[] y, double[] z)
    {
        int n = Windows;
        var px = new double[n];
        var py = new double[n];
        var pz = new double[n];
        for (int w = 0; w < n; w++)
        {
            px[w] = (_uy[w] * _fz[w]) - (_uz[w] * _fy[w]);
            py[w] = (_uz[w] * _fx[w]) - (_ux[w] * _fz[w]);
            pz[w] = (_ux[w] * _fy[w]) - (_uy[w] * _fx[w]);
        }

        return Project(m, x, y, z, px, py, pz);
    }

    private void Up(EvenMotion m, double[,] mean)
    {
        int n = Windows;
        int reach = 6;
        for (int w = 0; w < n; w++)
        {
            double sx = 0;
            double sy = 0;
            double sz = 0;
            if (m.HasGravity)
            {
                for (int k = Math.Max(0, w - reach); k <= Math.Min(n - 1, w + reach); k++)
                {
                    double weight = reach + 1 - Math.Abs(k - w);
                    sx += weight * mean[k, 0];
                    sy += weight * mean[k, 1];
                    sz += weight * mean[k, 2];
                }
            }

            double l = Math.Sqrt((sx * sx) + (sy * sy) + (sz * sz));
            (_ux[w], _uy[w], _uz[w]) = l > 0 ? (sx / l, sy / l, sz / l) : (0, 0, 0);
            if (w > 1 && m.HasGravity)
            {
                double la = Math.Sqrt((mean[w, 0] * mean[w, 0]) + (mean[w, 1] * mean[w, 1]) + (mean[w, 2] * mean[w, 2]));
                double lb = Math.Sqrt((mean[w - 2, 0] * mean[w - 2, 0]) + (mean[w - 2, 1] * mean[w - 2, 1]) + (mean[w - 2, 2] * mean[w - 2, 2]));
                double dot = (mean[w, 0] * mean[w - 2, 0]) + (mean[w, 1] * mean[w - 2, 1]) + (mean[w, 2] * mean[w - 2, 2]);
                double tilt = la * lb > 0 ? Math.Acos(Math.Clamp(dot / (la * lb), -1, 1)) * 180 / Math.PI : 0;
                if (tilt > LargestTilt)
                {
                    LargestTilt = tilt;
                    LargestTiltAt = (w - 0.5) * Window;
                }
            }
        }
    }

    private void Shake(EvenMotion m, double[,] cov, double[] energy)
    {
        int n = Windows;
        double most = 0;
        foreach (double e in energy)
        {
            most = Math.Max(most, e);
        }

        var c = new double[6];
        double kept = 0;
        double all = 0;
        int anchor = Array.IndexOf(energy, most);
        var done = new bool[n];
        for (int w = 0; w < n; w++)
        {
            Array.Clear(c);
            for (int k = Math.Max(0, w - 4); k <= Math.Min(n - 1, w + 4); k++)
            {
                double weight = 5 - Math.Abs(k - w);
                for (int j = 0; j < 6; j++)
                {
                    c[j] += weight * cov[k, j];
                }
            }

            if (c[0] + c[3] + c[5] < 0.02 * most * 25)
            {
                continue;
            }

            RemoveUp(c, _ux[w], _uy[w], _uz[w]);
            var (x, y, z, share) = Principal(c);
            (_fx[w], _fy[w], _fz[w]) = (x, y, z);
            done[w] = true;
            kept += share * energy[w];
            all += energy[w];
        }

        Purity = all > 0 ? kept / all : 0;
        if (Array.TrueForAll(done, d => !d))
        {
            Array.Fill(_fx, 1);
            return;
        }

        // Fill the quiet windows from their nearest neighbour, then make signs follow on from the strongest window outwards.
        for (int w = 0; w < n; w++)
        {
            if (done[w])
            {
                continue;
            }

            for (int d = 1; d < n; d++)
            {
                int k = w - d >= 0 && done[w - d] ? w - d : w + d < n && done[w + d] ? w + d : -1;
                if (k >= 0)
                {
                    (_fx[w], _fy[w], _fz[w]) = Horizontal(_fx[k], _fy[k], _fz[k], w);
                    break;
                }
            }
        }

        anchor = Math.Max(0, anchor);
        for (int w = anchor + 1; w < n; w++)
        {
            Follow(w, w - 1);
        }

        for (int w = anchor - 1; w >= 0; w--)
        {
            Follow(w, w + 1);
        }
    }

    private (double X, double Y, double Z) Horizontal(double x, double y, double z, int w)
    {
        double up = (x * _ux[w]) + (y * _uy[w]) + (z * _uz[w]);
        x -= up * _ux[w];
        y -= up * _uy[w];
        z -= up * _uz[w];
        double l = Math.Sqrt((x * x) + (y * y) + (z * z));
        return l > 0 ? (x / l, y / l, z / l) : (1, 0, 0);
    }

    private void Follow(int w, int from)
    {
        if ((_fx[w] * _fx[from]) + (_fy[w] * _fy[from]) + (_fz[w] * _fz[from]) < 0)
        {
            _fx[w] = -_fx[w];
            _fy[w] = -_fy[w];
            _fz[w] = -_fz[w];
        }
    }

    /// <summary>Direction of the strongest shaking across "up"; leaves the covariance as it is.</summary>
    internal static (double X, double Y, double Z) PrincipalWithout(ReadOnlySpan<double> covariance, double ux, double uy, double uz)
    {
        Span<double> c = stackalloc double[6];
        covariance.CopyTo(c);
        RemoveUp(c, ux, uy, uz);
        var (x, y, z, _) = Principal(c);
        return (x, y, z);
    }

    /// <summary>c := (I - uu') c (I - uu').</summary>
    private static void RemoveUp(Span<double> c, double ux, double uy, double uz)
    {
        double vx = (c[0] * ux) + (c[1] * uy) + (c[2] * uz);
        double vy = (c[1] * ux) + (c[3] * uy) + (c[4] * uz);
        double vz = (c[2] * ux) + (c[4] * uy) + (c[5] * uz);
        double k = (ux * vx) + (uy * vy) + (uz * vz);
        c[0] += (k * ux * ux) - (2 * ux * vx);
        c[1] += (k * ux * uy) - (ux * vy) - (uy * vx);
        c[2] += (k * ux * uz) - (ux * vz) - (uz * vx);
        c[3] += (k * uy * uy) - (2 * uy * vy);
        c[4] += (k * uy * uz) - (uy * vz) - (uz * vy);
        c[5] += (k * uz * uz) - (2 * uz * vz);
    }

    /// <summary>First eigenvector of a symmetric 3x3 matrix by power iteration, and its share of the trace.</summary>
    private static (double X, double Y, double Z, double Share) Principal(ReadOnlySpan<double> c)
    {
        double x = c[0] >= c[3] && c[0] >= c[5] ? 1 : 0.1;
        double y = c[3] > c[0] && c[3] >= c[5] ? 1 : 0.13;
        double z = c[5] > c[0] && c[5] > c[3] ? 1 : 0.17;
        double value = 0;
        for (int i = 0; i < 60; i++)
        {
            double nx = (c[0] * x) + (c[1] * y) + (c[2] * z);
            double ny = (c[1] * x) + (c[3] * y) + (c[4] * z);
            double nz = (c[2] * x) + (c[4] * y) + (c[5] * z);
            value = Math.Sqrt((nx * nx) + (ny * ny) + (nz * nz));
            if (value == 0)
            {
                return (1, 0, 0, 0);
            }

            (x, y, z) = (nx / value, ny / value, nz / value);
        }

        double trace = c[0] + c[3] + c[5];
        return (x, y, z, trace > 0 ? value / trace : 0);
    }

    private double[] Project(EvenMotion m, double[] x, double[] y, double[] z, double[] ax, double[] ay, double[] az)
    {
        int n = m.Count;
        var r = new double[n];
        double perWindow = m.Step / Window;
        int i = 0;
        for (int w = -1; w < Windows; w++)
        {
            // Between the middles of windows w and w + 1 the axis goes over in a straight line.
            int a = Math.Max(w, 0);
            int b = Math.Min(w + 1, Windows - 1);
            int end = b == a && w >= 0 ? n : Math.Min(n, (int)Math.Ceiling((w + 1.5) / perWindow));
            double dx = ax[b] - ax[a];
            double dy = ay[b] - ay[a];
            double dz = az[b] - az[a];
            for (; i < end; i++)
            {
                double f = (i * perWindow) - 0.5 - a;
                f = a == b ? 0 : f;
                r[i] = (x[i] * (ax[a] + (f * dx))) + (y[i] * (ay[a] + (f * dy))) + (z[i] * (az[a] + (f * dz)));
            }
        }

        return r;
    }
}
