using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Simulation.Racing;

namespace Stakeboat.Simulation.Sensors;

/// <summary>
/// Turns a true path into samples of a phone. The hull's frame is x to the bow, y to port, z up; at rest an upright phone reads +9.81 on z.
/// Reading = R(tilt)' (a + g R(roll)' z) + bias + noise.
/// </summary>
internal static class MotionRecorder
{
    // Standard gravity, m/s² (3rd General Conference on Weights and Measures, 1901).
    private const double Gravity = 9.80665;
    private const double Degree = Math.PI / 180;

    public static MotionLog Record(MotionSensor m, HullPath path, ClockMap<RecordingClock, MotionClock> clock, double end, Dice dice)
    {
        double from = clock.Map(Instant<RecordingClock>.FromSeconds(path.From)).Seconds, to = clock.Map(Instant<RecordingClock>.FromSeconds(end)).Seconds;
        int n = Math.Max(0, (int)Math.Floor((to - from) * m.Hertz));
        var back = clock.Inverse();
        double[] seconds = new double[n], ax = new double[n], ay = new double[n], az = new double[n];
        double[]? gx = m.Gyroscope ? new double[n] : null, gy = m.Gyroscope ? new double[n] : null, gz = m.Gyroscope ? new double[n] : null;
        var noise = dice.For("noise");
        var bias = dice.For("bias");
        var roll = new SlowNoise(dice.For("roll"), m.RollSd * Degree, 1.2);
        Wash[] wash = [new(dice.For("wash x"), 0.5 * m.WashSd), new(dice.For("wash y"), 0.8 * m.WashSd), new(dice.For("wash z"), m.WashSd)];
        double bx = m.Bias * bias.Normal(), by = m.Bias * bias.Normal(), bz = m.Bias * bias.Normal();
        double gbx = m.GyroBias * bias.Normal(), gby = m.GyroBias * bias.Normal(), gbz = m.GyroBias * bias.Normal();
        double d1 = bias.Normal(), d2 = bias.Normal(), d3 = bias.Normal();
        double rollSmooth = 0, step = 1 / m.Hertz, lastRoll = 0, lastHeading = path.HeadingAt(path.From);
        for (int i = 0; i < n; i++)
        {
            double tm = from + i * step;
            double t = back.Map(Instant<MotionClock>.FromSeconds(tm)).Seconds;

            // Low-pass of 0.3 s: hulls do not roll in jerks.
            rollSmooth += (1 - Math.Exp(-step / 0.3)) * (roll.At(t) - rollSmooth);
            double heading = path.HeadingAt(t);
            double rollRate = (rollSmooth - lastRoll) * m.Hertz, yawRate = -(heading - lastHeading) * m.Hertz;
            lastRoll = rollSmooth;
            lastHeading = heading;
            double fx = path.AccelerationAt(t) + wash[0].At(t);
            double fy = path.SpeedAt(t) * yawRate + wash[1].At(t) + Gravity * Math.Sin(rollSmooth);
            double fz = wash[2].At(t) + Gravity * Math.Cos(rollSmooth);
            double minutes = (t - path.From) / 60 * m.TiltDriftPerMinute;
            var r = Rotation.Of((m.TiltRoll + d1 * minutes) * Degree, (m.TiltPitch + d2 * minutes) * Degree, (m.TiltYaw + d3 * minutes) * Degree);
            var (px, py, pz) = r.ToPhone(fx, fy, fz);
            seconds[i] = tm;
            ax[i] = px + bx + m.NoiseSd * noise.Normal();
            ay[i] = py + by + m.NoiseSd * noise.Normal();
            az[i] = pz + bz + m.NoiseSd * noise.Normal();
            if (gx is not null && gy is not null && gz is not null)
            {
                var (wx, wy, wz) = r.ToPhone(rollRate, 0, yawRate);
                gx[i] = wx + gbx + m.GyroNoiseSd * noise.Normal();
                gy[i] = wy + gby + m.GyroNoiseSd * noise.Normal();
                gz[i] = wz + gbz + m.GyroNoiseSd * noise.Normal();
            }
        }

        return new MotionLog("motion.csv", seconds, ax, ay, az, gx, gy, gz, true);
    }

    /// <summary>Six waves of fixed frequency and random phase, each swelling and sinking over some 8 s.</summary>
    private sealed class Wash
    {
        private readonly (double Frequency, double Phase, SlowNoise Size)[] _waves;

        public Wash(Dice dice, double sd) =>
            _waves = [.. Enumerable.Range(0, 6).Select(i => (dice.Between(0.8, 4), dice.Between(0, 2 * Math.PI), new SlowNoise(dice.For("wave" + (char)('a' + i)), sd * Math.Sqrt(2.0 / 6), 8)))];

        public double At(double t)
        {
            double sum = 0;
            foreach (var (f, p, size) in _waves)
            {
                sum += size.At(t) * Math.Sin(2 * Math.PI * f * t + p);
            }

            return sum;
        }
    }

    /// <summary>Hull from phone: about the upright, then the beam, then the keel.</summary>
    private readonly record struct Rotation(double A, double B, double C, double D, double E, double F, double G, double H, double I)
    {
        public static Rotation Of(double roll, double pitch, double yaw)
        {
            double cr = Math.Cos(roll), sr = Math.Sin(roll), cp = Math.Cos(pitch), sp = Math.Sin(pitch), cy = Math.Cos(yaw), sy = Math.Sin(yaw);
            return new Rotation(
                cy * cp, cy * sp * sr - sy * cr, cy * sp * cr + sy * sr,
                sy * cp, sy * sp * sr + cy * cr, sy * sp * cr - cy * sr,
                -sp, cp * sr, cp * cr);
        }

        public (double X, double Y, double Z) ToPhone(double x, double y, double z) =>
            (A * x + D * y + G * z, B * x + E * y + H * z, C * x + F * y + I * z);
    }
}
