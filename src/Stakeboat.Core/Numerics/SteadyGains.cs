namespace Stakeboat.Core.Numerics;

/// <summary>Gains at which filters of fixed form settle; closed forms to test filters by and to choose levels with.</summary>
public static class SteadyGains
{
    /// <summary>
    /// Alpha-beta filter of tracking index L = sw T²/sv (Kalata 1984): r = (4 + L - sqrt(8L + L²))/4, alpha = 1 - r²,
    /// beta = 2(2 - alpha) - 4 sqrt(1 - alpha).
    /// </summary>
    public static (double Alpha, double Beta) AlphaBeta(double index)
    {
        double r = (4 + index - Math.Sqrt((8 * index) + (index * index))) / 4;
        double alpha = 1 - (r * r);
        return (alpha, (2 * (2 - alpha)) - (4 * Math.Sqrt(1 - alpha)));
    }

    /// <summary>
    /// Position and speed under white acceleration of PSD q (m²/s³), position observed each T s with variance R: the steady gains
    /// alpha (position) and beta/T (speed), and the filtered standard deviations. Found by the doubling of the Riccati recursion's
    /// fixed point to 1e-15.
    /// </summary>
    public static (double Alpha, double Beta, double PositionSd, double SpeedSd) WhiteAcceleration(double q, double t, double r)
    {
        double q11 = q * t * t * t / 3;
        double q12 = q * t * t / 2;
        double q22 = q * t;
        double p11 = r;
        double p12 = r / t;
        double p22 = 2 * r / (t * t);
        double alpha = 0;
        double beta = 0;
        for (int i = 0; i < 100_000; i++)
        {
            double m11 = p11 + (2 * t * p12) + (t * t * p22) + q11;
            double m12 = p12 + (t * p22) + q12;
            double m22 = p22 + q22;
            double s = m11 + r;
            double a = m11 / s;
            double b = m12 / s * t;
            bool settled = Math.Abs(a - alpha) < 1e-15 && Math.Abs(b - beta) < 1e-15;
            (alpha, beta) = (a, b);
            p11 = (1 - a) * m11;
            p12 = (1 - a) * m12;
            p22 = m22 - (m12 * m12 / s);
            if (settled)
            {
                break;
            }
        }

        return (alpha, beta, Math.Sqrt(p11), Math.Sqrt(p22));
    }

    /// <summary>Local level with signal-to-noise ratio q = Q/H: the gain on the newest observation, (sqrt(q² + 4q) - q)/2.</summary>
    public static double LocalLevel(double ratio) => 0.5 * (Math.Sqrt((ratio * ratio) + (4 * ratio)) - ratio);
}
