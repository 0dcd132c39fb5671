using Stakeboat.Core.Measurement;
using Stakeboat.Readers.Motion;
using Stakeboat.Readers.Tracks;

namespace Stakeboat.Readers.Fuzz;

/// <summary>What every reading promises, whatever the file was. Each method throws <see cref="BrokenPromiseException"/> where one is broken and gives back a number for the shape of what was found.</summary>
public static class Promises
{
    public static int Track(Track t)
    {
        int segment = int.MinValue;
        double last = double.NegativeInfinity;
        foreach (var f in t.Fixes)
        {
            Keep(Math.Abs(f.LatitudeDegrees) <= 90 && f.LongitudeDegrees is >= -180 and < 180, "a fix lies on the globe");
            Keep(Finite(f.AltitudeMetres) && Finite(f.SpeedMps) && Finite(f.CourseDegrees) && Finite(f.HorizontalDilution) && Finite(f.AccuracyMetres) && Finite(f.HeartRate) && Finite(f.Cadence), "what a fix has is finite");
            Keep(f.Segment >= segment, "segments follow each other");
            if (f.Segment != segment)
            {
                (segment, last) = (f.Segment, double.NegativeInfinity);
            }

            if (f.Time is { } time)
            {
                Keep(double.IsFinite(time.Seconds) && time.Seconds > last, "within a segment time goes forward");
                last = time.Seconds;
            }
        }

        return Math.Min(8, t.Fixes.Count);
    }

    public static int Motion(MotionLog m)
    {
        double[]?[] columns = [m.Seconds, m.AccelerationX, m.AccelerationY, m.AccelerationZ, m.RotationX, m.RotationY, m.RotationZ];
        foreach (var c in columns)
        {
            Keep(c is null || c.Length == m.Count, "columns are of one length");
        }

        for (int i = 0; i < m.Count; i++)
        {
            Keep(double.IsFinite(m.Seconds[i]) && double.IsFinite(m.AccelerationX[i]) && double.IsFinite(m.AccelerationY[i]) && double.IsFinite(m.AccelerationZ[i]), "samples are finite");
            Keep(i == 0 || m.Seconds[i] > m.Seconds[i - 1], "the log's time goes forward");
        }

        return 16 + Math.Min(8, m.Count);
    }

    public static int File(TrackFile f) => f.Tracks.Sum(Track) + f.Motions.Sum(Motion) + (32 * Math.Min(4, f.Places.Count)) + (256 * Math.Min(4, f.Laps.Count)) + Places(f.Places);

    public static int Log(LogFile f)
    {
        Keep(f.Motion is not null || f.Track is not null || f.Turning is not null, "a log that was read holds something");
        return (f.Motion is { } m ? Motion(m) : 0) + (f.Track is { } t ? Track(t) : 0) + (((int)f.Layout.Time + (8 * (int)f.Layout.Acceleration)) << 8);
    }

    public static int Captions(CaptionTrack t)
    {
        double last = double.NegativeInfinity;
        foreach (var c in t.Cues)
        {
            Keep(double.IsFinite(c.Start.Seconds) && c.Start.Seconds >= last && c.End.Seconds >= c.Start.Seconds && double.IsFinite(c.End.Seconds), "cues are in order and end after they begin");
            Keep(c.Text.Length > 0, "a cue has words");
            last = c.Start.Seconds;
            foreach (var w in c.Words)
            {
                Keep(double.IsFinite(w.Start.Seconds) && w.End.Seconds >= w.Start.Seconds && w.Probability is null or >= 0 and <= 1, "words end after they begin, with a probability from 0 to 1");
            }
        }

        return Math.Min(8, t.Cues.Count) + (t.Cues.Any(c => c.Words.Count > 0) ? 16 : 0) + (t.Cues.Any(c => c.Voice is not null) ? 32 : 0);
    }

    public static int Result(ResultSheet r)
    {
        foreach (var row in r.Rows)
        {
            Keep(row.Crew.Length > 0, "a row has a crew");
            for (int i = 0; i < row.Times.Count; i++)
            {
                Keep(row.Times[i].Time.Seconds > 0 && double.IsFinite(row.Times[i].Time.Seconds) && (i == 0 || (row.Times[i].Mark > row.Times[i - 1].Mark && row.Times[i].Time.Seconds > row.Times[i - 1].Time.Seconds)), "times grow from mark to mark");
            }
        }

        return Math.Min(8, r.Rows.Count) + (8 * Math.Min(4, r.Rows.Max(x => x.Times.Count)));
    }

    public static int Places(IEnumerable<NamedPlace> places)
    {
        foreach (var p in places)
        {
            Keep(Math.Abs(p.LatitudeDegrees) <= 90 && p.LongitudeDegrees is >= -180 and <= 180, "a place lies on the globe");
        }

        return 0;
    }

    public static int Contents(FileContents f)
    {
        int shape = (int)f.Kind << 12;
        foreach (var p in f.Flatten())
        {
            shape += p.Tracks.Sum(Track) + p.Motions.Sum(Motion) + Places(p.Places) + (p.Captions is { } c ? Captions(c) : 0) + (p.Result is { } r ? Result(r) : 0);
            foreach (var l in p.Lines)
            {
                Keep(l.Points.All(x => Math.Abs(x.LatitudeDegrees) <= 90 && x.LongitudeDegrees is >= -180 and <= 180), "a line lies on the globe");
            }
        }

        return shape;
    }

    /// <summary>Every sample of a recording, finite and of sensible size.</summary>
    public static int Sound(Sound.SoundReader? reader)
    {
        if (reader is null)
        {
            return 0;
        }

        Span<float> block = stackalloc float[2048];
        long count = 0;
        int n;
        while ((n = reader.Read(block)) > 0)
        {
            foreach (float v in block[..n])
            {
                Keep(Math.Abs(v) <= 1000, "samples are finite");
            }

            count += n;
        }

        Keep(reader.DurationSeconds is null or >= 0 and < 1e12, "a length is none or sensible");
        return (int)Math.Min(count / 64, 64) + (reader.Channels << 8);
    }

    public static void Keep(bool kept, string what)
    {
        if (!kept)
        {
            throw new BrokenPromiseException(what);
        }
    }

    private static bool Finite(double? v) => v is null || double.IsFinite(v.Value);
}

/// <summary>A reading that broke a promise.</summary>
public sealed class BrokenPromiseException(string what) : Exception("Broken promise: " + what + ".");
