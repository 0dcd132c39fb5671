using Stakeboat.Core.Physics;

namespace Stakeboat.Core.Tests.Physics;

public sealed class HullCertifiedTests
{
    /// <summary>ITTC-57 at exact points: 0.075/16, 0.075/25, 0.075/36; Schoenherr and Prandtl-Schlichting computed.</summary>
    [Theory]
    [InlineData(1e6, 4.6875, 4.4094, 4.4708)]
    [InlineData(1e7, 3.0000, 2.9343, 3.0037)]
    [InlineData(4e7, 2.3898, 2.3653, 2.4278)]
    [InlineData(1e8, 2.0833, 2.0720, 2.1283)]
    [InlineData(1e9, 1.5306, 1.5309, 1.5706)]
    public void Friction_lines(double re, double ittc, double schoenherr, double prandtl)
    {
        Assert.Equal(ittc, Friction.Ittc57(re) * 1e3, 0.00006);
        Assert.Equal(schoenherr, Friction.Schoenherr(re) * 1e3, 0.00006);
        Assert.Equal(prandtl, Friction.PrandtlSchlichting(re) * 1e3, 0.00006);
    }

    [Fact]
    public void Ittc57_is_exact_at_whole_powers()
    {
        Assert.Equal(0.003, Friction.Ittc57(1e7), 15);
        Assert.Equal(75.0 / 36000, Friction.Ittc57(1e8), 15);
    }

    /// <summary>Section integral at its computed digits.</summary>
    [Theory]
    [InlineData(0, 0.785398)]
    [InlineData(0.5, 0.640734)]
    [InlineData(1, 0.531549)]
    [InlineData(2, 0.383178)]
    [InlineData(5, 0.190829)]
    public void Half_ellipse_integral(double a, double value)
    {
        Assert.Equal(value, HalfEllipse.G0(a), 6e-7);
        Assert.Equal(HalfEllipse.ByQuadrature(a), HalfEllipse.G0(a), 1e-8);
    }

    [Fact]
    public void Half_ellipse_series_joins_the_quadrature()
    {
        Assert.Equal(HalfEllipse.ByQuadrature(29.9), HalfEllipse.G0(29.9), 1e-8);
        Assert.Equal(HalfEllipse.ByQuadrature(30.1), HalfEllipse.G0(30.1), 1e-7);
    }

    private static readonly WigleyHull Wigley = new(1, 0.1, 0.0625);

    [Fact]
    public void Wigley_area_and_volume()
    {
        Assert.Equal(0.148791, Wigley.WettedArea, 6e-7);
        Assert.Equal(0.0027778, Wigley.Volume, 6e-8);
    }

    /// <summary>Cw = Rw/(½ rho U² S) of thin-ship theory: computed by two quadratures that agree to 1e-5; no published digits were to be had.</summary>
    [Theory]
    [InlineData(0.20, 0.8876)]
    [InlineData(0.25, 1.0639)]
    [InlineData(0.266, 0.9435)]
    [InlineData(0.289, 1.9868)]
    [InlineData(0.30, 2.1417)]
    [InlineData(0.313, 1.9176)]
    [InlineData(0.316, 1.8315)]
    [InlineData(0.348, 1.2387)]
    [InlineData(0.40, 2.7339)]
    [InlineData(0.402, 2.8094)]
    [InlineData(0.408, 3.0300)]
    [InlineData(0.452, 4.1870)]
    [InlineData(0.482, 4.4818)]
    [InlineData(0.50, 4.5173)]
    [InlineData(0.55, 4.3064)]
    [InlineData(0.60, 3.9184)]
    [InlineData(0.80, 2.5953)]
    [InlineData(1.00, 1.8364)]
    public void Wigley_wave_resistance(double froude, double cw)
    {
        double u = froude * Math.Sqrt(ThinShip.Gravity);
        double value = ThinShip.Deep(Wigley, u, 1, 3000, 5.2) / (0.5 * u * u * Wigley.WettedArea);
        Assert.Equal(cw, value * 1e3, Math.Max(cw * 1e-4, 0.00016));
    }

    /// <summary>The transform of f_x against a sine, by brute quadrature, is k times the closed form of f.</summary>
    [Theory]
    [InlineData(8, 4)]
    [InlineData(20, 30)]
    [InlineData(45, 90)]
    public void Wigley_transform_by_a_second_quadrature(double a, double s)
    {
        double brute = Math.Abs(Wigley.SlopeTransformByQuadrature(a, s, 900));
        double closed = Math.Abs(a * Wigley.Transform(a, s));
        Assert.Equal(closed, brute, Math.Max(closed, 1e-6) * 2e-4);
    }

