using Stakeboat.Core.Units;

namespace Stakeboat.Core.Physics;

/// <summary>Properties of a fluid at one temperature.</summary>
/// <param name="Density">kg/m³.</param>
/// <param name="DynamicViscosity">Pa s.</param>
public readonly record struct Fluid(double Density, double DynamicViscosity)
{
    /// <summary>m²/s.</summary>
    public double KinematicViscosity => DynamicViscosity / Density;
}

/// <summary>Fresh and sea water at one atmosphere, as ITTC procedure 7.5-02-01-03 rests on them.</summary>
public static class Water
{
    /// <summary>Salinity of standard sea water in that procedure, g/kg.</summary>
    public const double StandardSalinity = 35.16504;

    /// <summary>
    /// Density of fresh water, kg/m³: Tanaka et al. 2001 (Metrologia 38, 301), valid 0 to 40 C, stated to 1e-3 kg/m³.
    /// Coefficients from memory; checked against 999.103 at 15 C and 998.207 at 20 C.
    /// </summary>
    public static double FreshDensity(Temperature t)
    {
        double c = t.Celsius;
        double u = c - 3.983035;
        return 999.974950 * (1 - u * u * (c + 301.797) / (522528.9 * (c + 69.34881)));
    }

    /// <summary>
    /// Viscosity of fresh water, Pa s: IAPWS SR6-08(2011) short form, valid -20 to 110 C, stated to 1 %.
    /// Coefficients from memory; 20 C must give 1.0016 mPa s.
    /// </summary>
    public static double FreshViscosity(Temperature t)
    {
        double r = t.Kelvin / 300;
        return 1e-6 * (280.68 * Math.Pow(r, -1.9) + 511.45 * Math.Pow(r, -7.7) + 61.131 * Math.Pow(r, -19.6) + 0.45903 * Math.Pow(r, -40));
    }

    /// <summary>Fresh water.</summary>
    public static Fluid Fresh(Temperature t) => new(FreshDensity(t), FreshViscosity(t));

    /// <summary>
    /// Water of any salinity from fresh to 42 g/kg. Density: EOS-80 at one atmosphere (Unesco 1981), 0 to 40 C, stated to 4e-3 kg/m³; below
    /// 0.5 g/kg Tanaka's. Viscosity: factor of Sharqawy, Lienhard and Zubair 2010, eq. 22, stated to 1.5 %, on that of fresh water.
    /// </summary>
    /// <param name="salinity">g/kg.</param>
    public static Fluid Of(Temperature t, double salinity)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(salinity);
        if (salinity < 0.5)
        {
            return Fresh(t);
        }

        double s = salinity / 1000;
        double c = t.Celsius;
        double a = 1.541 + 1.998e-2 * c - 9.52e-5 * c * c;
        double b = 7.974 - 7.561e-2 * c + 4.724e-4 * c * c;
        return new Fluid(SeaDensity(t, salinity), FreshViscosity(t) * (1 + a * s + b * s * s));
    }

    /// <summary>Density of sea water at one atmosphere, kg/m³: EOS-80. S = 35, 5 C gives 1027.675.</summary>
    public static double SeaDensity(Temperature temperature, double salinity)
    {
        double t = temperature.Celsius;
        double fresh = 999.842594 + t * (6.793952e-2 + t * (-9.095290e-3 + t * (1.001685e-4 + t * (-1.120083e-6 + t * 6.536332e-9))));
        double a = 0.824493 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9)));
        double b = -5.72466e-3 + t * (1.0227e-4 - t * 1.6546e-6);
        return fresh + a * salinity + b * Math.Pow(salinity, 1.5) + 4.8314e-4 * salinity * salinity;
    }
}
