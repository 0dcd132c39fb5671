using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Tests.Numerics;

public class FalseDiscoveryPublished
{
    /// <summary>The fifteen p-values of Benjamini and Hochberg 1995, section 3.2 (thrombolysis trial): at 5 % four hypotheses are rejected.</summary>
    [Fact]
    public void TheWorkedExample_GivesFourDiscoveries()
    {
        double[] p = [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.000];
        Assert.Equal(4, FalseDiscovery.Discoveries(p, 0.05));
        Assert.Equal(4, FalseDiscovery.Discoveries([.. p.Reverse()], 0.05));
    }

    [Fact]
    public void NothingAsked_NothingFound()
    {
        Assert.Equal(0, FalseDiscovery.Discoveries([], 0.1));
        Assert.Equal(0, FalseDiscovery.Discoveries([0.6, 0.9], 0.1));
        Assert.Equal(0.99, FalseDiscovery.IntervalLevel(0, 10, 0.1), 12);
        Assert.Equal(0.96, FalseDiscovery.IntervalLevel(4, 10, 0.1), 12);
    }
}
