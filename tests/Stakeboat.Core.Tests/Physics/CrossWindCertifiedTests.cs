using Stakeboat.Core.Physics;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Physics;

/// <summary>Cross wind and rudder of the classes: values computed from the stated formulae (Newman 1977 and Jones from memory), at the digits they were computed to.</summary>
public sealed class CrossWindCertifiedTests
{
    private const double RhoAir = 1.1993;
    private const double Rho = 998.207;

    [Theory]
    [InlineData("1x", 1, 0.80, 2.6)]
    [InlineData("2x", 2, 0.73, 3.3)]
    [InlineData("4-", 4, 0.74, 3.9)]
    [InlineData("8+", 8, 0.72, 4.7)]
    public void Added_mass_and_time_to_drift(string code, int rowers, double ratio, double seconds)
    {
        var reference = ReferenceHull.Of(code);
        double mass = reference.TotalMass.Kilograms;
        var hull = reference.Hull.AtVolume(mass / Rho);
        double added = CrossWind.AddedMass(hull, Rho);
        Assert.Equal(ratio, added / mass, 0.02);
        double drift = 5 * SideForces.DriftRatio(rowers, hull.LateralArea, RhoAir, Rho);
        Assert.Equal(seconds, CrossWind.TimeToDrift(drift, mass, added, SideForces.AtRest(rowers, 5, RhoAir)), 0.1);
    }

    /// <summary>A stopped boat drifts at 5 to 8 % of the wind for any cross-flow drag between 0.6 and 1.1.</summary>
    [Fact]
    public void Drift_range()
    {
        double[] all = [.. new[] { ("1x", 1), ("2x", 2), ("4-", 4), ("8+", 8) }.SelectMany(c => new[] { 0.6, 1.1 }.Select(cd => SideForces.DriftRatio(c.Item2, ReferenceHull.Of(c.Item1).Hull.LateralArea * 1.03, RhoAir, Rho, cd)))];
        Assert.Equal(0.052, all.Min(), 0.0012);
        Assert.Equal(0.077, all.Max(), 0.0012);
    }

    [Fact]
    public void Munk_moment_of_an_eight()
    {
        var reference = ReferenceHull.Of("8+");
        double added = CrossWind.AddedMass(reference.Hull.AtVolume(reference.TotalMass.Kilograms / Rho), Rho);
        Assert.Equal(0.9, CrossWind.MunkMoment(added, 5.8, 0.25) / 1000, 0.05);
    }

    [Theory]
    [InlineData("1x", 1, 2.1, 1.1)]
    [InlineData("2x", 2, 2.2, 2.0)]
    [InlineData("4-", 4, 2.5, 3.9)]
    [InlineData("8+", 8, 2.9, 8.4)]
    public void Crab_angle_in_a_beam_wind_of_5_mps_and_what_it_costs(string code, int rowers, double degrees, double newtons)
    {
        var reference = ReferenceHull.Of(code);
        var hull = reference.Hull.AtVolume(reference.TotalMass.Kilograms / Rho);
        var angle = CrossWind.CrabAngle(rowers, hull, reference.Pace, 5, RhoAir, Rho);
        Assert.Equal(degrees, angle.Degrees, 0.11);
        double leeway = CrossWind.SideForceUnderWay(rowers, reference.Pace, 5, RhoAir) * angle.Radians;
        Assert.Equal(newtons, leeway, 0.25);
        double total = new FullSpeedModel(reference).At(reference.Pace, Conditions.Reference).Total;
        Assert.InRange(100 * leeway / total, 1.1, 1.9);
        Assert.InRange(100 * CrossWind.SpeedShare(leeway, total, 2.85), 0.39, 0.66);
    }

    /// <summary>An eight at 6 m/s with the rudder held: yaw on an arm of 7.2 m, speed lost against a straight rudder.</summary>
    [Theory]
    [InlineData(5, 288, 0.13)]
    [InlineData(10, 576, 0.53)]
    [InlineData(15, 865, 1.2)]
    public void Rudder_yaw_and_cost(double degrees, double moment, double percent)
    {
        Assert.Equal(moment, 7.2 * SideForces.RudderSide(6, Angle.FromDegrees(degrees), Rho), 4.0);
        double extra = SideForces.RudderDrag(6, Angle.FromDegrees(degrees), Rho) - SideForces.RudderDrag(6, Angle.FromDegrees(0), Rho);
        double total = new FullSpeedModel(ReferenceHull.Of("8+")).At(6, Conditions.Reference).Total;
        Assert.Equal(percent, 100 * CrossWind.SpeedShare(extra, total, 2.91), 0.03);
    }

    /// <summary>The defaults of one published page (20 m/s, 5 km, 50 m deep; its period exponent 0.18): 79.1, 102.2, 108.4, 99.8 cm.</summary>
    [Fact]
    public void Waves_of_a_published_pages_defaults()
    {
        var cem = WaveGrowth.Cem2003(20, 5000, 50);
        Assert.Equal((79.1, 2.30), (Math.Round(cem.Height * 100, 1), Math.Round(cem.Period, 2)));
        var spm = WaveGrowth.Spm1984(20, 5000);
        Assert.Equal((102.2, 3.25), (Math.Round(spm.Height * 100, 1), Math.Round(spm.Period, 2)));
        var smb = WaveGrowth.Smb(20, 5000);
        Assert.Equal(108.4, smb.Height * 100, 0.06);
        Assert.Equal(3.85, smb.Period, 0.006);
        var yv = WaveGrowth.YoungVerhagen1996(20, 5000, 50, 0.18);
        Assert.Equal((99.8, 3.63), (Math.Round(yv.Height * 100, 1), Math.Round(yv.Period, 2)));
        Assert.Equal(66, WaveGrowth.MinimumDuration(20, 5000) / 60, 0.6);
    }
}

public sealed class HalfEllipsePropertiesTests
{
    [Fact]
    public void The_kept_table_is_the_quadrature_on_both_sides_of_nothing()
    {
        var random = new Random(4);
        for (int i = 0; i < 2000; i++)
        {
            double a = -9 + 35 * random.NextDouble();
            double truth = HalfEllipse.ByQuadrature(a);
            Assert.Equal(truth, HalfEllipse.G0(a), 3e-9 * Math.Max(1, Math.Abs(truth)));
        }
    }
}
