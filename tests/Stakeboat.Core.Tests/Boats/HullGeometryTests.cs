using Stakeboat.Core.Boats;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Boats;

public class HullGeometryTests
{
    [Fact]
    public void SeatsOfAnEight_LieWhereTheLexiconPutsThem()
    {
        var g = BoatClass.Eight.Geometry;
        Assert.Equal(4.2, g.Seat(1).Metres, 12);
        Assert.Equal(14.0, g.Seat(8).Metres, 12);
        Assert.Equal(15.4, g.Cox!.Value.Metres, 12);
        Assert.Equal(3.4, g.Canvas.Metres, 12);
    }

    [Fact]
    public void CoxOfABowLoader_LiesForwardOfSeatOne() => Assert.True(BoatClass.FourBowCoxed.Geometry.CoxInBow);

    [Theory]
    [InlineData(0)]
    [InlineData(9)]
    public void SeatsThatDoNotExistAreRefused(int seat) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => BoatClass.Eight.Geometry.Seat(seat));

    [Fact]
    public void AHullTooShortForItsSeatsIsRefused() => Assert.Throws<ArgumentOutOfRangeException>(() =>
        new HullGeometry(Distance.FromMetres(10), Distance.FromMetres(4.2), Distance.FromMetres(1.4), 8, null));

    [Fact]
    public void EveryClassIsFoundByItsCode() => Assert.All(BoatClass.All, c => Assert.Same(c, BoatClass.Find(c.Code)));

    [Fact]
    public void EveryCoxedClassHasACoxAndNoOther() => Assert.All(BoatClass.All, c => Assert.Equal(c.Coxed, c.Geometry.Cox is not null));
}
