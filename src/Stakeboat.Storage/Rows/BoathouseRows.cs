namespace Stakeboat.Storage.Rows;

/// <summary>Somebody of the boathouse. Nothing but a name is asked for.</summary>
public sealed class PersonRow
{
    public required string Id { get; set; }

    public required string Name { get; set; }

    /// <summary>kg.</summary>
    public double? Mass { get; set; }

    public bool Archived { get; set; }
}

public sealed class CrewRow
{
    public required string Id { get; set; }

    public required string Name { get; set; }

    /// <summary>Class of boat: 8+, 4x and so on.</summary>
    public required string Boat { get; set; }

    public string? HullId { get; set; }

    /// <summary>The crew's own words, one a line: "anvil = ten for legs".</summary>
    public required string Words { get; set; }

    public bool Archived { get; set; }
}

/// <summary>Who sits where; seat 0 is the coxswain, 1 is bow.</summary>
public sealed class SeatRow
{
    public required string CrewId { get; set; }

    public int Seat { get; set; }

    public required string PersonId { get; set; }
}

/// <summary>A hull as the crew's tape measure found it. Metres aft of the bow ball.</summary>
public sealed class HullRow
{
    public required string Id { get; set; }

    public required string Name { get; set; }

    public required string Boat { get; set; }

    public double Length { get; set; }

    public double BowSeat { get; set; }

    public double SeatSpacing { get; set; }

    public int Seats { get; set; }

    public double? Cox { get; set; }

    public bool Archived { get; set; }
}

public sealed class CourseRow
{
    public required string Id { get; set; }

    public required string Name { get; set; }

    /// <summary>m.</summary>
    public double Length { get; set; }

    /// <summary>m, centre to centre.</summary>
    public double LaneWidth { get; set; }

    /// <summary>One a line: metres from the start, then the name.</summary>
    public required string Marks { get; set; }

    public bool Archived { get; set; }
}

public sealed class SettingRow
{
    public required string Name { get; set; }

    public required string Value { get; set; }
}
