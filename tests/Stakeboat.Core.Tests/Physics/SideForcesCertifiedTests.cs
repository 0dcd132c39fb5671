using Stakeboat.Core.Physics;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Physics;

public sealed class SideForcesCertifiedTests
{
    private const double RhoAir = 1.1993;

    [Theory]
    [InlineData(1, 22.5)]
    [InlineData(2, 34.5)]
    [InlineData(4, 58.5)]
    [InlineData(8, 108)]
    public void Side_force_of_5_mps(int rowers, double newtons) => Assert.Equal(newtons, SideForces.AtRest(rowers, 5, RhoAir), 0.6);

    [Theory]
    [InlineData("1x", 1, 0.061)]
    [InlineData("2x", 2, 0.061)]
    [InlineData("4-", 4, 0.063)]
    [InlineData("8+", 8, 0.066)]
    public void Drift_of_a_stopped_boat(string code, int rowers, double ratio) =>
        Assert.Equal(ratio, SideForces.DriftRatio(rowers, ReferenceHull.Of(code).Hull.LateralArea * 1.03, RhoAir, 998.2), 0.0015);

    [Theory]
    [InlineData(5, 40, 3.7)]
    [InlineData(10, 80, 8.9)]
    [InlineData(15, 120, 17.6)]
    public void Rudder_of_an_eight_at_6_mps(double degrees, double side, double drag)
    {
        Assert.Equal(side, SideForces.RudderSide(6, Angle.FromDegrees(degrees), 998.2), 1.2);
        Assert.Equal(drag, SideForces.RudderDrag(6, Angle.FromDegrees(degrees), 998.2), 0.25);
    }

    [Theory]
    [InlineData(1, 100, 1.97)]
    [InlineData(1, 200, 0.49)]
    [InlineData(2, 100, 7.90)]
    [InlineData(2, 200, 1.97)]
    public void Weave_in_2000_m(double amplitude, double wavelength, double metres) =>
        Assert.Equal(metres, 2000 * SideForces.WeaveShare(amplitude, wavelength), 0.006);

    [Theory]
    [InlineData(2, 1.22)]
    [InlineData(5, 7.64)]
    public void Steady_angle_in_2000_m(double degrees, double metres) => Assert.Equal(metres, 2000 * SideForces.SteadyAngleShare(Angle.FromDegrees(degrees)), 0.006);

    [Fact]
    public void Waves()
    {
        Assert.Equal(19.471, SideForces.KelvinAngle.Degrees, 0.0006);
        Assert.Equal(10.25, SideForces.TransverseWavelength(4), 0.006);
        Assert.Equal(16.02, SideForces.TransverseWavelength(5), 0.006);
        Assert.Equal(23.07, SideForces.TransverseWavelength(6), 0.006);
        double[] lengths = [1, 2, 5, 10, 20];
        double[] speeds = [1.249, 1.767, 2.794, 3.951, 5.587];
        for (int i = 0; i < lengths.Length; i++)
        {
            Assert.Equal(speeds[i], SideForces.WaveSpeed(lengths[i]), 0.0006);
        }

        Assert.Equal(3.643, SideForces.WaveSpeed(10, 2), 0.0006);
        Assert.Equal(56.4, SideForces.SupercriticalWedge(1.2).Degrees, 0.06);
        double[] depths = [1, 2, 3, 3.5, 5];
        double[] critical = [3.132, 4.429, 5.424, 5.859, 7.002];
        for (int i = 0; i < depths.Length; i++)
        {
            Assert.Equal(critical[i], SideForces.CriticalSpeed(depths[i]), 0.0006);
        }
    }

    [Fact]
    public void Aim_off() => Assert.Equal(3.1, SideForces.AimOff(0.3, 5.5).Degrees, 0.06);

    /// <summary>Erg convention from memory; values computed.</summary>
    [Theory]
    [InlineData(85, 569.9)]
    [InlineData(90, 480.1)]
    [InlineData(95, 408.2)]
    [InlineData(100, 350.0)]
    [InlineData(105, 302.3)]
    [InlineData(110, 263.0)]
    [InlineData(120, 202.5)]
    [InlineData(130, 159.3)]
    public void Ergometer(double split, double watts) => Assert.Equal(watts, PowerRelations.Ergometer(Pace.FromSecondsPer500(split)).Watts, 0.06);

    [Theory]
    [InlineData(0.10, 2.8, 1.26)]
    [InlineData(0.15, 2.8, 2.83)]
    [InlineData(0.20, 2.8, 5.04)]
    [InlineData(0.25, 2.8, 7.87)]
    [InlineData(0.10, 3, 1.5)]
    [InlineData(0.15, 3, 3.38)]
    [InlineData(0.20, 3, 6.0)]
    [InlineData(0.25, 3, 9.38)]
    public void Fluctuation(double a, double n, double percent) =>
        Assert.Equal(percent, 100 * (PowerRelations.FluctuationFactor(a, n) - 1), 0.006);

    [Fact]
    public void Early_squaring()
    {
        Assert.InRange(AirDrag.EarlySquaring(8, 6, 0, RhoAir, 4), 19.5, 28.5);
        Assert.InRange(AirDrag.EarlySquaring(8, 6, 5, RhoAir, 5), 40, 54);
    }

    /// <summary>Height in cm and period in s of the growth curves, computed.</summary>
    [Theory]
    [InlineData(5, 1000, 7.4, 0.80, 8.3, 1.08, 11.0, 1.27, 10.5, 1.18, 36)]
    [InlineData(5, 2000, 10.5, 1.01, 11.7, 1.36, 14.6, 1.48, 14.3, 1.42, 57)]
    [InlineData(8, 500, 8.8, 0.75, 10.5, 1.04, 14.3, 1.38, 12.9, 1.21, 19)]
    [InlineData(8, 2000, 17.5, 1.19, 20.9, 1.64, 25.4, 1.92, 23.8, 1.76, 49)]
    [InlineData(10, 2000, 22.5, 1.30, 27.5, 1.80, 33.0, 2.16, 30.3, 1.95, 45)]
    [InlineData(12, 5000, 43.6, 1.89, 54.5, 2.63, 59.7, 2.94, 52.0, 2.70, 78)]
    public void Wind_waves(double u, double x, double h1, double t1, double h2, double t2, double h3, double t3, double h4, double t4, double minutes)
    {
        var cem = WaveGrowth.Cem2003(u, x, 3);
        Assert.Equal(h1, cem.Height * 100, 0.06);
        Assert.Equal(t1, cem.Period, 0.006);
        var spm = WaveGrowth.Spm1984(u, x);
        Assert.Equal(h2, spm.Height * 100, 0.06);
        Assert.Equal(t2, spm.Period, 0.006);
        var smb = WaveGrowth.Smb(u, x);
        Assert.Equal(h3, smb.Height * 100, 0.06);
        Assert.Equal(t3, smb.Period, 0.006);
        var yv = WaveGrowth.YoungVerhagen1996(u, x, 3);
        Assert.Equal(h4, yv.Height * 100, 0.06);
        Assert.Equal(t4, yv.Period, 0.006);
        Assert.Equal(minutes, WaveGrowth.MinimumDuration(u, x) / 60, 0.6);
        var all = WaveGrowth.All(u, x);
        Assert.True(all[^1].Height / all[0].Height > 1.2, "The families differ: a range is shown.");
    }
}
