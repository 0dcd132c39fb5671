using Stakeboat.Core.Energetics;
using Stakeboat.Core.Pacing;

namespace Stakeboat.Core.Tests.Pacing;

/// <summary>What a hard start is worth under each law of oxygen uptake, against even power, in the illustrative eight of 330 s.</summary>
public sealed class StartGainsCertifiedTests
{
    private static double Gain(OxygenLaw law, double metres, double share, double tau = OxygenUptake.ChampionTau) =>
        -PlanPrice.UnderOxygenLaws(PacingPublishedTests.Eight, PacingPublishedTests.Crew, WindAlong.Calm, 2000, new PowerShape([0, metres], [1 + share, 1]), 0, tau)
            .First(o => o.Law == law).AgainstEven;

    /// <summary>Demand-driven: first 100 m +80 % gains 1.8 s, first 200 m +30 % 1.2 s, first 500 m +20 % 0.7 s.</summary>
    [Theory]
    [InlineData(100, 0.8, 1.8)]
    [InlineData(200, 0.3, 1.2)]
    [InlineData(500, 0.2, 0.7)]
    public void Demand_driven(double metres, double share, double seconds) => Assert.Equal(seconds, Gain(OxygenLaw.DemandDriven, metres, share), 0.3);

    /// <summary>Saturating: the lag costs the same however the race is paced; the best start gains 0.2 s, as with a constant supply.</summary>
    [Theory]
    [InlineData(100, 0.8)]
    [InlineData(200, 0.3)]
    [InlineData(500, 0.2)]
    public void Saturating(double metres, double share)
    {
        double saturating = Gain(OxygenLaw.Saturating, metres, share);
        Assert.Equal(Gain(OxygenLaw.Constant, metres, share), saturating, 0.12);
        Assert.InRange(saturating, -0.6, 0.3);
    }
}
