using Stakeboat.Core.Units;

namespace Stakeboat.Core.Time;

/// <summary>Marks a type as the name of a clock. A clock has no instances: it only keeps instants apart.</summary>
public interface IClock;

/// <summary>Seconds since the first sample of a sound recording, or the zero of a caption file made from it.</summary>
public sealed class RecordingClock : IClock { private RecordingClock() { } }

/// <summary>Seconds on the time column of a motion log, whatever its zero.</summary>
public sealed class MotionClock : IClock { private MotionClock() { } }

/// <summary>Seconds since 1970-01-01T00:00:00Z as satellites and watches give it (leap seconds skipped, as POSIX does).</summary>
public sealed class SatelliteClock : IClock { private SatelliteClock() { } }

/// <summary>Seconds since the first sample of an outing's main sensor: its motion log where there is one, else its track.</summary>
public sealed class SensorClock : IClock { private SensorClock() { } }

/// <summary>Seconds since the word "go"; negative before the start.</summary>
public sealed class RaceClock : IClock { private RaceClock() { } }

/// <summary>A moment on one clock. Two moments of different clocks neither compare nor subtract; a <see cref="ClockMap{TFrom,TTo}"/> joins them.</summary>
public readonly record struct Instant<TClock> : IComparable<Instant<TClock>>
    where TClock : IClock
{
    private Instant(double seconds) => Seconds = seconds;

    public double Seconds { get; }

    public static Instant<TClock> FromSeconds(double seconds) => new(seconds);

    public int CompareTo(Instant<TClock> other) => Seconds.CompareTo(other.Seconds);

    public static Duration operator -(Instant<TClock> a, Instant<TClock> b) => Duration.FromSeconds(a.Seconds - b.Seconds);
    public static Instant<TClock> operator +(Instant<TClock> a, Duration d) => new(a.Seconds + d.Seconds);
    public static Instant<TClock> operator -(Instant<TClock> a, Duration d) => new(a.Seconds - d.Seconds);
    public static bool operator <(Instant<TClock> a, Instant<TClock> b) => a.Seconds < b.Seconds;
    public static bool operator >(Instant<TClock> a, Instant<TClock> b) => a.Seconds > b.Seconds;
}

/// <summary>
/// How one clock reads on another: to = Anchor + Offset + (1 + Drift)(from - Anchor), all in seconds.
/// </summary>
/// <param name="Offset">to - from at the anchor, s.</param>
/// <param name="Drift">Rate difference, s per s (1e-5 is 0.86 s a day).</param>
/// <param name="Anchor">The instant on the first clock at which Offset holds, s.</param>
/// <param name="OffsetSd">Standard deviation of Offset, s.</param>
/// <param name="DriftSd">Standard deviation of Drift, s per s; independent of Offset at the anchor.</param>
/// <param name="Origin">How it was found, in a short word for the edge to translate: "given", "pinned", "correlation", "assumed".</param>
public readonly record struct ClockMap<TFrom, TTo>(double Offset, double Drift, double Anchor, double OffsetSd, double DriftSd, string Origin)
    where TFrom : IClock
    where TTo : IClock
{
    public static ClockMap<TFrom, TTo> FromOffset(double offset, double sd, string origin) => new(offset, 0, 0, sd, 0, origin);

    public Instant<TTo> Map(Instant<TFrom> from) => Instant<TTo>.FromSeconds(from.Seconds + Offset + Drift * (from.Seconds - Anchor));

    /// <summary>Standard deviation of a mapped instant, s.</summary>
    public double SdAt(Instant<TFrom> from)
    {
        double d = DriftSd * (from.Seconds - Anchor);
        return Math.Sqrt(OffsetSd * OffsetSd + d * d);
    }

    /// <summary>The same relation read the other way; exact for the mean.</summary>
    public ClockMap<TTo, TFrom> Inverse()
    {
        double k = 1 / (1 + Drift);
        return new ClockMap<TTo, TFrom>(-Offset, k - 1, Anchor + Offset, OffsetSd * k, DriftSd * k * k, Origin);
    }

    public ClockMap<TFrom, TNext> Then<TNext>(ClockMap<TTo, TNext> next)
        where TNext : IClock
    {
        double mid = Anchor + Offset;
        double offset = Offset + next.Offset + next.Drift * (mid - next.Anchor);
        double drift = ((1 + Drift) * (1 + next.Drift)) - 1;
        double atMid = next.SdAt(Instant<TTo>.FromSeconds(mid));
        return new ClockMap<TFrom, TNext>(offset, drift, Anchor, Math.Sqrt(OffsetSd * OffsetSd + atMid * atMid),
            Math.Sqrt(DriftSd * DriftSd + next.DriftSd * next.DriftSd), Origin == next.Origin ? Origin : $"{Origin}, {next.Origin}");
    }
}
