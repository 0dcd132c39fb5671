using Stakeboat.Core.Boats;
using Stakeboat.Core.Calls;
using Stakeboat.Core.Crews;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Tests.Debrief;

/// <summary>What a heard call becomes as evidence: ranges between two eights, readings where words leave a choice.</summary>
public class MarginEvidenceFromCallsTests
{
    private static readonly RaceSheet Sheet = new(Crew.Named("Our Own", BoatClass.Eight), BoatClass.Eight.Geometry, Distance.FromMetres(2000),
        new Dictionary<int, string> { [1] = "Alder", [2] = "Our Own", [3] = "Birch" }, ["Alder", "Birch"], Distance.FromMetres(13.5), null);

    private static HeardCall Heard(Call call, double t = 160, double confidence = 1) =>
        new(Instant<RecordingClock>.FromSeconds(t), 0.1, call, confidence, "", 0, []);

    private static IReadOnlyList<MarginEvidence> Map(params HeardCall[] calls) =>
        MarginEvidenceFromCalls.Map(calls, Sheet, Sheet.Rivals, 60, 440).Evidence;

    private static MarginCall Margin(string? crew = "Alder", string our = "boat", string? their = null, double? seats = null, double? lengths = null,
        bool water = false, Side? side = null, bool mirror = false) => new(crew, our, their, seats, lengths, null, water, side, mirror);

    [Fact]
    public void TwoSeatsUp()
    {
        var p = Assert.IsType<PositionEvidence>(Map(Heard(Margin(seats: 2, side: Side.Ahead))).Single());
        Assert.Equal(100, p.At.Seconds, 9);
        Assert.Equal("Alder", p.Crew);
        Assert.Equal(1.5 * 1.4, p.Low, 9);
        Assert.Equal(2.5 * 1.4, p.High, 9);
        Assert.Equal(0, p.Source);
    }

    [Fact]
    public void OnTheirThree_IsOurCoxswainOrOurBowBall()
    {
        var e = Assert.IsType<EitherEvidence>(Map(Heard(Margin(our: "cox", their: "3"))).Single());
        Assert.Equal(2, e.Readings.Count);
        Assert.Equal(8.4, 0.5 * (e.Readings[0].Low + e.Readings[0].High), 9);
        Assert.Equal(-7.0, 0.5 * (e.Readings[1].Low + e.Readings[1].High), 9);
        Assert.True(e.Readings[0].Weight > e.Readings[1].Weight);
    }

    [Fact]
    public void TheyAreOnOurFour_IsTheirCoxswainOrTheirBowBall()
    {
        var e = Assert.IsType<EitherEvidence>(Map(Heard(Margin(our: "4", mirror: true))).Single());
        Assert.Contains(e.Readings, r => Math.Abs(0.5 * (r.Low + r.High) - (4.2 + 3 * 1.4 - 15.4)) < 1e-9);
        Assert.Contains(e.Readings, r => Math.Abs(0.5 * (r.Low + r.High) - (4.2 + 3 * 1.4)) < 1e-9);
    }

    [Fact]
    public void OpenWaterHasNoUpperBound()
    {
        var p = Assert.IsType<PositionEvidence>(Map(Heard(Margin(water: true, side: Side.Ahead))).Single());
        Assert.Equal(17.6, p.Low, 9);
        Assert.Equal(double.PositiveInfinity, p.High);
    }

    [Fact]
    public void ACrewThatIsNotNamed_IsProbablyTheOneSpokenOf()
    {
        var e = Map(Heard(Margin(seats: 1, side: Side.Behind), 160), Heard(Margin(crew: null, seats: 2, side: Side.Behind), 165));
        var m = Assert.IsType<EitherEvidence>(e[1]);
        Assert.True(m.Readings.Where(r => r.Crew == "Alder").Sum(r => r.Weight) > 2 * m.Readings.Where(r => r.Crew == "Birch").Sum(r => r.Weight));
        Assert.All(m.Readings, r => Assert.True(r.High < 0));
    }

