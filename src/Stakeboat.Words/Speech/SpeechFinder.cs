using Stakeboat.Readers.Sound;

namespace Stakeboat.Words.Speech;

/// <summary>A stretch of a recording in which somebody speaks, s.</summary>
public readonly record struct SpeechStretch(double From, double To);

/// <summary>Why a recording holds nothing to recognise.</summary>
public enum SoundVerdict
{
    Speech,

    /// <summary>Nothing louder than the recorder's own noise.</summary>
    Silence,

    /// <summary>Loud without the pauses and syllables of speech: an engine, wind, a steady noise.</summary>
    NoSpeech,

    /// <summary>What stands out of the background is tones that are held: music.</summary>
    Music,
}

/// <summary>Where speech is, and where the race is likely to be.</summary>
/// <param name="Seconds">Length of the recording.</param>
/// <param name="Centre">Middle of the busiest eight minutes: where recognition begins, s.</param>
/// <param name="HeldShare">Share of what stands out of the background that is held tones.</param>
/// <param name="HighShare">Share of the loud part's power that lies above 5 kHz.</param>
public sealed record SpeechMap(
    double Seconds, SoundVerdict Verdict, IReadOnlyList<SpeechStretch> Stretches, double Centre, double HeldShare = 0, double HighShare = 1)
{
    /// <summary>Nothing lies above 4 kHz: the sound went through a telephone or something like it.</summary>
    public bool LikeATelephone => HighShare < 1e-5;
}

/// <summary>
/// Speech found in noise by its energy between 300 and 3400 Hz against a noise floor that follows the quietest tenth of the last 10 s
/// (after the minimum statistics of Martin 2001, simplified), with hysteresis: on at 6 dB above the floor, off at 3 dB.
/// Keeps 100 numbers a second: a 90-minute recording takes 2 MB.
/// </summary>
public static class SpeechFinder
{
    private const double FramesPerSecond = 100, OnDb = 6, OffDb = 3;

    /// <summary>Speech holds less of its tones than this: see docs/words/accuracy.md for what the labelled recordings hold.</summary>
    private const double MostHeld = 0.6;

    /// <summary>Longest stretch that is recognised in one go, s.</summary>
    public const double LongestStretch = 28;

    private const double JoinGap = 0.6, Pad = 0.3, Shortest = 0.15;

    /// <summary>Reads the recording once.</summary>
    /// <param name="reader">At 16 kHz from its beginning.</param>
    public static SpeechMap Find(SoundReader reader, Action<double>? progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(reader);
        var db = new List<float>();
        var band = new BandPower(reader.SampleRate);
        var tones = new HeldTones();
        var high = new HighPower(reader.SampleRate);
        var highs = new List<float>();
        double highSum = 0;
        int frame = (int)(reader.SampleRate / FramesPerSecond), inFrame = 0;
        double sum = 0;
        var block = new float[4096];
        long total = 0;
        int n;
        while ((n = reader.Read(block)) > 0)
        {
            cancel.ThrowIfCancellationRequested();
            for (int i = 0; i < n; i++)
            {
                double y = band.Next(block[i]);
                sum += y * y;
                tones.Next(y);
                double h = high.Next(block[i]);
                highSum += h * h;
                if (++inFrame == frame)
                {
                    db.Add((float)(10 * Math.Log10(sum / frame + 1e-12)));
                    highs.Add((float)(highSum / frame));
                    (inFrame, sum, highSum) = (0, 0, 0);
                }
            }

            total += n;
            if (reader.DurationSeconds is > 0 and var length)
            {
                progress?.Invoke(Math.Min(1, total / (double)reader.SampleRate / length));
            }
        }

        return Map(db, tones.Frames, highs, total / (double)reader.SampleRate);
    }

    private static SpeechMap Map(List<float> db, IReadOnlyList<bool> held, List<float> highs, double seconds)
    {
        var speaking = new bool[db.Count];
        float[] floor = Floor(db);
        bool on = false;
        int active = 0, loud = 0, tones = 0;
        double low = 1e-12, high = 0;
        for (int i = 0; i < db.Count; i++)
        {
            double above = db[i] - floor[i];
            on = on ? above > OffDb : above > OnDb;
            // Below -75 dB of full scale there is only the recorder.
            speaking[i] = on && db[i] > -75;
            active += speaking[i] ? 1 : 0;
            tones += speaking[i] && i / 2 < held.Count && held[i / 2] ? 1 : 0;
            if (speaking[i])
            {
                low += Math.Pow(10, db[i] / 10);
                high += highs[i];
            }

            loud += db[i] > -75 ? 1 : 0;
        }

        var stretches = Stretches(speaking, seconds);
        double heldShare = tones / (double)Math.Max(1, active);
        var verdict = loud < 0.02 * db.Count ? SoundVerdict.Silence
            : stretches.Count == 0 || active < 0.005 * db.Count ? SoundVerdict.NoSpeech
            : heldShare > MostHeld ? SoundVerdict.Music
            : SoundVerdict.Speech;
        return new SpeechMap(seconds, verdict, verdict == SoundVerdict.Speech ? stretches : [], Centre(speaking, seconds), heldShare, high / low);
    }

