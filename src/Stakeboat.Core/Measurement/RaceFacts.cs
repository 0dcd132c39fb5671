using Stakeboat.Core.Boats;
using Stakeboat.Core.Crews;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Measurement;

/// <summary>What a person types in about a race or an outing. Everything but our crew is optional.</summary>
/// <param name="Us">Our crew with its boat and words.</param>
/// <param name="Hull">Our hull's geometry: measured where given, else the class's.</param>
/// <param name="Distance">Length of the race; null for an outing or where not known.</param>
/// <param name="Lanes">Crew by lane or station; ours among them where known.</param>
/// <param name="Rivals">Crews that may be spoken of, ours not among them, lanes or not.</param>
/// <param name="LaneWidth">Centre to centre.</param>
/// <param name="GoAt">The word "go" on the recording, where the person said it.</param>
public sealed record RaceSheet(
    Crew Us,
    HullGeometry Hull,
    Distance? Distance,
    IReadOnlyDictionary<int, string> Lanes,
    IReadOnlyList<string> Rivals,
    Distance LaneWidth,
    Instant<RecordingClock>? GoAt)
{
    /// <summary>Our lane where the sheet has one.</summary>
    public int? OurLane => Lanes.Where(l => l.Value == Us.Name).Select(l => (int?)l.Key).FirstOrDefault();

    public int? LaneOf(string crew) => Lanes.Where(l => l.Value == crew).Select(l => (int?)l.Key).FirstOrDefault();
}

/// <summary>One crew's line of a result sheet.</summary>
/// <param name="Times">Race time at each mark from the start, in order; the last is the finish where it stands at the race's distance.</param>
/// <param name="Verdict">The gap to the crew before in words ("canvas", "3/4 length"), where the sheet gave words.</param>
public sealed record ResultRow(int? Place, int? Lane, string Crew, IReadOnlyList<MarkTime> Times, string? Verdict = null);

public readonly record struct MarkTime(Distance Mark, Duration Time);

/// <summary>What the regatta published.</summary>
public sealed record ResultSheet(Distance? Distance, IReadOnlyList<ResultRow> Rows);
