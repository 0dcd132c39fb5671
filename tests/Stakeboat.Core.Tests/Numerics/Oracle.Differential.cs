using System.Text.Json;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Numerics;
using Stakeboat.Core.Signals;

namespace Stakeboat.Core.Tests.Numerics;

/// <summary>Against SciPy, statsmodels and GeographicLib: <c>oracles/strokes/oracle.py</c> and its committed output, which names their versions.</summary>
public class OracleDifferential
{
    private static readonly JsonElement Oracle = Read();

    private static JsonElement Read()
    {
        string folder = AppContext.BaseDirectory;
        while (!File.Exists(Path.Combine(folder, "Stakeboat.slnx")))
        {
            folder = Path.GetDirectoryName(folder)!;
        }

        return JsonDocument.Parse(File.ReadAllText(Path.Combine(folder, "oracles", "strokes", "oracle.json"))).RootElement;
    }

    private static double[] Numbers(JsonElement e) => [.. e.EnumerateArray().Select(v => v.ValueKind == JsonValueKind.Null ? double.NaN : v.GetDouble())];

    private static double D(JsonElement e, string name) => e.GetProperty(name).GetDouble();

    [Fact]
    public void FiltersAreThoseOfScipy()
    {
        var x = Numbers(Oracle.GetProperty("signal"));
        foreach (var f in Oracle.GetProperty("filters").EnumerateArray())
        {
            int order = f.GetProperty("order").GetInt32();
            double hz = D(f, "hz");
            var edge = Numbers(f.GetProperty("edge"));
            var sections = f.GetProperty("kind").GetString() switch
            {
                "band" => Butterworth.BandPass(order, edge[0], edge[1], hz),
                "low" => Butterworth.LowPass(order, edge[0], hz),
                _ => Butterworth.HighPass(order, edge[0], hz),
            };
            var at = Numbers(f.GetProperty("at"));
            var magnitude = Numbers(f.GetProperty("magnitude"));
            for (int i = 0; i < at.Length; i++)
            {
                Assert.Equal(magnitude[i], Butterworth.Magnitude(sections, at[i], hz), 1e-9);
            }

            var once = (double[])x.Clone();
            new SectionFilter(sections).Run(once);
            Near(Numbers(f.GetProperty("once")), once, 1e-8);
            Near(Numbers(f.GetProperty("zeroPhase")), SectionFilter.ZeroPhase(sections, x, 20), 1e-7);
        }
    }

    [Fact]
    public void SteadyGainsAreTheRiccatiSolutions()
    {
        foreach (var c in Oracle.GetProperty("riccati").EnumerateArray())
        {
            var g = SteadyGains.WhiteAcceleration(D(c, "q"), D(c, "t"), D(c, "r"));
            Assert.Equal(D(c, "alpha"), g.Alpha, 1e-10);
            Assert.Equal(D(c, "beta"), g.Beta, 1e-10);
            Assert.Equal(D(c, "positionSd"), g.PositionSd, 1e-9);
            Assert.Equal(D(c, "speedSd"), g.SpeedSd, 1e-9);
        }
    }

    private sealed class Line(int n, double t, double q) : IStateModel
    {
        public int Size => 2;

        public int Nodes => n;

        public void Step(int node, Span<double> f, Span<double> u, Span<double> p)
        {
            (f[0], f[1], f[2], f[3]) = (1, t, 0, 1);
            u.Clear();
            (p[0], p[1], p[2], p[3]) = (q * t * t * t / 3, q * t * t / 2, q * t * t / 2, q * t);
        }
    }

    [Fact]
    public void TheSmootherIsThatOfStatsmodels()
    {
        var s = Oracle.GetProperty("smoother");
        var z = Numbers(s.GetProperty("z"));
        var observations = z.Select((v, i) => (v, i)).Where(p => !double.IsNaN(p.v)).Select(p => new Observation(p.i, 0, p.v, D(s, "r"))).ToArray();
        var run = new StateSmoother(new Line(z.Length, D(s, "t"), D(s, "q")), [[1, 0]], [0, 0], [4, 0, 0, 1]).Run(observations);
        Assert.Equal(D(s, "logLikelihood"), run.LogLikelihood, 1e-8);
        Near(Numbers(s.GetProperty("position")), [.. z.Select((_, i) => run.At(i, 0))], 1e-8);
        Near(Numbers(s.GetProperty("speed")), [.. z.Select((_, i) => run.At(i, 1))], 1e-8);
        Near(Numbers(s.GetProperty("positionVariance")), [.. z.Select((_, i) => run.CovarianceAt(i, 0, 0))], 1e-8);
        Near(Numbers(s.GetProperty("speedVariance")), [.. z.Select((_, i) => run.CovarianceAt(i, 1, 1))], 1e-8);
    }

    [Fact]
    public void GeodesicsAreThoseOfGeographicLib()
    {
        foreach (var row in Oracle.GetProperty("geodesics").EnumerateArray())
        {
            var g = Numbers(row);
            var (lat, lon, _) = Geodesic.Direct(g[0], g[1], g[2], g[3]);
            Assert.Equal(g[4], lat, 1e-11);
            Assert.Equal(0, Ellipsoid.LongitudeStep(g[5], lon) * Math.Cos(lat * Math.PI / 180), 1e-11);
            Assert.True(Geodesic.TryInverse(g[0], g[1], g[4], g[5], out double metres, out double azimuth, out _));
            Assert.Equal(g[3], metres, 2e-8);
            Assert.Equal(0, Ellipsoid.LongitudeStep(g[2], azimuth) * g[3], 1e-4);
        }
    }

    private static void Near(double[] expected, double[] actual, double within)
    {
        Assert.Equal(expected.Length, actual.Length);
        for (int i = 0; i < expected.Length; i++)
        {
            Assert.Equal(expected[i], actual[i], within);
        }
    }
}