    /// <summary>Stretches in the order of their distance from the centre, so that words appear from the race outwards.</summary>
    public static IReadOnlyList<SpeechStretch> FromCentre(SpeechMap map)
    {
        ArgumentNullException.ThrowIfNull(map);
        return [.. map.Stretches.OrderBy(s => Math.Abs(0.5 * (s.From + s.To) - map.Centre))];
    }

    private static float[] Floor(IReadOnlyList<float> db)
    {
        // The tenth percentile of 10 s, taken every half second and held in between.
        const int window = 1000, hop = 50;
        var floor = new float[db.Count];
        var sorted = new float[window];
        for (int at = 0; at < db.Count; at += hop)
        {
            int from = Math.Max(0, Math.Min(at - window / 2, db.Count - window)), count = Math.Min(window, db.Count - from);
            for (int i = 0; i < count; i++)
            {
                sorted[i] = db[from + i];
            }

            Array.Sort(sorted, 0, count);
            float value = sorted[count / 10];
            for (int i = at; i < Math.Min(db.Count, at + hop); i++)
            {
                floor[i] = value;
            }
        }

        return floor;
    }

    private static List<SpeechStretch> Stretches(bool[] speaking, double seconds)
    {
        var raw = new List<SpeechStretch>();
        int from = -1;
        for (int i = 0; i <= speaking.Length; i++)
        {
            bool s = i < speaking.Length && speaking[i];
            if (s && from < 0)
            {
                from = i;
            }
            else if (!s && from >= 0)
            {
                if ((i - from) / FramesPerSecond >= Shortest)
                {
                    raw.Add(new SpeechStretch(from / FramesPerSecond, i / FramesPerSecond));
                }

                from = -1;
            }
        }

        var joined = new List<SpeechStretch>();
        foreach (var s in raw)
        {
            var padded = new SpeechStretch(Math.Max(0, s.From - Pad), Math.Min(seconds, s.To + Pad));
            if (joined.Count > 0 && padded.From - joined[^1].To < JoinGap && padded.To - joined[^1].From <= LongestStretch)
            {
                joined[^1] = joined[^1] with { To = padded.To };
            }
            else if (joined.Count > 0 && padded.From < joined[^1].To)
            {
                joined.Add(padded with { From = joined[^1].To });
            }
            else
            {
                joined.Add(padded);
            }
        }

        // What is still too long (noise throughout) is cut evenly.
        var cut = new List<SpeechStretch>();
        foreach (var s in joined)
        {
            int parts = (int)Math.Ceiling((s.To - s.From) / LongestStretch);
            for (int k = 0; k < parts; k++)
            {
                cut.Add(new SpeechStretch(s.From + k * (s.To - s.From) / parts, s.From + (k + 1) * (s.To - s.From) / parts));
            }
        }

        return cut;
    }

    private static double Centre(bool[] speaking, double seconds)
    {
        int window = (int)Math.Min(480 * FramesPerSecond, speaking.Length), sum = 0, best = -1, bestAt = 0;
        for (int i = 0; i < speaking.Length; i++)
        {
            sum += speaking[i] ? 1 : 0;
            if (i >= window)
            {
                sum -= speaking[i - window] ? 1 : 0;
            }

            if (i >= window - 1 && sum > best)
            {
                (best, bestAt) = (sum, i);
            }
        }

        return window == 0 ? seconds / 2 : (bestAt + 1 - window / 2.0) / FramesPerSecond;
    }

    /// <summary>Above 5 kHz, by four sections of second order.</summary>
    private sealed class HighPower(int rate)
    {
        private readonly double[] _s = BandPower.Section(5000.0 / rate, high: true);
        private readonly double[] _z = new double[8];

        public double Next(double x)
        {
            for (int k = 0; k < _z.Length; k += 2)
            {
                double y = _s[0] * x + _z[k];
                _z[k] = _s[1] * x - _s[3] * y + _z[k + 1];
                _z[k + 1] = _s[2] * x - _s[4] * y;
                x = y;
            }

            return x;
        }
    }

    /// <summary>300 to 3400 Hz by a high- and a low-pass of second order each (Butterworth, bilinear).</summary>
    private sealed class BandPower
    {
        private readonly double[] _h, _l;
        private double _h1, _h2, _l1, _l2;

        public BandPower(int rate)
        {
            _h = Section(300.0 / rate, high: true);
            _l = Section(Math.Min(3400.0, 0.45 * rate) / rate, high: false);
        }

        public double Next(double x)
        {
            double y = _h[0] * x + _h1;
            _h1 = _h[1] * x - _h[3] * y + _h2;
            _h2 = _h[2] * x - _h[4] * y;
            double z = _l[0] * y + _l1;
            _l1 = _l[1] * y - _l[3] * z + _l2;
            _l2 = _l[2] * y - _l[4] * z;
            return z;
        }

        public static double[] Section(double corner, bool high)
        {
            double w = Math.Tan(Math.PI * corner), q = Math.Sqrt(2), n = 1 / (1 + q * w + w * w);
            double a1 = 2 * (w * w - 1) * n, a2 = (1 - q * w + w * w) * n;
            return high ? [n, -2 * n, n, a1, a2] : [w * w * n, 2 * w * w * n, w * w * n, a1, a2];
        }
    }
}