    public static TheoryData<string, double, double, double, double> Shapes => new()
    {
        { "1x", 0.8828, 2.153, 1.539, 0.595 },
        { "2x", 0.9417, 3.498, 2.586, 0.917 },
        { "4x", 0.6996, 5.476, 3.985, 1.474 },
        { "8+", 0.8551, 9.211, 6.850, 2.393 },
    };

    [Theory]
    [MemberData(nameof(Shapes))]
    public void Shell_family(string code, double q, double area, double waterplane, double lateral)
    {
        var hull = ReferenceHull.Of(code).Hull;
        Assert.Equal(q, hull.DraftExponent, 0.00006);
        Assert.Equal(area, hull.WettedArea, 0.0006);
        Assert.Equal(waterplane, hull.WaterplaneArea, 0.001);
        Assert.Equal(lateral, hull.LateralArea, 0.001);
    }

    public static TheoryData<string, double[]> ShellWaves => new()
    {
        { "1x", [0.592, 3.846, 4.880, 5.618, 6.264, 6.904, 7.561] },
        { "2x", [0.691, 4.845, 7.651, 9.554, 10.938, 12.130, 13.285] },
        { "4x", [1.440, 3.942, 9.229, 14.038, 17.470, 19.977, 22.050] },
        { "8+", [1.087, 2.638, 5.173, 13.083, 21.491, 28.079, 32.951] },
    };

    /// <summary>Wave resistance of the shells at rho 1000, N, at 3, 4, 4.5, 5, 5.5, 6, 6.5 m/s: computed; the eight's 21.491 N also on a brute grid.</summary>
    [Theory]
    [MemberData(nameof(ShellWaves))]
    public void Shell_wave_resistance(string code, double[] newtons)
    {
        var hull = ReferenceHull.Of(code).Hull;
        double[] speeds = [3, 4, 4.5, 5, 5.5, 6, 6.5];
        for (int i = 0; i < speeds.Length; i++)
        {
            Assert.Equal(newtons[i], ThinShip.Deep(hull, speeds[i], 1000), 0.0015);
        }
    }

    /// <summary>Eight in shallow water: 3.5 m and 5.0 m/s 23.458 N, 3 m and 5.5 m/s 33.835 N, 2 m and 6 m/s 27.150 N.</summary>
    [Theory]
    [InlineData(3.5, 5.0, 23.458)]
    [InlineData(3.0, 5.5, 33.835)]
    [InlineData(2.0, 6.0, 27.150)]
    public void Shallow_water(double depth, double speed, double newtons) =>
        Assert.Equal(newtons, ThinShip.Finite(ReferenceHull.Of("8+").Hull, speed, 1000, depth), newtons * 0.005);

    [Theory]
    [InlineData(5.0, new[] { 1.003, 1.167, 1.448, 1.793, 2.501, 2.697, 2.028, 1.837 })]
    [InlineData(5.8, new[] { 1.010, 1.206, 1.415, 1.477, 1.194, 1.092, 1.035, 1.012 })]
    [InlineData(6.0, new[] { 1.012, 1.201, 1.354, 1.196, 1.077, 1.009, 0.967, 0.952 })]
    public void Depth_ratio_of_the_eight(double speed, double[] ratios)
    {
        var hull = ReferenceHull.Of("8+").Hull;
        double deep = ThinShip.Deep(hull, speed, 1000, 800);
        double[] depths = [10, 5, 4, 3.5, 3, 2.5, 2, 1.5];
        for (int i = 0; i < depths.Length; i++)
        {
            // Next to the critical speed (3.5 m at 5.8 m/s is Fh 0.99) the integrand is steep.
            Assert.Equal(ratios[i], ThinShip.Finite(hull, speed, 1000, depths[i], 800) / deep, ratios[i] * 0.005);
        }
    }

    [Fact]
    public void Fifty_metres_are_deep()
    {
        var hull = ReferenceHull.Of("8+").Hull;
        Assert.Equal(1, ThinShip.Finite(hull, 5.5, 1000, 50) / ThinShip.Deep(hull, 5.5, 1000), 1e-3);
    }

    [Fact]
    public void The_kept_curve_is_the_integral()
    {
        var hull = ReferenceHull.Of("8+").Hull;
        var curve = new WaveCurve(hull);
        foreach (double u in (double[])[3.03, 4.12, 5.07, 5.83, 6.21])
        {
            Assert.Equal(1, curve.PerDensity(u) * 1000 / ThinShip.Deep(hull, u, 1000), 1.5e-3);
        }
    }
}
