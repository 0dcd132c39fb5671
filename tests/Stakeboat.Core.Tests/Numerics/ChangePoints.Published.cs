using Stakeboat.Core.Numerics;

namespace Stakeboat.Core.Tests.Numerics;

/// <summary>
/// Annual flow of the Nile at Aswan, 1871-1970 (Cobb 1978, Biometrika 65; sum 91 935). One change after 1898; numbers of the segmentations
/// from an independent computation and from R's strucchange 1.5-3.
/// </summary>
public class ChangePointsPublished
{
    private static readonly double[] Nile =
    [
        1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180, 799, 958, 1140, 1100, 1210, 1150, 1250, 1260,
        1220, 1030, 1100, 774, 840, 874, 694, 940, 833, 701, 916, 692, 1020, 1050, 969, 831, 726, 456, 824, 702, 1120, 1100, 832, 764, 821, 768, 845,
        864, 862, 698, 845, 744, 796, 1040, 759, 781, 865, 845, 944, 984, 897, 822, 1010, 771, 676, 649, 846, 812, 742, 801, 1040, 860, 874, 848, 890,
        744, 749, 838, 1050, 918, 986, 797, 923, 975, 815, 1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
    ];

    private static double Log => Math.Log(100) * 14134.17;

    [Fact]
    public void TheSeriesIsThePublishedOne() => Assert.Equal(91_935, Nile.Sum());

    [Fact]
    public void OneChangeAfter1898()
    {
        var found = ChangePoints.Find(Nile, 2 * Log);
        Assert.Equal([28], found.Ends);
        Assert.Equal(1727637.7154, found.Cost, 0.03); // the variance in the penalty is given to two decimals
        Assert.Equal(1597457.194, found.Cost - 2 * Log, 3);
    }

    [Fact]
    public void ASmallerPenaltyFindsEleven()
    {
        var found = ChangePoints.Find(Nile, Log);
        Assert.Equal(11, found.Ends.Count);
        Assert.Equal(1532830.5044, found.Cost, 0.1);
    }

    [Fact]
    public void PruningLosesNothingAndSavesHalfTheWork()
    {
        var pruned = ChangePoints.Find(Nile, 2 * Log);
        var whole = ChangePoints.Find(Nile, 2 * Log, prune: false);
        Assert.Equal(whole.Ends, pruned.Ends);
        Assert.Equal(whole.Cost, pruned.Cost, 6);
        Assert.Equal(5050, whole.Evaluations);
        Assert.InRange(pruned.Evaluations, 2500, 2525);
    }

    [Fact]
    public void NothingAndOneValueHaveNoChange()
    {
        Assert.Empty(ChangePoints.Find([], 1).Ends);
        Assert.Empty(ChangePoints.Find([3], 1).Ends);
    }
}
