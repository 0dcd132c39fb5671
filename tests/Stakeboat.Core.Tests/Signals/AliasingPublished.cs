using Stakeboat.Core.Signals;

namespace Stakeboat.Core.Tests.Signals;

/// <summary>Rates under 60 looks a minute (closed form 60 |f - round f|; a spectrum of a simulated race showed 23.95 for 36).</summary>
public class AliasingPublished
{
    [Theory]
    [InlineData(32, 28)]
    [InlineData(36, 24)]
    [InlineData(40, 20)]
    [InlineData(27, 27)]
    public void ARateAboveThirtyFoldsBelow(double rate, double appears) => Assert.Equal(appears, Aliasing.Appears(rate, 60), 12);

    [Fact]
    public void FiveLooksASecondFoldNothing() => Assert.Equal(36, Aliasing.Appears(36, 300), 12);
}
