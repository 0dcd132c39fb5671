using System.Globalization;

namespace Stakeboat.Core.Units;

/// <summary>A length along the water or a dimension of a hull, in metres. Positive along the course: from start to finish.</summary>
public readonly record struct Distance : IComparable<Distance>
{
    private Distance(double metres) => Metres = metres;

    public double Metres { get; }

    public static Distance FromMetres(double metres) => new(metres);

    /// <summary>International foot, 0.3048 m exactly (1959 agreement).</summary>
    public static Distance FromFeet(double feet) => new(feet * 0.3048);

    public static Distance Zero => default;

    public int CompareTo(Distance other) => Metres.CompareTo(other.Metres);

    public static Distance operator +(Distance a, Distance b) => new(a.Metres + b.Metres);
    public static Distance operator -(Distance a, Distance b) => new(a.Metres - b.Metres);
    public static Distance operator -(Distance a) => new(-a.Metres);
    public static Distance operator *(Distance a, double k) => new(a.Metres * k);
    public static double operator /(Distance a, Distance b) => a.Metres / b.Metres;
    public static SpeedOverGround operator /(Distance a, Duration b) => SpeedOverGround.FromMetresPerSecond(a.Metres / b.Seconds);
    public static bool operator <(Distance a, Distance b) => a.Metres < b.Metres;
    public static bool operator >(Distance a, Distance b) => a.Metres > b.Metres;
    public static bool operator <=(Distance a, Distance b) => a.Metres <= b.Metres;
    public static bool operator >=(Distance a, Distance b) => a.Metres >= b.Metres;
}

/// <summary>A span of time in seconds, on no particular clock.</summary>
public readonly record struct Duration : IComparable<Duration>
{
    private Duration(double seconds) => Seconds = seconds;

    public double Seconds { get; }

    public double Minutes => Seconds / 60;

    public static Duration FromSeconds(double seconds) => new(seconds);

    public static Duration FromMinutes(double minutes) => new(minutes * 60);

    public int CompareTo(Duration other) => Seconds.CompareTo(other.Seconds);

    public static Duration operator +(Duration a, Duration b) => new(a.Seconds + b.Seconds);
    public static Duration operator -(Duration a, Duration b) => new(a.Seconds - b.Seconds);
    public static Duration operator *(Duration a, double k) => new(a.Seconds * k);
    public static bool operator <(Duration a, Duration b) => a.Seconds < b.Seconds;
    public static bool operator >(Duration a, Duration b) => a.Seconds > b.Seconds;
}

/// <summary>Speed of the hull relative to the bank, m/s, positive along the course. What satellites and official splits measure.</summary>
public readonly record struct SpeedOverGround : IComparable<SpeedOverGround>
{
    private SpeedOverGround(double metresPerSecond) => MetresPerSecond = metresPerSecond;

    public double MetresPerSecond { get; }

    public static SpeedOverGround FromMetresPerSecond(double value) => new(value);

    /// <summary>Seconds for 500 m at this speed.</summary>
    public Pace ToPace() => Pace.FromSecondsPer500(500 / MetresPerSecond);

    /// <summary>Speed through the water when the water itself runs along the course at <paramref name="streamAlongCourse"/> m/s (positive: with the crew).</summary>
    public SpeedThroughWater ThroughWater(double streamAlongCourse) => SpeedThroughWater.FromMetresPerSecond(MetresPerSecond - streamAlongCourse);

    public int CompareTo(SpeedOverGround other) => MetresPerSecond.CompareTo(other.MetresPerSecond);

    public static Distance operator *(SpeedOverGround v, Duration t) => Distance.FromMetres(v.MetresPerSecond * t.Seconds);
}

/// <summary>Speed of the hull relative to the water, m/s. What drag depends on.</summary>
public readonly record struct SpeedThroughWater : IComparable<SpeedThroughWater>
{
    private SpeedThroughWater(double metresPerSecond) => MetresPerSecond = metresPerSecond;

    public double MetresPerSecond { get; }

    public static SpeedThroughWater FromMetresPerSecond(double value) => new(value);

    /// <summary>Speed over ground when the water runs along the course at <paramref name="streamAlongCourse"/> m/s (positive: with the crew).</summary>
    public SpeedOverGround OverGround(double streamAlongCourse) => SpeedOverGround.FromMetresPerSecond(MetresPerSecond + streamAlongCourse);

    public int CompareTo(SpeedThroughWater other) => MetresPerSecond.CompareTo(other.MetresPerSecond);
}

/// <summary>
/// Seconds per 500 m. Paces have no plus: the mean of two paces is not the pace of the two pieces together.
/// Go through distance and time, as <see cref="Over"/> does.
/// </summary>
public readonly record struct Pace : IComparable<Pace>
{
    private Pace(double secondsPer500) => SecondsPer500 = secondsPer500;

    public double SecondsPer500 { get; }

    public static Pace FromSecondsPer500(double seconds) => new(seconds);

    /// <summary>The pace of a piece: its time for its distance.</summary>
    public static Pace Over(Distance distance, Duration time) => new(500 * time.Seconds / distance.Metres);

    public SpeedOverGround ToSpeed() => SpeedOverGround.FromMetresPerSecond(500 / SecondsPer500);

    /// <summary>A smaller number is faster; the order is that of the seconds.</summary>
    public int CompareTo(Pace other) => SecondsPer500.CompareTo(other.SecondsPer500);
}

