using Stakeboat.Core.Physics;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Physics;

/// <summary>Tables computed for the recommended model at their digits, and published statements with the known disagreement.</summary>
public sealed class SpeedModelCertifiedTests
{
    private static Conditions WindAt(double speed, double degrees) =>
        Conditions.Reference with { WindSpeed = speed, WindAngle = Angle.FromDegrees(degrees) };

    private static double Change(string code, Conditions c, double power = 1, double? mass = null, double? dragArea = null, AirForm form = AirForm.Coupled, double? v0 = null)
    {
        var hull = ReferenceHull.Of(code);
        double v = v0 ?? hull.Pace;
        var p = new FullSpeedModel(hull, null, dragArea, form).At(v, Conditions.Reference).Power;
        var m = mass is { } extra ? (Mass?)(hull.TotalMass + Mass.FromKilograms(extra)) : null;
        double now = new FullSpeedModel(hull, m, dragArea, form).Solve(p * power, c).Speed.MetresPerSecond;
        return 100 * (now / v - 1);
    }

    /// <summary>f, w, r, local exponent n, drag factor k = P/v³ of each class.</summary>
    [Theory]
    [InlineData("1x", 0.784, 0.068, 0.148, 2.82, 3.49, 2.18)]
    [InlineData("2x", 0.785, 0.070, 0.145, 2.83, 5.33, 3.52)]
    [InlineData("2-", 0.785, 0.070, 0.145, 2.83, 5.34, 3.51)]
    [InlineData("4x", 0.784, 0.072, 0.143, 2.845, 8.04, 5.53)]
    [InlineData("4-", 0.784, 0.072, 0.143, 2.845, 8.03, 5.51)]
    [InlineData("4+", 0.787, 0.079, 0.133, 2.87, 8.65, 5.94)]
    [InlineData("8+", 0.799, 0.065, 0.135, 2.91, 12.72, 9.35)]
    public void Class_table(string code, double f, double w, double r, double n, double k, double area)
    {
        var hull = ReferenceHull.Of(code);
        var shares = RelativeSpeedModel.Shares(hull, hull.Pace);
        Assert.Equal(f, shares.Friction, 0.0016);
        Assert.Equal(w, shares.Wave, 0.0016);
        Assert.Equal(r, shares.Air, 0.0011);
        var model = new RelativeSpeedModel(hull, SpeedOverGround.FromMetresPerSecond(hull.Pace));
        Assert.Equal(n, model.LocalExponent(), 0.012);
        var balance = new FullSpeedModel(hull).At(hull.Pace, Conditions.Reference);
        Assert.Equal(k, balance.Total / (hull.Pace * hull.Pace), k * 0.004);
        Assert.Equal(area, hull.WettedArea(hull.TotalMass), 0.012);
    }

    /// <summary>Wind table of the recommended model, coupled and uncoupled, % of speed at constant power.</summary>
    [Theory]
    [InlineData("1x", 3, 0, -7.6, -7.6)]
    [InlineData("1x", 3, 45, -5.6, -5.1)]
    [InlineData("1x", 3, 90, -0.9, 0)]
    [InlineData("1x", 3, 135, 3.2, 3.7)]
    [InlineData("1x", 3, 180, 4.7, 4.7)]
    [InlineData("1x", 5, 0, -13.9, -13.9)]
    [InlineData("1x", 5, 45, -10.3, -9.2)]
    [InlineData("1x", 5, 90, -2.1, 0)]
    [InlineData("1x", 5, 135, 4.3, 5.2)]
    [InlineData("1x", 5, 180, 5.9, 5.9)]
    [InlineData("2x", 5, 0, -12.3, -12.3)]
    [InlineData("2x", 5, 45, -9.1, -8.2)]
    [InlineData("2x", 5, 90, -1.8, 0)]
    [InlineData("2x", 5, 135, 4.0, 4.8)]
    [InlineData("2x", 5, 180, 5.6, 5.6)]
    [InlineData("4-", 5, 0, -11.2, -11.2)]
    [InlineData("4-", 5, 45, -8.3, -7.5)]
    [InlineData("4-", 5, 90, -1.6, 0)]
    [InlineData("4-", 5, 135, 3.8, 4.6)]
    [InlineData("4-", 5, 180, 5.4, 5.4)]
    [InlineData("8+", 3, 0, -5.5, -5.5)]
    [InlineData("8+", 3, 45, -4.0, -3.7)]
    [InlineData("8+", 3, 90, -0.5, 0)]
    [InlineData("8+", 3, 135, 2.5, 2.8)]
    [InlineData("8+", 3, 180, 3.7, 3.7)]
    [InlineData("8+", 5, 0, -10.0, -10.0)]
    [InlineData("8+", 5, 45, -7.3, -6.6)]
    [InlineData("8+", 5, 90, -1.4, 0)]
    [InlineData("8+", 5, 135, 3.5, 4.1)]
    [InlineData("8+", 5, 180, 4.9, 4.9)]
    public void Wind_table(string code, double wind, double angle, double coupled, double uncoupled)
    {
        Assert.Equal(coupled, Change(code, WindAt(wind, angle)), 0.12);
        Assert.Equal(uncoupled, Change(code, WindAt(wind, angle), form: AirForm.Uncoupled), 0.12);
    }

