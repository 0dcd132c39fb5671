using Stakeboat.Core.Units;

namespace Stakeboat.Core.Physics;

/// <summary>Water, air and wind of a race.</summary>
/// <param name="Water">Temperature of the water.</param>
/// <param name="Air">Temperature of the air.</param>
/// <param name="WindSpeed">At the crew's height, m/s.</param>
/// <param name="WindAngle">To the course: 0 head, 180 tail.</param>
/// <param name="Salinity">g/kg; 0 fresh.</param>
/// <param name="Pressure">hPa.</param>
/// <param name="Humidity">%.</param>
/// <param name="Stream">Of the water along the course, m/s, positive with the crew.</param>
/// <param name="Depth">m; null for deep.</param>
public sealed record Conditions(
    Temperature Water, Temperature Air, double WindSpeed = 0, Angle WindAngle = default, double Salinity = 0,
    double Pressure = Physics.Air.StandardPressure, double Humidity = 50, double Stream = 0, double? Depth = null)
{
    /// <summary>Fresh water and air at 20 C, calm, deep: where reference speeds are stated.</summary>
    public static Conditions Reference { get; } = new(Temperature.FromCelsius(20), Temperature.FromCelsius(20));

    /// <summary>Reference conditions with a wind along the course; head wind positive, m/s at crew height.</summary>
    public static Conditions WithHeadWind(double headWind) =>
        Reference with { WindSpeed = Math.Abs(headWind), WindAngle = Angle.FromDegrees(headWind < 0 ? 180 : 0) };

    public double AirDensity => Physics.Air.Density(Air, Pressure, Humidity);

    public Fluid WaterFluid => Physics.Water.Of(Water, Salinity);
}

/// <summary>How the air's pull along the course is made of the wind's two parts. The two bracket the truth in a cross wind.</summary>
public enum AirForm
{
    /// <summary>½ rho CdA |Va| Va,x: a bluff body in the whole wind.</summary>
    Coupled,

    /// <summary>½ rho CdA |Va,x| Va,x: the part along the course alone.</summary>
    Uncoupled,
}

/// <summary>Resistance of the air on boat and crew.</summary>
public static class AirDrag
{
    /// <summary>Force against the boat, N; negative where a tail wind pushes.</summary>
    /// <param name="groundSpeed">Of the boat over ground, m/s.</param>
    /// <param name="dragArea">CdA, m².</param>
    public static double Force(double groundSpeed, double windSpeed, Angle windAngle, double airDensity, double dragArea, AirForm form)
    {
        double x = groundSpeed + windSpeed * Math.Cos(windAngle.Radians);
        double y = windSpeed * Math.Sin(windAngle.Radians);
        double size = form == AirForm.Coupled ? Math.Sqrt(x * x + y * y) : Math.Abs(x);
        return 0.5 * airDensity * dragArea * size * x;
    }

    /// <summary>
    /// Extra force where blades are squared early, N: n ½ rho CdA_b (V + W + u_b)² f. Blade 0.1375 m² times 1.2 (sample dimensions of an eight,
    /// Br J Sports Med), blade speed u_b 4 to 6 m/s, share of the time 0.25: engineering estimates.
    /// </summary>
    public static double EarlySquaring(int blades, double groundSpeed, double headWind, double airDensity, double bladeSpeed = 5, double share = 0.25)
    {
        double v = groundSpeed + headWind + bladeSpeed;
        return blades * 0.5 * airDensity * 0.1375 * 1.2 * v * v * share;
    }
}
