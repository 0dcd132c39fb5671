using Stakeboat.Core.Signals;

namespace Stakeboat.Core.Strokes;

/// <summary>Roll and yaw of the hull on the motion's grid. Degrees; roll positive to starboard, yaw positive to starboard.</summary>
/// <param name="Roll">About the keel, against the outing's own mean (how the phone lay is not known).</param>
/// <param name="Yaw">Turn since the first sample; null without a gyroscope.</param>
/// <param name="Fast">True where a gyroscope resolved roll within the stroke.</param>
internal sealed record Attitude(double[] Roll, double[]? Yaw, bool Fast)
{
    /// <summary>Time constant of the complementary filter, s: gravity below, gyroscope above (common practice, no source).</summary>
    private const double Tau = 1.5;

    private const double Gravity = 9.80665;

    public static Attitude? From(EvenMotion m, PhonePose axis, double[] forward)
    {
        _ = forward;
        if (!m.HasGravity)
        {
            return null;
        }

        // Port's share of gravity: positive when port is high, which is a roll to starboard.
        var port = axis.ToPort(m, m.X, m.Y, m.Z);
        int n = m.Count;
        var slow = new double[n];
        for (int i = 0; i < n; i++)
        {
            slow[i] = Math.Asin(Math.Clamp(port[i] / Gravity, -1, 1)) * 180 / Math.PI;
        }

        if (m.Gx is null || m.Gy is null || m.Gz is null)
        {
            var low = SectionFilter.ZeroPhase(Butterworth.LowPass(2, Math.Min(0.3, 0.2 * m.Hz), m.Hz), slow);
            Centre(low);
            return new Attitude(low, null, Fast: false);
        }

        // Complementary without delay: low-passed gravity plus the high-passed integral of the rate, same time constant.
        var rate = axis.Along(m, m.Gx, m.Gy, m.Gz);
        var turn = axis.Upward(m, m.Gx, m.Gy, m.Gz);
        double mean = 0;
        for (int i = 0; i < n; i++)
        {
            mean += rate[i] / n;
        }

        var angle = new double[n];
        var yaw = new double[n];
        for (int i = 1; i < n; i++)
        {
            angle[i] = angle[i - 1] + ((0.5 * (rate[i] + rate[i - 1])) - mean) * m.Step * 180 / Math.PI;

            // A turn to starboard is negative about "up".
            yaw[i] = yaw[i - 1] - (0.5 * (turn[i] + turn[i - 1]) * m.Step * 180 / Math.PI);
        }

        var difference = new double[n];
        for (int i = 0; i < n; i++)
        {
            difference[i] = slow[i] - angle[i];
        }

        var lowPart = SectionFilter.ZeroPhase(Butterworth.LowPass(1, 1 / (2 * Math.PI * Tau), m.Hz), difference);
        var roll = new double[n];
        for (int i = 0; i < n; i++)
        {
            roll[i] = angle[i] + lowPart[i];
        }

        Centre(roll);
        return new Attitude(roll, yaw, Fast: true);
    }

    private static void Centre(double[] x)
    {
        double mean = 0;
        for (int i = 0; i < x.Length; i++)
        {
            mean += x[i] / x.Length;
        }

        for (int i = 0; i < x.Length; i++)
        {
            x[i] -= mean;
        }
    }
}
