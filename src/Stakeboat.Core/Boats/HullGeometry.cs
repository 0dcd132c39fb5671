using Stakeboat.Core.Units;

namespace Stakeboat.Core.Boats;

/// <summary>
/// Where people sit in a hull. All distances are measured aft of the bow ball along the hull. Seat 1 is bow.
/// </summary>
public sealed record HullGeometry
{
    /// <param name="length">Bow ball to the end of the stern.</param>
    /// <param name="bowSeat">Bow ball to the middle of seat 1's slide, the reference that "their one seat" means.</param>
    /// <param name="seatSpacing">From one rower to the next.</param>
    /// <param name="seats">How many row.</param>
    /// <param name="cox">Bow ball to the coxswain; null where there is none.</param>
    /// <exception cref="ArgumentOutOfRangeException">A dimension is not positive or a seat lies outside the hull.</exception>
    public HullGeometry(Distance length, Distance bowSeat, Distance seatSpacing, int seats, Distance? cox)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(seats, 1);
        if (!(length.Metres > 0 && length.Metres < 40))
        {
            throw new ArgumentOutOfRangeException(nameof(length), length.Metres, "A hull is between 0 and 40 m long.");
        }

        if (!(seatSpacing.Metres > 0 && bowSeat.Metres > 0 && bowSeat.Metres + (seats - 1) * seatSpacing.Metres < length.Metres))
        {
            throw new ArgumentOutOfRangeException(nameof(bowSeat), bowSeat.Metres, "Every seat must lie inside the hull.");
        }

        if (cox is { } c && !(c.Metres > 0 && c.Metres < length.Metres))
        {
            throw new ArgumentOutOfRangeException(nameof(cox), c.Metres, "The coxswain must sit inside the hull.");
        }

        Length = length;
        BowSeat = bowSeat;
        SeatSpacing = seatSpacing;
        Seats = seats;
        Cox = cox;
    }

    public Distance Length { get; }

    public Distance BowSeat { get; }

    public Distance SeatSpacing { get; }

    public int Seats { get; }

    public Distance? Cox { get; }

    /// <summary>True where the coxswain lies in the bow, forward of seat 1 ("bow-loader").</summary>
    public bool CoxInBow => Cox is { } c && c < BowSeat;

    /// <summary>Bow ball to rower <paramref name="number"/> (1 is bow).</summary>
    public Distance Seat(int number)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(number, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(number, Seats);
        return BowSeat + SeatSpacing * (number - 1);
    }

    /// <summary>The covered bow, as a margin. Common practice, no source: 0.8 m forward of the bow seat's middle; 3.4 m in an eight.</summary>
    public Distance Canvas => BowSeat - Distance.FromMetres(0.8);

    public Distance FromSeats(double seats) => SeatSpacing * seats;

    public Distance FromLengths(double lengths) => Length * lengths;

    public double ToSeats(Distance margin) => margin / SeatSpacing;

    public double ToLengths(Distance margin) => margin / Length;
}
