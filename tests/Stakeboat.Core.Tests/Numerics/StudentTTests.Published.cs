using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Tests.Numerics;

public class StudentTTestsPublished
{
    // Percentage points of t, two-sided, as printed in Abramowitz and Stegun 1964, table 26.10 (from memory), three decimals.
    [Theory]
    [InlineData(0.90, 1, 6.314)]
    [InlineData(0.90, 2, 2.920)]
    [InlineData(0.90, 5, 2.015)]
    [InlineData(0.90, 10, 1.812)]
    [InlineData(0.90, 30, 1.697)]
    [InlineData(0.95, 3, 3.182)]
    [InlineData(0.95, 9, 2.262)]
    [InlineData(0.99, 4, 4.604)]
    [InlineData(0.99, 120, 2.617)]
    public void PercentagePoints(double p, int dof, double t) => Assert.Equal(t, StudentT.TwoSided(p, dof), 3);
}