/// <summary>Strokes per minute.</summary>
public readonly record struct StrokeRate : IComparable<StrokeRate>
{
    private StrokeRate(double perMinute) => PerMinute = perMinute;

    public double PerMinute { get; }

    public static StrokeRate FromPerMinute(double value) => new(value);

    public static StrokeRate FromPeriod(Duration period) => new(60 / period.Seconds);

    public Duration Period => Duration.FromSeconds(60 / PerMinute);

    public int CompareTo(StrokeRate other) => PerMinute.CompareTo(other.PerMinute);

    /// <summary>Metres per stroke, d = 60 v / r.</summary>
    public Distance PerStroke(SpeedOverGround v) => Distance.FromMetres(60 * v.MetresPerSecond / PerMinute);
}

/// <summary>A turn or an inclination in radians, right-handed about the axis that its user names.</summary>
public readonly record struct Angle
{
    private Angle(double radians) => Radians = radians;

    public double Radians { get; }

    public double Degrees => Radians * (180 / Math.PI);

    public static Angle FromRadians(double value) => new(value);

    public static Angle FromDegrees(double value) => new(value * (Math.PI / 180));
}

/// <summary>A direction over ground in degrees clockwise from true north, in [0, 360). A wind bears where it blows from.</summary>
public readonly record struct Bearing
{
    private Bearing(double degrees) => Degrees = degrees;

    public double Degrees { get; }

    public static Bearing FromDegrees(double value) => new(((value % 360) + 360) % 360);

    /// <summary>Signed turn from this bearing to <paramref name="other"/>, in (-180, 180] degrees, positive clockwise.</summary>
    public Angle To(Bearing other)
    {
        double d = ((other.Degrees - Degrees + 540) % 360) - 180;
        return Angle.FromDegrees(d == -180 ? 180 : d);
    }
}

/// <summary>Mass in kilograms.</summary>
public readonly record struct Mass : IComparable<Mass>
{
    private Mass(double kilograms) => Kilograms = kilograms;

    public double Kilograms { get; }

    public static Mass FromKilograms(double value) => new(value);

    /// <summary>Avoirdupois pound, 0.45359237 kg exactly (1959 agreement).</summary>
    public static Mass FromPounds(double value) => new(value * 0.45359237);

    public int CompareTo(Mass other) => Kilograms.CompareTo(other.Kilograms);

    public static Mass operator +(Mass a, Mass b) => new(a.Kilograms + b.Kilograms);
    public static Mass operator *(Mass a, double k) => new(a.Kilograms * k);
}

/// <summary>Power in watts.</summary>
public readonly record struct Power : IComparable<Power>
{
    private Power(double watts) => Watts = watts;

    public double Watts { get; }

    public static Power FromWatts(double value) => new(value);

    public int CompareTo(Power other) => Watts.CompareTo(other.Watts);

    public static Power operator +(Power a, Power b) => new(a.Watts + b.Watts);
    public static Power operator *(Power a, double k) => new(a.Watts * k);
    public static Energy operator *(Power a, Duration t) => Energy.FromJoules(a.Watts * t.Seconds);
}

/// <summary>Energy in joules.</summary>
public readonly record struct Energy : IComparable<Energy>
{
    private Energy(double joules) => Joules = joules;

    public double Joules { get; }

    public static Energy FromJoules(double value) => new(value);

    public int CompareTo(Energy other) => Joules.CompareTo(other.Joules);

    public static Energy operator +(Energy a, Energy b) => new(a.Joules + b.Joules);
    public static Energy operator -(Energy a, Energy b) => new(a.Joules - b.Joules);
}

/// <summary>Thermodynamic temperature held in degrees Celsius.</summary>
public readonly record struct Temperature
{
    private Temperature(double celsius) => Celsius = celsius;

    public double Celsius { get; }

    public double Kelvin => Celsius + 273.15;

    public static Temperature FromCelsius(double value) => new(value);

    public static Temperature FromFahrenheit(double value) => new((value - 32) / 1.8);
}

/// <summary>
/// A number that was estimated: mean and standard deviation, in the unit that its user names.
/// The 90 % interval is that of a normal distribution, mean ± 1.644854 sd.
/// </summary>
public readonly record struct Estimate(double Mean, double Sd)
{
    /// <summary>Normal quantile at 0.95.</summary>
    public const double Z90 = 1.6448536269514722;

    public double Low90 => Mean - Z90 * Sd;

    public double High90 => Mean + Z90 * Sd;

    /// <summary>False where the 90 % interval covers zero.</summary>
    public bool DistinguishableFromZero => Low90 > 0 || High90 < 0;

    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Mean:0.###} ± {Z90 * Sd:0.###}");
}
