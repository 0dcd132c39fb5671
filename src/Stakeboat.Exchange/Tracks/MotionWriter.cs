using System.Globalization;
using Stakeboat.Core.Measurement;

namespace Stakeboat.Exchange.Tracks;

/// <summary>A motion log as CSV with units in the names.</summary>
public static class MotionWriter
{
    public static void Csv(TextWriter to, MotionLog log)
    {
        ArgumentNullException.ThrowIfNull(to);
        ArgumentNullException.ThrowIfNull(log);
        bool gyro = log.RotationX is not null && log.RotationY is not null && log.RotationZ is not null;
        string acceleration = log.HasGravity ? "acceleration" : "linear acceleration";
        to.Write($"time_s,{acceleration} x (m/s2),{acceleration} y (m/s2),{acceleration} z (m/s2)");
        to.Write(gyro ? ",rotation x (rad/s),rotation y (rad/s),rotation z (rad/s)\n" : "\n");
        for (int i = 0; i < log.Count; i++)
        {
            to.Write(string.Create(CultureInfo.InvariantCulture, $"{log.Seconds[i]:0.######},{log.AccelerationX[i]:0.######},{log.AccelerationY[i]:0.######},{log.AccelerationZ[i]:0.######}"));
            to.Write(gyro ? string.Create(CultureInfo.InvariantCulture, $",{log.RotationX![i]:0.######},{log.RotationY![i]:0.######},{log.RotationZ![i]:0.######}\n") : "\n");
        }
    }
}
