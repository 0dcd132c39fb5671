using Stakeboat.Simulation.Hull;

namespace Stakeboat.Simulation.Tests.Hull;

/// <summary>
/// The models' parameters were chosen for these checks; the values come from an independent script (SciPy-free RK4, its own code);
/// the closed forms are exact.
/// </summary>
public class StrokeModelPublishedTests
{
    // The script read extremes at its grid points, 2 to 3 ms apart; here they are refined, so that
    // speeds differ by at most u'' dt²/8, some 3e-6 m/s, and times by half a step. The single's fastest moment is 1.2045 s here.
    private const double GridSpeed = 4e-6;
    private const double GridTime = 1e-3;

    private static ForceStroke Eight => new()
    {
        CrewMass = 680, BoatMass = 170, Drag = 10, Oars = 8, PeakForce = 150, Slide = 0.36, Drive = 0.72, Period = 60 / 36.0,
    };

    private static ForceStroke Single => new()
    {
        CrewMass = 85, BoatMass = 17, Drag = 3.2, Oars = 1, PeakForce = 300, Slide = 0.36, Drive = 0.8, Period = 2,
    };

    private static OarStroke OarEight => new()
    {
        CrewMass = 680, BoatMass = 170, Drag = 10, Oars = 8, BladeDrag = 60, Outboard = 2.3,
        MiddleAngle = 11 * Math.PI / 180, Sweep = 44 * Math.PI / 180, Slide = 0.36, Drive = 0.8, Period = 60 / 36.0,
    };

    private static void Close(double expected, double actual, double tolerance) =>
        Assert.True(Math.Abs(expected - actual) <= tolerance, $"expected {expected}, got {actual}");

    [Fact]
    public void ForceFormOfAnEight()
    {
        var p = StrokeIntegrator.Periodic(Eight, 2000);
        Close(5.690927, p.MeanSpeed, 6e-7);
        Close(4.41339, p.Slowest.Speed, 6e-6);
        Close(0.311, p.Slowest.Time, 6e-4);
        Close(6.65265, p.Fastest.Speed, 6e-6);
        Close(1.144, p.Fastest.Time, 6e-4);
        Close(5.470715, p.CatchSpeed, 6e-7);
        Close(9.48488, p.Metres, 6e-6);
        Close(-5.8352, p.LeastAcceleration, 6e-5);
        Close(0, p.Nodes.MinBy(n => n.Acceleration).Time, 1e-12);
        Close(5.2936, p.GreatestAcceleration, 6e-5);
        Close(0.655, p.Nodes.MaxBy(n => n.Acceleration).Time, GridTime);
        Close(0.05615, p.Fluctuation, 6e-6);
    }

    [Fact]
    public void ForceFormOfASingle()
    {
        var p = StrokeIntegrator.Periodic(Single, 2000);
        Close(4.829528, p.MeanSpeed, 6e-7);
        Close(3.539483, p.Slowest.Speed, GridSpeed);
        Close(0.274, p.Slowest.Time, 6e-4);
        Close(5.665450, p.Fastest.Speed, GridSpeed);
        Close(1.206, p.Fastest.Time, 2 * GridTime);
        Close(4.307716, p.CatchSpeed, 6e-7);
        Close(-5.2085, p.LeastAcceleration, 6e-5);
        Close(4.7889, p.GreatestAcceleration, 6e-5);
        Close(0.06892, p.Fluctuation, 6e-6);
    }

    [Fact]
    public void OarFormOfAnEight()
    {
        var p = StrokeIntegrator.Periodic(OarEight, 2000);
        Close(5.872728, p.MeanSpeed, 6e-7);
        Close(4.687302, p.Slowest.Speed, GridSpeed);
        Close(0.280, p.Slowest.Time, 6e-4);
        Close(6.902273, p.Fastest.Speed, GridSpeed);
        Close(1.192, p.Fastest.Time, 6e-4);
        Close(-4.8152, p.LeastAcceleration, 6e-5);
        Close(4.0101, p.GreatestAcceleration, 6e-5);
        Close(0.05002, p.Fluctuation, 6e-6);
    }

    [Fact]
    public void DragTakesWhatTheOarsGive()
    {
        // Closed form 2 N F t1 / pi; 550.0395 N s.
        double closed = 2 * 8 * 150 * 0.72 / Math.PI;
        Close(550.0395, closed, 6e-5);
        var p = StrokeIntegrator.Periodic(Eight, 1000);
        Close(closed, p.DragImpulse, 1e-8);
        Close(closed, p.PropulsiveImpulse, 1e-8);
        var oars = StrokeIntegrator.Periodic(OarEight, 1000);
        Close(oars.PropulsiveImpulse, oars.DragImpulse, 1e-3);
    }

    [Fact]
    public void WithoutForceAndDragMomentumStays()
    {
        var free = Eight with { Drag = 0, PeakForce = 0 };
        var nodes = StrokeIntegrator.Stroke(free, 5, 400, 400);
        for (int i = 0; i < nodes.Length; i++)
        {
            double exact = 5 - 680.0 / 850 * free.BodySpeed(nodes[i].Time, i <= 400);
            Close(exact, nodes[i].Speed, 1e-10);
        }

        Close(3.743363, nodes.Min(n => n.Speed), 6e-7);
        Close(5.955752, nodes.Max(n => n.Speed), 2e-5);
    }

    [Fact]
    public void CoastingFollowsTheClosedForm()
    {
        var coast = Eight with { PeakForce = 0, Slide = 0 };
        var nodes = StrokeIntegrator.Stroke(coast, 5, 200, 200);
        Close(4.553571, nodes[^1].Speed, 6e-7);
        Close(5 / (1 + 10 * 5 * coast.Period / 850), nodes[^1].Speed, 1e-12);
    }
}
