using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Simulation.Racing;

namespace Stakeboat.Simulation.Sensors;

/// <summary>Turns a true path into fixes.</summary>
internal static class SatelliteRecorder
{
    /// <param name="aft">The receiver lies so far aft of the bow ball, m.</param>
    /// <param name="end">Last second of the recording.</param>
    public static Track Record(SatelliteSensor s, HullPath path, CoursePlane plane, double aft,
        ClockMap<RecordingClock, SatelliteClock> clock, double end, Dice dice)
    {
        var toRecording = clock.Inverse();
        var east = new SlowNoise(dice.For("east"), s.SlowSd, s.SlowMemory);
        var north = new SlowNoise(dice.For("north"), s.SlowSd, s.SlowMemory);
        var white = dice.For("white");
        var spikes = dice.For("spikes");
        var gaps = dice.For("gaps");
        var fixes = new List<Fix>();
        double step = 1 / s.Hertz;

        // Receivers fix on round fractions of true seconds.
        double first = Math.Ceiling(clock.Map(Instant<RecordingClock>.FromSeconds(path.From)).Seconds * s.Hertz);
        double gapUntil = double.NegativeInfinity;
        for (int i = 0; ; i++)
        {
            double sat = (first + i) / s.Hertz;
            double t = toRecording.Map(Instant<SatelliteClock>.FromSeconds(sat)).Seconds;
            if (t > end)
            {
                break;
            }

            var (along, across) = path.PlaceAt(t);
            double h = path.HeadingAt(t);
            along -= aft * Math.Cos(h);
            across -= aft * Math.Sin(h);
            along += north.At(t) + s.WhiteSd * white.Normal();
            across += east.At(t) + s.WhiteSd * white.Normal();
            if (spikes.Chance(s.SpikeShare))
            {
                double r = spikes.Between(8, 40), a = spikes.Between(0, 2 * Math.PI);
                along += r * Math.Cos(a);
                across += r * Math.Sin(a);
            }

            double? speed = null;
            if (s.SpeedSd is { } sd)
            {
                double wrong = spikes.Chance(s.SpeedSpikeShare) ? spikes.Between(1.5, 6) * (spikes.Chance(0.5) ? 1 : -1) : 0;
                speed = Math.Max(0, Math.Abs(path.SpeedAt(t)) + sd * white.Normal() + wrong);
            }

            if (gaps.Chance(s.GapsPerHour / 3600 * step))
            {
                gapUntil = t + gaps.Between(4, 12);
            }

            if (t < gapUntil)
            {
                continue;
            }

            var (lat, lon) = plane.ToDegrees(along, across);
            fixes.Add(new Fix(Instant<SatelliteClock>.FromSeconds(sat), lat, lon, 214, speed));
        }

        return new Track("track.gpx", fixes);
    }
}
