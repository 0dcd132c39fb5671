using Stakeboat.Core.Physics;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Physics;

public sealed class FluidsPublishedTests
{
    private static Temperature C(double t) => Temperature.FromCelsius(t);

    /// <summary>Columns computed from the formulas on which ITTC 7.5-02-01-03 rests, at their digits; sea S = 35 g/kg.</summary>
    [Theory]
    [InlineData(0, 999.843, 1.7918, 1.7921, 1028.106, 1.8544)]
    [InlineData(5, 999.967, 1.5182, 1.5182, 1027.675, 1.5763)]
    [InlineData(10, 999.703, 1.3059, 1.3063, 1026.952, 1.3605)]
    [InlineData(15, 999.103, 1.1375, 1.1386, 1025.973, 1.1892)]
    [InlineData(20, 998.207, 1.0016, 1.0034, 1024.763, 1.0508)]
    [InlineData(25, 997.047, 0.8900, 0.8926, 1023.343, 0.9371)]
    [InlineData(30, 995.649, 0.7972, 0.8007, 1021.729, 0.8425)]
    public void Water_by_temperature(double t, double rho, double mu, double nu, double rhoSea, double nuSea)
    {
        var fresh = Water.Fresh(C(t));
        Assert.Equal(rho, fresh.Density, 0.0006);
        Assert.Equal(mu, fresh.DynamicViscosity * 1e3, 0.00006);
        Assert.Equal(nu, fresh.KinematicViscosity * 1e6, 0.00006);
        var sea = Water.Of(C(t), 35);
        Assert.Equal(rhoSea, sea.Density, 0.0006);
        Assert.Equal(nuSea, sea.KinematicViscosity * 1e6, 0.001);
    }

    /// <summary>ITTC's printed values at 15 C, from memory: fresh 999.1026, 1.1386e-6; sea 1026.0210, 1.1892e-6.</summary>
    [Fact]
    public void Ittc_values_at_15_C_from_memory()
    {
        Assert.Equal(999.1026, Water.FreshDensity(C(15)), 0.0005);
        Assert.Equal(1.1386, Water.Fresh(C(15)).KinematicViscosity * 1e6, 0.0001);
        var sea = Water.Of(C(15), Water.StandardSalinity);
        Assert.Equal(1, sea.Density / 1026.0210, 1e-4);
        Assert.Equal(1.1892, sea.KinematicViscosity * 1e6, 0.01);
    }

    /// <summary>Tupper, Introduction to Naval Architecture, table 5.1; International Critical Tables.</summary>
    [Theory]
    [InlineData(10, 1.306, 1.354)]
    [InlineData(20, 1.004, 1.054)]
    [InlineData(30, 0.801, 0.849)]
    public void Viscosity_of_Tupper_table_5_1(double t, double fresh, double salt)
    {
        Assert.Equal(1, Water.Fresh(C(t)).KinematicViscosity * 1e6 / fresh, 1e-3);
        Assert.Equal(1, Water.Of(C(t), 35).KinematicViscosity * 1e6 / salt, 1e-2);
    }

    /// <summary>At 1013.25 hPa and 50 %, computed from CIPM-2007's short form; ISO 2533 dry at 15 C.</summary>
    [Theory]
    [InlineData(5, 1.2673)]
    [InlineData(10, 1.2441)]
    [InlineData(20, 1.1993)]
    [InlineData(30, 1.1555)]
    public void Moist_air(double t, double rho)
    {
        Assert.Equal(rho, Air.Density(C(t)), 0.00006);
        Assert.Equal(1, Air.IdealGasDensity(C(t)) / rho, 4.5e-4);
    }

    [Fact]
    public void Dry_air_at_sea_level()
    {
        Assert.Equal(1.2254, Air.Density(C(15), 1013.25, 0), 0.00006);
        Assert.Equal(1.2250, Air.IdealGasDensity(C(15), 1013.25, 0), 0.00006);
        Assert.Equal(1.4607e-5, Air.KinematicViscosity(C(15)), 2e-9);
    }

    /// <summary>Factors to 10 m, computed from the logarithmic profile.</summary>
    [Theory]
    [InlineData(0.0002, 0.5, 0.723)]
    [InlineData(0.0002, 0.8, 0.767)]
    [InlineData(0.0002, 1, 0.787)]
    [InlineData(0.0002, 2, 0.851)]
    [InlineData(0.001, 0.8, 0.726)]
    [InlineData(0.005, 0.8, 0.668)]
    [InlineData(0.005, 2, 0.788)]
    public void Wind_by_height(double z0, double z, double factor) =>
        Assert.Equal(factor, Wind.LogProfile(Distance.FromMetres(z), Distance.FromMetres(10), z0), 0.0006);

    [Fact]
    public void Wind_by_the_power_law() =>
        Assert.Equal(0.803, Wind.PowerLaw(Distance.FromMetres(0.8), Distance.FromMetres(10)), 0.0006);

    [Fact]
    public void Wind_on_a_course_and_around_a_bend()
    {
        var angle = Wind.ToCourse(Bearing.FromDegrees(240), Bearing.FromDegrees(195));
        Assert.Equal(45, angle.Degrees, 9);
        Assert.Equal(4 * Math.Sqrt(0.5), Wind.HeadPart(4, angle), 9);
        Assert.Equal(-4, Wind.HeadPart(4, Wind.ToCourse(Bearing.FromDegrees(10), Bearing.FromDegrees(190))), 9);

        // Half of the way into it and half across: half of the head wind.
        var (head, cross) = Wind.AlongBends(4, Bearing.FromDegrees(0), [(Distance.FromMetres(500), Bearing.FromDegrees(0)), (Distance.FromMetres(500), Bearing.FromDegrees(90))]);
        Assert.Equal(2, head, 9);
        Assert.Equal(2, cross, 9);
    }
}