    /// <summary>
    /// Filter's wind-tunnel table as quoted in Kleshnev's newsletter of December 2009: 5 m/s head 1x -17.4, 8+ -12.2; tail +7.5, +5.1. One drag area
    /// explains head and tail together (1.14 and 3.42 m²), but then the air's share is 23 and 19 %, against the same source's 13 %.
    /// </summary>
    [Fact]
    public void Published_wind_is_met_by_one_drag_area_that_its_own_source_denies()
    {
        // At a slower single's 4.9 m/s the joint fit gives -17.3 and +7.6.
        Assert.Equal(-17.4, Change("1x", WindAt(5, 0), dragArea: 1.14, v0: 4.9), 0.5);
        Assert.Equal(7.5, Change("1x", WindAt(5, 180), dragArea: 1.14, v0: 4.9), 0.5);
        Assert.Equal(-12.2, Change("8+", WindAt(5, 0), dragArea: 3.42), 0.85);
        Assert.Equal(5.1, Change("8+", WindAt(5, 180), dragArea: 3.42), 0.85);

        // With 13 % of the hydrodynamic resistance (0.65 and 2.39 m²) the effect is two thirds of it.
        Assert.Equal(-11.4, Change("1x", WindAt(5, 0), dragArea: 0.65), 0.3);
        Assert.Equal(4.5, Change("1x", WindAt(5, 180), dragArea: 0.65), 0.2);
        Assert.Equal(-8.9, Change("8+", WindAt(5, 0), dragArea: 2.39), 0.35);
        Assert.Equal(4.2, Change("8+", WindAt(5, 180), dragArea: 2.39), 0.2);
    }

    /// <summary>Water temperature at constant power, air kept at 20 C; and air following to 5 and 30 C for the eight.</summary>
    [Theory]
    [InlineData("1x", 5, -1.86)]
    [InlineData("1x", 10, -1.19)]
    [InlineData("1x", 15, -0.57)]
    [InlineData("1x", 25, 0.54)]
    [InlineData("1x", 30, 1.04)]
    [InlineData("8+", 5, -1.71)]
    [InlineData("8+", 10, -1.10)]
    [InlineData("8+", 15, -0.53)]
    [InlineData("8+", 25, 0.50)]
    [InlineData("8+", 30, 0.97)]
    public void Water_temperature(string code, double t, double percent) =>
        Assert.Equal(percent, Change(code, Conditions.Reference with { Water = Temperature.FromCelsius(t) }), 0.015);

    [Theory]
    [InlineData(5, -1.96)]
    [InlineData(30, 1.14)]
    public void Water_and_air_temperature_of_the_eight(double t, double percent) =>
        Assert.Equal(percent, Change("8+", Conditions.Reference with { Water = Temperature.FromCelsius(t), Air = Temperature.FromCelsius(t) }), 0.015);

    [Theory]
    [InlineData(5, -0.26)]
    [InlineData(30, 0.17)]
    public void Air_temperature_of_the_eight(double t, double percent) =>
        Assert.Equal(percent, Change("8+", Conditions.Reference with { Air = Temperature.FromCelsius(t) }), 0.015);

    [Theory]
    [InlineData("1x", 1.05, 1.74)]
    [InlineData("8+", 1.05, 1.70)]
    [InlineData("1x", 1.10, 3.44)]
    [InlineData("8+", 1.10, 3.34)]
    public void Power(string code, double power, double percent) => Assert.Equal(percent, Change(code, Conditions.Reference, power), 0.012);

    /// <summary>Dead weight, seconds in 2000 m; +1 % of mass is -0.17 % of speed (exponent 1/6, Dudhia, from memory).</summary>
    [Theory]
    [InlineData("1x", 1, 0.64)]
    [InlineData("1x", 5, 3.2)]
    [InlineData("2-", 5, 1.5)]
    [InlineData("4-", 10, 1.4)]
    [InlineData("8+", 10, 0.61)]
    [InlineData("8+", 40, 2.4)]
    public void Dead_weight(string code, double kilograms, double seconds)
    {
        double v = ReferenceHull.Of(code).Pace;
        double later = 2000 / (v * (1 + Change(code, Conditions.Reference, mass: kilograms) / 100)) - 2000 / v;
        Assert.Equal(seconds, later, seconds * 0.06 + 0.01);
    }

    [Theory]
    [InlineData("1x")]
    [InlineData("8+")]
    public void One_per_cent_of_mass(string code) =>
        Assert.Equal(-0.17, Change(code, Conditions.Reference, mass: ReferenceHull.Of(code).TotalMass.Kilograms * 0.01), 0.01);

