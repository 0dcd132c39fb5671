using Stakeboat.Simulation.Racing;

namespace Stakeboat.Simulation.Folders;

/// <summary>
/// The sound of a boat without its voice: water that swells with speed, a knock of the rowlocks at each finish and a splash at each catch.
/// 16 kHz, one channel, 16 bit WAV. A sketch for listening by, not a measured sound.
/// </summary>
public static class WaterSound
{
    private const int Rate = 16000;

    public static byte[] Wav(SimulatedRow row, double seconds)
    {
        int n = (int)(seconds * Rate);
        var dice = new Dice(row.Seed).For("water");
        var sound = new double[n];
        double low = 0, lower = 0, speed = 0;
        for (int i = 0; i < n; i++)
        {
            if (i % 400 == 0)
            {
                speed = Math.Max(0, row.Own.SpeedAt(i / (double)Rate));
            }

            double white = 2 * dice.Uniform() - 1;
            low += 0.18 * (white - low);
            lower += 0.01 * (low - lower);
            sound[i] = (low - lower) * (0.03 + 0.035 * speed);
        }

        foreach (var s in row.Strokes)
        {
            Knock(sound, s.Finish, 0.20, 0.018, 640, dice);
            Knock(sound, s.Finish + 0.045, 0.10, 0.012, 900, dice);
            Splash(sound, s.Catch, 0.13, dice);
        }

        return Pack(sound);
    }

    private static void Knock(double[] sound, double at, double size, double decay, double hertz, Dice dice)
    {
        int from = (int)(at * Rate);
        for (int i = 0; i < Rate / 8 && from + i < sound.Length; i++)
        {
            double t = i / (double)Rate;
            sound[from + i] += size * Math.Exp(-t / decay) * (Math.Sin(2 * Math.PI * hertz * t) + 0.5 * (2 * dice.Uniform() - 1));
        }
    }

    private static void Splash(double[] sound, double at, double size, Dice dice)
    {
        int from = (int)(at * Rate);
        double low = 0;
        for (int i = 0; i < Rate / 4 && from + i < sound.Length; i++)
        {
            double t = i / (double)Rate;
            low += 0.4 * (2 * dice.Uniform() - 1 - low);
            sound[from + i] += size * low * (t / 0.04) * Math.Exp(1 - t / 0.04);
        }
    }

    private static byte[] Pack(double[] sound)
    {
        var bytes = new byte[44 + 2 * sound.Length];
        using var w = new BinaryWriter(new MemoryStream(bytes));
        w.Write("RIFF"u8);
        w.Write(bytes.Length - 8);
        w.Write("WAVEfmt "u8);
        w.Write(16);
        w.Write((short)1);
        w.Write((short)1);
        w.Write(Rate);
        w.Write(2 * Rate);
        w.Write((short)2);
        w.Write((short)16);
        w.Write("data"u8);
        w.Write(2 * sound.Length);
        foreach (double v in sound)
        {
            w.Write((short)Math.Clamp(v * 32767, -32767, 32767));
        }

        return bytes;
    }
}
