namespace Stakeboat.Readers.Sound;

/// <summary>Energy of the sound in four bands, a hundred frames a second: what an onset detector needs, at a hundredth of the samples.</summary>
/// <param name="FramesPerSecond">100.</param>
/// <param name="StartSeconds">Second of the recording at which frame 0 begins.</param>
/// <param name="Bands">Mean square in each band by frame: below 300 Hz, 300 to 1000 Hz, 1 to 3 kHz, above 3 kHz.</param>
/// <param name="Onset">Sum over the bands of the half-wave rectified growth of the log energy, in nepers of amplitude squared; 0 in frame 0.</param>
public sealed record SoundEnvelope(double FramesPerSecond, double StartSeconds, float[][] Bands, float[] Onset)
{
    private static readonly double[] s_edges = [300, 1000, 3000];

    /// <summary>Floor of the mean square before the logarithm: -90 dB of full scale.</summary>
    private const double Floor = 1e-9;

    /// <summary>Reads a recording to its end. The reader should give 16 kHz.</summary>
    public static SoundEnvelope From(SoundReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        int hop = Math.Max(1, reader.SampleRate / 100);
        var filters = new Splitter(reader.SampleRate);
        var bands = new List<float>[4];
        for (int b = 0; b < 4; b++)
        {
            bands[b] = new List<float>(reader.DurationSeconds is { } d and < 1e6 ? (int)(d * 100) + 2 : 1024);
        }

        var onset = new List<float>();
        var block = new float[hop];
        Span<double> sums = stackalloc double[4];
        int n;
        while ((n = reader.Read(block)) > 0)
        {
            sums.Clear();
            filters.Add(block.AsSpan(0, n), sums);
            double grow = 0;
            for (int b = 0; b < 4; b++)
            {
                float e = (float)(sums[b] / n);
                if (bands[b].Count > 0)
                {
                    grow += Math.Max(0, Math.Log((e + Floor) / (bands[b][^1] + Floor)));
                }

                bands[b].Add(e);
            }

            onset.Add((float)grow);
        }

        return new SoundEnvelope((double)reader.SampleRate / hop, reader.StartSeconds, [.. bands.Select(b => b.ToArray())], [.. onset]);
    }

    // Three low-passes of second order (bilinear Butterworth), the bands by difference of neighbours.
    private sealed class Splitter
    {
        private readonly (double B, double A1, double A2)[] _f = new (double, double, double)[3];
        private readonly double[] _s1 = new double[3];
        private readonly double[] _s2 = new double[3];

        public Splitter(int rate)
        {
            for (int i = 0; i < 3; i++)
            {
                double k = Math.Tan(Math.PI * Math.Min(s_edges[i] / rate, 0.45)), q = Math.Sqrt(0.5), d = 1 + (k / q) + (k * k);
                _f[i] = (k * k / d, 2 * ((k * k) - 1) / d, (1 - (k / q) + (k * k)) / d);
            }
        }

        public void Add(ReadOnlySpan<float> x, Span<double> sums)
        {
            foreach (float v in x)
            {
                double below = 0;
                for (int i = 0; i < 3; i++)
                {
                    var (b, a1, a2) = _f[i];
                    double y = (b * v) + _s1[i];
                    _s1[i] = (2 * b * v) - (a1 * y) + _s2[i];
                    _s2[i] = (b * v) - (a2 * y);
                    double band = y - below;
                    sums[i] += band * band;
                    below = y;
                }

                double top = v - below;
                sums[3] += top * top;
            }
        }
    }
}
