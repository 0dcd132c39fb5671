using Stakeboat.Core.Physics;

namespace Stakeboat.Core.Tests.Physics;

/// <summary>Means of the Manning profile over a parabolic bed and of the power law over the depth: an independent computation, and closed forms.</summary>
public class StreamProfilePublishedTests
{
    [Fact]
    public void MeansOverAParabolicBed()
    {
        var (width, area) = StreamProfile.ParabolicBedMeans();
        Assert.Equal(.7392, width, 6e-5);
        Assert.Equal(.8529, area, 6e-5);
    }

    [Fact]
    public void MeanOverTheDepth()
    {
        Assert.Equal(.875, StreamProfile.MeanOverSurface(7), 12);
        Assert.Equal(.857, StreamProfile.MeanOverSurface(6), 6e-4);
    }

    [Fact]
    public void ShallowWaterRunsSlower()
    {
        Assert.Equal(1, StreamProfile.Across(4, 4), 12);
        Assert.Equal(Math.Pow(.5, 2.0 / 3), StreamProfile.Across(2, 4), 12);
        Assert.Equal(0, StreamProfile.Across(-1, 4));
    }

    [Fact]
    public void TimeThroughAStream()
    {
        Assert.Equal(2000 / 5.5, StreamProfile.Seconds([(1000, 5, .5), (1000, 5, .5)]), 9);
        Assert.Throws<ArgumentException>(() => StreamProfile.Seconds([(100, 2, -2)]));
    }
}
