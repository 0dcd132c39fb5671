using Stakeboat.Core.Units;

namespace Stakeboat.Core.Courses;

/// <summary>A place on a course at a distance from the start. Without a name it is known by its distance.</summary>
public sealed record Mark(string? Name, Distance FromStart);

/// <summary>A vertex of a course line in WGS 84 degrees.</summary>
public readonly record struct CoursePoint(double LatitudeDegrees, double LongitudeDegrees);

/// <summary>A place that a boat must pass: where it is, how wide, what it is called.</summary>
public sealed record Bridge(string Name, Distance FromStart, Distance? ClearWidth);

/// <summary>A stretch where the course turns. Positive angle: to starboard.</summary>
public sealed record Bend(string Name, Distance From, Distance To, Angle Turn);

/// <summary>Where a race is rowed.</summary>
/// <param name="Name">The water's name.</param>
/// <param name="Length">Start to finish along the course.</param>
/// <param name="Marks">Named places in order.</param>
public abstract record Course(string Name, Distance Length, IReadOnlyList<Mark> Marks);

/// <summary>Parallel straight lanes.</summary>
/// <param name="LaneWidth">Centre to centre. 13.5 m is the international standard; older courses have 12.5 or less.</param>
/// <param name="Start">Start of lane 1 where known.</param>
/// <param name="Heading">From start to finish.</param>
public sealed record StraightCourse(
    string Name, Distance Length, IReadOnlyList<Mark> Marks, Distance LaneWidth, CoursePoint? Start = null, Bearing? Heading = null)
    : Course(Name, Length, Marks)
{
    /// <summary>Marks at every <paramref name="step"/> short of the finish, and the finish itself.</summary>
    public static StraightCourse WithMarksEvery(string name, Distance length, Distance step, Distance laneWidth)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(step.Metres);
        var marks = new List<Mark>();
        for (int i = 1; i * step.Metres < length.Metres - 1e-9; i++)
        {
            marks.Add(new Mark(null, step * i));
        }

        marks.Add(new Mark("finish", length));
        return new StraightCourse(name, length, marks, laneWidth);
    }

    /// <summary>Sideways distance between the centres of two lanes.</summary>
    public Distance Between(int laneA, int laneB) => LaneWidth * Math.Abs(laneA - laneB);
}

/// <summary>A river: a line with bridges and bends.</summary>
public sealed record RiverCourse(
    string Name, Distance Length, IReadOnlyList<Mark> Marks, IReadOnlyList<CoursePoint> Line,
    IReadOnlyList<Bridge> Bridges, IReadOnlyList<Bend> Bends)
    : Course(Name, Length, Marks);
