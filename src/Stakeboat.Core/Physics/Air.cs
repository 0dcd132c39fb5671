using Stakeboat.Core.Units;

namespace Stakeboat.Core.Physics;

/// <summary>Moist air near the ground.</summary>
public static class Air
{
    /// <summary>Standard atmosphere at sea level, hPa (ISO 2533).</summary>
    public const double StandardPressure = 1013.25;

    /// <summary>
    /// Density, kg/m³: CIPM-2007 short form (OIML R 111, E.3), 600 to 1100 hPa, 10 to 30 C, under 80 %, stated to 2e-4; from memory.
    /// </summary>
    /// <param name="pressure">hPa.</param>
    /// <param name="humidity">Relative humidity, %.</param>
    public static double Density(Temperature t, double pressure = StandardPressure, double humidity = 50) =>
        (0.34848 * pressure - 0.009 * humidity * Math.Exp(0.061 * t.Celsius)) / (273.15 + t.Celsius);

    /// <summary>Density of a mixture of ideal gases, kg/m³: 287.05 and 461.495 J/kg/K, vapour pressure by Buck 1996. Agrees with the short form to 4e-4.</summary>
    public static double IdealGasDensity(Temperature t, double pressure = StandardPressure, double humidity = 50)
    {
        double c = t.Celsius;
        double vapour = humidity / 100 * 6.1121 * Math.Exp((18.678 - c / 234.5) * (c / (257.14 + c)));
        return 100 * ((pressure - vapour) / (287.05 * t.Kelvin) + vapour / (461.495 * t.Kelvin));
    }

    /// <summary>Kinematic viscosity of dry air, m²/s: Sutherland's law as in ISO 2533; 15 C gives 1.4607e-5.</summary>
    public static double KinematicViscosity(Temperature t, double pressure = StandardPressure) =>
        1.458e-6 * Math.Pow(t.Kelvin, 1.5) / (t.Kelvin + 110.4) / IdealGasDensity(t, pressure, 0);
}

/// <summary>Wind at a height and its parts along and across a course.</summary>
public static class Wind
{
    /// <summary>Height at which a crew feels the wind, m: common practice, no source.</summary>
    public const double CrewHeight = 0.8;

    /// <summary>Roughness of smooth open water, m.</summary>
    public const double SmoothWater = 0.0002;

    /// <summary>
    /// Factor from the wind at one height to another by the logarithmic profile ln(z/z0)/ln(zr/z0), neutral air. 0.8 m from 10 m over smooth
    /// water: 0.767. A bank or trees can halve it.
    /// </summary>
    public static double LogProfile(Distance height, Distance reference, double roughnessMetres = SmoothWater)
    {
        ArgumentOutOfRangeException.ThrowIfLessThanOrEqual(height.Metres, roughnessMetres);
        ArgumentOutOfRangeException.ThrowIfLessThanOrEqual(reference.Metres, roughnessMetres);
        return Math.Log(height.Metres / roughnessMetres) / Math.Log(reference.Metres / roughnessMetres);
    }

    /// <summary>Power law (z/zr)^p; p = 1/11.5 over water gives 0.803 for 0.8 m from 10 m.</summary>
    public static double PowerLaw(Distance height, Distance reference, double exponent = 1 / 11.5) => Math.Pow(height / reference, exponent);

    /// <summary>The wind a crew feels from the wind at 10 m: log profile over smooth water, factor 0.767 (0.75 ± 0.08 in practice).</summary>
    public static double AtCrew(double at10) => at10 * LogProfile(Distance.FromMetres(CrewHeight), Distance.FromMetres(10));

    /// <summary>
    /// Angle of a wind to a course: 0 head, 180 tail, degrees in [0, 180].
    /// </summary>
    /// <param name="from">Where the wind blows from.</param>
    /// <param name="heading">From start to finish.</param>
    public static Angle ToCourse(Bearing from, Bearing heading) => Angle.FromDegrees(Math.Abs(heading.To(from).Degrees));

    /// <summary>Part along the course, m/s; head wind positive.</summary>
    public static double HeadPart(double speed, Angle toCourse) => speed * Math.Cos(toCourse.Radians);

    /// <summary>
    /// Mean head part and mean cross part of a steady wind over a course that bends, weighted by length.
    /// </summary>
    public static (double Head, double Cross) AlongBends(double speed, Bearing from, IReadOnlyList<(Distance Length, Bearing Heading)> reaches)
    {
        double head = 0, cross = 0, length = 0;
        foreach (var (l, heading) in reaches)
        {
            double a = ToCourse(from, heading).Radians;
            head += l.Metres * speed * Math.Cos(a);
            cross += l.Metres * speed * Math.Sin(a);
            length += l.Metres;
        }

        return (head / length, cross / length);
    }
}
