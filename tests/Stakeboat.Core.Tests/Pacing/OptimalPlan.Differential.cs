using System.Text.Json;
using Stakeboat.Core.Pacing;
using Stakeboat.Core.Physics;

namespace Stakeboat.Core.Tests.Pacing;

/// <summary>The fastest plan against SciPy's SLSQP with exact gradients, the wave integral against its adaptive quadrature (oracles/plan/pacing.py, output and versions beside it).</summary>
public sealed class OptimalPlanDifferential
{
    private static JsonElement Oracle()
    {
        var at = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(at.FullName, "Stakeboat.slnx")))
        {
            at = at.Parent ?? throw new DirectoryNotFoundException("The solution's folder was not found.");
        }

        return JsonDocument.Parse(File.ReadAllText(Path.Combine(at.FullName, "oracles", "plan", "pacing.json"))).RootElement;
    }

    [Theory]
    [InlineData("calm", 0.0, 0.0)]
    [InlineData("intoHead", 0.0, 3.0)]
    [InlineData("tailThenHead", -3.0, 3.0)]
    public void The_optimum_is_scipys(string name, double first, double second)
    {
        var o = Oracle().GetProperty("optimum").GetProperty(name);
        Assert.True(o.GetProperty("ok").GetBoolean());
        double seconds = o.GetProperty("seconds").GetDouble();
        var wind = new WindAlong([0, 1000], [first, second]);
        var program = FullProgram.Solve(PacingPublishedTests.Eight, PacingPublishedTests.Crew, wind, 2000, 80);
        Assert.True(program.Converged);
        Assert.Equal(seconds, program.Seconds, 0.01);
        Assert.Equal(seconds, OptimalPlan.Find(PacingPublishedTests.Eight, PacingPublishedTests.Crew, wind, 2000).Run.Seconds, 0.03);
    }

    [Fact]
    public void The_wave_integral_is_scipys()
    {
        var hull = new WigleyHull(1, 0.1, 0.0625);
        foreach (var o in Oracle().GetProperty("wigley").EnumerateObject())
        {
            double u = double.Parse(o.Name, System.Globalization.CultureInfo.InvariantCulture) * Math.Sqrt(ThinShip.Gravity);
            double cw = ThinShip.Deep(hull, u, 1, 3000, 5.2) / (0.5 * u * u * 0.148791);
            Assert.Equal(1, cw / o.Value.GetDouble(), 1e-5);
        }
    }
}