    [Fact]
    public void ACrewUnderstoodFromTheTalkAlone_LeavesTheOthersOpen()
    {
        var named = Map(Heard(Margin(seats: 1, side: Side.Ahead)) with { Words = "a seat up on older" }).Single();
        Assert.IsType<PositionEvidence>(named);
        var e = Assert.IsType<EitherEvidence>(Map(Heard(Margin(seats: 1, side: Side.Ahead)) with { Words = "a seat up" }).Single());
        Assert.Contains(e.Readings, r => r.Crew == "Birch" && r.Low > 0);
        Assert.True(e.Readings.Where(r => r.Crew == "Alder").Sum(r => r.Weight) > 2 * e.Readings.Where(r => r.Crew == "Birch").Sum(r => r.Weight));
    }

    [Fact]
    public void LastTenStrokes_PutUsSomeNinetyMetresBeforeTheLine()
    {
        var e = Map(Heard(new StrokesToCall(10, StrokesTarget.Finish), 420));
        Assert.Equal(1910, Assert.Single(e.OfType<OwnPlaceEvidence>()).Metres, 9);
    }

    [Fact]
    public void ADoubtfulCall_LeavesTheOtherSideAndTheOtherCrewOpen()
    {
        var e = Assert.IsType<EitherEvidence>(Map(Heard(Margin(seats: 3, side: Side.Ahead), confidence: 0.5)).Single());
        Assert.Contains(e.Readings, r => r.Crew == "Alder" && r.High < 0);
        Assert.Contains(e.Readings, r => r.Crew == "Birch" && r.Low > 0);
        Assert.True(e.Spread.Trust < 0.8);
    }

    [Fact]
    public void TookASeat_IsATrendAndAChange()
    {
        var e = Map(Heard(Margin(seats: 1, side: Side.Ahead), 150), Heard(new TrendCall("Alder", Who.Us, 1), 165));
        Assert.Equal(1, Assert.Single(e.OfType<TrendEvidence>()).Sign);
        var change = Assert.Single(e.OfType<ChangeEvidence>());
        Assert.Equal(90, change.Since.Seconds, 9);
        Assert.Equal(1.4, 0.5 * (change.Low + change.High), 9);
    }

    [Fact]
    public void DistancesLeftAreCountedFromTheStart()
    {
        var e = Map(Heard(new DistanceCall(500, DistanceSense.Left), 350));
        Assert.Equal(1500, Assert.Single(e.OfType<OwnPlaceEvidence>()).Metres, 9);
    }

    [Fact]
    public void DemandsMakeNoEvidenceAndTalkAfterTheFinishNeither() =>
        Assert.Empty(Map(Heard(new WantCall("Alder", 1, null)), Heard(Margin(seats: 2, side: Side.Ahead), 450), Heard(Margin(seats: 2), 20)));

    [Fact]
    public void ATenIsTakenWhenItsStrokesAreCounted()
    {
        var calls = new List<HeardCall> { Heard(new RateCall(36, RateSense.Now), 100), Heard(new MoveCall(10, "legs"), 160) };
        for (int n = 1; n <= 10; n++)
        {
            calls.Add(Heard(new CountCall(n), 163.4 + (n - 1) * 60 / 36.0));
        }

        var move = MarginEvidenceFromCalls.Map(calls, Sheet, Sheet.Rivals, 60, 440).Moves.Single();
        Assert.Null(move.Crew);
        Assert.Equal(103, move.From.Seconds, 1);
        Assert.Equal(10 * 60 / 36.0, (move.To - move.From).Seconds, 6);
        Assert.Equal(10, move.Strokes);
    }

    [Fact]
    public void ARivalsMoveBelongsToTheCrewSpokenOf()
    {
        var move = MarginEvidenceFromCalls.Map([Heard(Margin("Birch", seats: 1, side: Side.Ahead), 150), Heard(new RivalMoveCall(null), 160)], Sheet, Sheet.Rivals, 60, 440)
            .Moves.Single();
        Assert.Equal("Birch", move.Crew);
        Assert.Equal(MoveOrigin.RivalCalled, move.Origin);
    }

    [Fact]
    public void AnEmptyRecordingMapsToNothing()
    {
        var e = MarginEvidenceFromCalls.Map([], Sheet, [], 60, 440);
        Assert.Empty(e.Evidence);
        Assert.Empty(e.Moves);
    }
}
