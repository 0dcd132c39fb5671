namespace Stakeboat.Core.Measurement;

/// <summary>A named place in WGS 84 degrees, north and east positive.</summary>
public sealed record NamedPlace(string Name, double LatitudeDegrees, double LongitudeDegrees);

/// <summary>A line of a course plan: a bank, a lane rope, the way to row. Closed where the first point comes again at the end.</summary>
/// <param name="Points">WGS 84 degrees, north and east positive.</param>
public sealed record MapLine(string Name, IReadOnlyList<(double LatitudeDegrees, double LongitudeDegrees)> Points, bool Closed);