    /// <summary>Speed lost to depth at constant power, %.</summary>
    [Theory]
    [InlineData("8+", 6.0, 5, -0.45)]
    [InlineData("8+", 6.0, 4, -0.81)]
    [InlineData("8+", 6.0, 3, -0.19)]
    [InlineData("8+", 5.5, 4, -0.89)]
    [InlineData("8+", 5.5, 3, -1.63)]
    [InlineData("8+", 5.0, 3.5, -1.04)]
    [InlineData("4-", 5.5, 3.5, -0.52)]
    [InlineData("4-", 4.5, 3, -0.80)]
    [InlineData("2x", 5.0, 3, -0.40)]
    [InlineData("1x", 4.5, 3, -0.20)]
    public void Depth(string code, double speed, double depth, double percent)
    {
        var hull = ReferenceHull.Of(code);
        var p = new FullSpeedModel(hull).At(speed, Conditions.Reference).Power;
        double v = new FullSpeedModel(hull).Solve(p, Conditions.Reference with { Depth = depth }).Speed.MetresPerSecond;
        Assert.Equal(percent, 100 * (v / speed - 1), 0.035);
    }

    /// <summary>Sensitivities at pace: drag, wave, CdA, wind, current.</summary>
    [Theory]
    [InlineData("1x", -2.25, 1.9, -3.6)]
    [InlineData("8+", -1.65, 1.45, -2.5)]
    public void One_metre_per_second_of_wind(string code, double head, double tail, double fourToFive)
    {
        Assert.Equal(head, Change(code, WindAt(1, 0)), 0.02);
        Assert.Equal(tail, Change(code, WindAt(1, 180)), 0.05);
        double four = Change(code, WindAt(4, 0)), five = Change(code, WindAt(5, 0));
        Assert.Equal(fourToFive, 100 * ((1 + five / 100) / (1 + four / 100) - 1), 0.06);
    }

    /// <summary>Wellicome's full-scale quadratic as used by Brearley and de Mestre 1996, from memory: the hull alone is 0.91 to 0.93 of it, with air 1.06.</summary>
    [Theory]
    [InlineData(3.5)]
    [InlineData(5)]
    [InlineData(6)]
    public void Full_scale_eight_from_memory(double v)
    {
        var hull = ReferenceHull.Of("8+");
        double published = 24.93 - 11.22 * v + 13.05 * v * v;
        var b = new FullSpeedModel(hull, Mass.FromKilograms(866)).At(v, Conditions.Reference);
        Assert.InRange((b.Friction + b.Wave) / published, 0.905, 0.935);
        Assert.InRange(b.Total / published, 1.05, 1.08);
    }

    [Theory]
    [InlineData("1x")]
    [InlineData("4-")]
    [InlineData("8+")]
    public void Power_in_is_the_sum_of_the_three_drags(string code)
    {
        var hull = ReferenceHull.Of(code);
        var p = new FullSpeedModel(hull).Solve(global::Stakeboat.Core.Units.Power.FromWatts(390.0 * (code == "8+" ? 8 : code == "4-" ? 4 : 1)), WindAt(2, 30));
        var b = p.Balance;
        Assert.Equal(b.Power.Watts, (b.Friction + b.Wave + b.Air) * b.Speed.MetresPerSecond, 9);
        Assert.Equal(390.0 * (code == "8+" ? 8 : code == "4-" ? 4 : 1), b.Power.Watts, 5);
    }

    [Fact]
    public void Relative_and_full_model_agree_at_the_class_pace()
    {
        var hull = ReferenceHull.Of("8+");
        var relative = new RelativeSpeedModel(hull, SpeedOverGround.FromMetresPerSecond(6.0));
        foreach (var c in (Conditions[])[WindAt(3, 0), WindAt(4, 120), Conditions.Reference with { Water = Temperature.FromCelsius(8) }, Conditions.Reference with { Depth = 3.5 }])
        {
            Assert.Equal(6.0 * (1 + Change("8+", c) / 100), relative.Solve(1, c).Speed.MetresPerSecond, 1e-6);
        }
    }

    [Fact]
    public void A_stream_carries_the_boat_and_changes_its_wind()
    {
        var hull = ReferenceHull.Of("8+");
        var model = new RelativeSpeedModel(hull, SpeedOverGround.FromMetresPerSecond(5.5));
        double with = model.Solve(1, Conditions.Reference with { Stream = 0.3 }).Speed.MetresPerSecond;
        Assert.InRange(with, 5.5 + 0.3 - 0.05, 5.5 + 0.3 - 0.005);
    }

    [Fact]
    public void Warnings_are_given_where_the_model_should_not_be_leaned_on()
    {
        var model = new RelativeSpeedModel(ReferenceHull.Of("8+"), SpeedOverGround.FromMetresPerSecond(5.5));
        Assert.Contains(ModelWarning.StrongWind, model.Solve(1, WindAt(9, 0)).Warnings);
        Assert.Contains(ModelWarning.NearCriticalDepth, model.Solve(1, Conditions.Reference with { Depth = 3.0 }).Warnings);
        Assert.Contains(ModelWarning.FarFromReference, model.Solve(0.4, Conditions.Reference).Warnings);
        Assert.Empty(model.Solve(1, WindAt(3, 0)).Warnings);
    }
}
