using Stakeboat.Core.Boats;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Margins;

/// <summary>A margin between two bounds, m; either may be infinite.</summary>
public readonly record struct MarginRange(double Low, double High)
{
    public double Middle => 0.5 * (Low + High);

    public static MarginRange About(double middle, double half) => new(middle - half, middle + half);

    public MarginRange Mirrored() => new(-High, -Low);
}

/// <summary>
/// What words of position mean between two hulls, each with its own geometry: margins are our bow ball ahead of theirs, m.
/// A place of our hull, x metres aft of our bow ball, is level with a place of theirs, y aft of their bow ball, where the margin is x - y.
/// </summary>
/// <param name="us">Our hull.</param>
/// <param name="them">Theirs.</param>
public sealed class HullGauge(HullGeometry us, HullGeometry them)
{
    public HullGeometry Us { get; } = us;

    public HullGeometry Them { get; } = them;

    /// <summary>Our coxswain level with their rower: within half of their spacing; null where we carry none or they have no such seat.</summary>
    public MarginRange? CoxOnSeat(int seat) => Us.Cox is { } c && seat >= 1 && seat <= Them.Seats
        ? MarginRange.About((c - Them.Seat(seat)).Metres, Them.SeatSpacing.Metres / 2)
        : null;

    /// <summary>Our bow ball level with their rower.</summary>
    public MarginRange? BowOnSeat(int seat) => seat >= 1 && seat <= Them.Seats
        ? MarginRange.About(-Them.Seat(seat).Metres, Them.SeatSpacing.Metres / 2)
        : null;

    /// <summary>Their coxswain level with our rower.</summary>
    public MarginRange? TheirCoxOnOurSeat(int seat) => Them.Cox is { } c && seat >= 1 && seat <= Us.Seats
        ? MarginRange.About((Us.Seat(seat) - c).Metres, Us.SeatSpacing.Metres / 2)
        : null;

    /// <summary>Their bow ball level with our rower.</summary>
    public MarginRange? TheirBowOnOurSeat(int seat) => seat >= 1 && seat <= Us.Seats
        ? MarginRange.About(Us.Seat(seat).Metres, Us.SeatSpacing.Metres / 2)
        : null;

    /// <summary>A place of ours level with a place of theirs, each aft of its bow ball, within half a seat.</summary>
    public MarginRange Level(Distance ours, Distance theirs) =>
        MarginRange.About((ours - theirs).Metres, Them.SeatSpacing.Metres / 2);

    /// <summary>"Up two seats": our seat spacing, within a half; signed.</summary>
    public MarginRange Seats(double seats, double half = 0.5) => MarginRange.About(seats * Us.SeatSpacing.Metres, half * Us.SeatSpacing.Metres);

    /// <summary>"Half a length up": the length of the hull ahead, within 0.15 of one; signed.</summary>
    public MarginRange Lengths(double lengths, double half = 0.15)
    {
        double length = Ahead(lengths).Length.Metres;
        return MarginRange.About(lengths * length, half * length);
    }

    /// <summary>"A canvas": the covered bow of the hull ahead, within half of itself; signed.</summary>
    public MarginRange CanvasBy(int sign)
    {
        double canvas = Ahead(sign).Canvas.Metres;
        return MarginRange.About(Math.Sign(sign) * canvas, canvas / 2);
    }

    /// <summary>"Open water" by so many lengths beyond the end of overlap; 0: only that there is some. Positive: we lead.</summary>
    public MarginRange OpenWater(int sign, double lengths = 0)
    {
        // Clear when the bow ball of the one behind has left the stern of the one ahead: the length of the hull ahead.
        double ahead = Ahead(sign).Length.Metres;
        var range = lengths > 0
            ? MarginRange.About((1 + lengths) * ahead, 0.15 * ahead)
            : new MarginRange(ahead, double.PositiveInfinity);
        return sign >= 0 ? range : range.Mirrored();
    }

    /// <summary>A margin in seats of our own spacing.</summary>
    public double ToSeats(Distance margin) => margin / Us.SeatSpacing;

    /// <summary>A margin in lengths of the hull ahead; signed.</summary>
    public double ToLengths(Distance margin) => margin / Ahead(margin.Metres).Length;

    /// <summary>A margin in canvases of the hull ahead; signed.</summary>
    public double ToCanvases(Distance margin) => margin / Ahead(margin.Metres).Canvas;

    /// <summary>The time by which the crew behind will be later at the place where the crew ahead is now, s, signed as the margin.</summary>
    /// <param name="speedBehind">Speed of the crew behind.</param>
    public static Duration ToTime(Distance margin, SpeedOverGround speedBehind) => Duration.FromSeconds(margin.Metres / speedBehind.MetresPerSecond);

    /// <summary>The margin that a gap in time makes; the speed is that of the crew behind.</summary>
    public static Distance FromTime(Duration gap, SpeedOverGround speedBehind) => speedBehind * gap;

    private HullGeometry Ahead(double margin) => margin >= 0 ? Us : Them;
}
