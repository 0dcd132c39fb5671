using Stakeboat.Core.Measurement;

namespace Stakeboat.Exchange.Tracks;

/// <summary>A motion log as CSV with units in the names.</summary>
public static class MotionWriter
{
    public static void Csv(Stream to, MotionLog log)
    {
        ArgumentNullException.ThrowIfNull(to);
        ArgumentNullException.ThrowIfNull(log);
        using var w = new Utf8Sink(to);
        string acceleration = log.HasGravity ? "acceleration" : "linear acceleration";
        w.Text($"time_s,{acceleration} x (m/s2),{acceleration} y (m/s2),{acceleration} z (m/s2)");
        double[][] columns = [log.AccelerationX, log.AccelerationY, log.AccelerationZ];
        if (log.RotationX is { } x && log.RotationY is { } y && log.RotationZ is { } z)
        {
            w.Raw(",rotation x (rad/s),rotation y (rad/s),rotation z (rad/s)"u8);
            columns = [.. columns, x, y, z];
        }

        w.Byte((byte)'\n');
        for (int i = 0; i < log.Count; i++)
        {
            w.Number(log.Seconds[i], 6);
            foreach (double[] c in columns)
            {
                w.Byte((byte)',');
                if (double.IsFinite(c[i]))
                {
                    w.Number(c[i], 6);
                }
            }

            w.Byte((byte)'\n');
        }
    }
}
