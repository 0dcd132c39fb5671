using Stakeboat.Simulation.Hull;

namespace Stakeboat.Simulation.Tests.Hull;

public class StrokeIntegratorPropertiesTests
{
    private static ForceStroke Eight => new()
    {
        CrewMass = 680, BoatMass = 170, Drag = 10, Oars = 8, PeakForce = 150, Slide = 0.36, Drive = 0.72, Period = 60 / 36.0,
    };

    [Fact]
    public void HalvingTheStepDividesTheErrorBySixteen()
    {
        double Mean(int n) => StrokeIntegrator.Periodic(Eight, n).CatchSpeed;
        double best = Mean(1600), coarse = Math.Abs(Mean(10) - best), fine = Math.Abs(Mean(20) - best);
        Assert.InRange(coarse / fine, 11, 22);
        Assert.True(Math.Abs(Mean(200) - best) < 1e-7);
    }

    [Fact]
    public void TheSpikeLeavesTheMeanAndSharpensTheCatch()
    {
        var plain = StrokeIntegrator.Periodic(Eight, 1000);
        var sharp = StrokeIntegrator.Periodic(Eight with { Spike = new CatchSpike(4, 0.04) }, 1000);
        Assert.InRange(Math.Abs(sharp.MeanSpeed - plain.MeanSpeed), 0, 0.02);
        Assert.InRange(plain.LeastAcceleration - sharp.LeastAcceleration, 3.5, 4.5);
        double sum = 0;
        for (int i = 0; i < 100000; i++)
        {
            sum += new CatchSpike(4, 0.04).At((i + 0.5) / 100000 * Eight.Period, Eight.Period);
        }

        Assert.InRange(sum / 100000, -1e-6, 1e-6);
    }

    [Fact]
    public void AHeavierCrewAtTheSameWorkIsChangedNotCreated()
    {
        // Scaling all masses, the drag and the force by one factor changes no speed.
        var twice = Eight with { CrewMass = 1360, BoatMass = 340, Drag = 20, PeakForce = 300 };
        Assert.Equal(StrokeIntegrator.Periodic(Eight).MeanSpeed, StrokeIntegrator.Periodic(twice).MeanSpeed, 11);
    }

    [Fact]
    public void ADriveLongerThanTheStrokeIsRefused() =>
        Assert.Throws<ArgumentException>(() => StrokeIntegrator.Stroke(Eight with { Drive = 2 }, 5, 10, 10));
}
