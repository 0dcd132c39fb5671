using Stakeboat.Core.Boats;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Plans;

/// <summary>What a stretch of the race is for.</summary>
public enum SegmentKind { Start, High, Settle, Lengthen, Base, Build, Move, Sprint }

/// <summary>A place in the race as a person writes it. Exactly one reading is set by each kind.</summary>
public abstract record PlanPlace;

/// <summary>So many metres from the start ("at 500 m").</summary>
public sealed record MetresGone(double Metres) : PlanPlace;

/// <summary>So many metres before the finish ("at 250 m to go", "last 250 m").</summary>
public sealed record MetresLeft(double Metres) : PlanPlace;

/// <summary>The catch of stroke number n; the first stroke after "go" is 1.</summary>
public sealed record StrokeNumber(double Number) : PlanPlace;

/// <summary>So many strokes before the finish ("at 30 strokes to go").</summary>
public sealed record StrokesLeft(double Strokes) : PlanPlace;

/// <summary>Seconds on the race clock ("at 4:00").</summary>
public sealed record SecondsGone(double Seconds) : PlanPlace;

/// <summary>A named place of the course.</summary>
public sealed record AtMark(string Name) : PlanPlace;

/// <summary>Half of the race's distance.</summary>
public sealed record HalfWay : PlanPlace;

/// <summary>The finish line.</summary>
public sealed record FinishLine : PlanPlace;

/// <summary>What sets a cue off.</summary>
public abstract record PlanTrigger;

/// <summary>A place in the race.</summary>
public sealed record PlaceTrigger(PlanPlace Place) : PlanTrigger;

/// <summary>"Every 250 m", "every 20 strokes": from the first multiple after the start to the last before the finish.</summary>
public sealed record EveryTrigger(double Step, bool InStrokes) : PlanTrigger;

/// <summary>Before the first stroke.</summary>
public sealed record BeforeStartTrigger : PlanTrigger;

/// <summary>"When they move", "when Larkmoor go": a rival's burst begins. Crew is null for any.</summary>
public sealed record RivalMovesTrigger(string? Crew) : PlanTrigger;

/// <summary>"Half way through their ten": the answer to a rival's burst, so many of their strokes after its first.</summary>
/// <param name="TheirStrokes">Strokes of their burst; null where not said.</param>
/// <param name="Fraction">Where in it, 0.5 for half way.</param>
public sealed record ThroughTheirMoveTrigger(string? Crew, int? TheirStrokes, double Fraction) : PlanTrigger;

/// <summary>"If they reach our 5 seat", "when we are on their 3 seat".</summary>
public sealed record MarginTrigger(string? Crew, bool TheySeeUs, string Seat) : PlanTrigger;

/// <summary>Any other condition, kept as it was written ("if we hit the wash").</summary>
public sealed record WordsTrigger(string Words) : PlanTrigger;

/// <summary>How long a segment lasts, as written; more than one may stand and then they must agree.</summary>
/// <param name="Strokes">"20 strokes".</param>
/// <param name="Metres">"300 m".</param>
/// <param name="Seconds">"45 s".</param>
/// <param name="Until">"to 1000 m", "to the boathouse".</param>
/// <param name="LastMetres">"last 300 m": from there to the finish.</param>
/// <param name="LastStrokes">"last 30 strokes".</param>
public sealed record SegmentExtent(
    double? Strokes = null, double? Metres = null, double? Seconds = null, PlanPlace? Until = null, double? LastMetres = null, double? LastStrokes = null)
{
    public bool Empty => Strokes is null && Metres is null && Seconds is null && Until is null && LastMetres is null && LastStrokes is null;
}

/// <summary>A rate that climbs by steps: "38, 40, 42" in equal parts, or "up 2 every 100 m".</summary>
public sealed record RateLadder(IReadOnlyList<double> Rates, double? UpBy = null, double? Every = null, bool EveryInStrokes = false);

/// <summary>A segment as written.</summary>
/// <param name="Line">1-based line in the text.</param>
/// <param name="Rate">Strokes/min held through it; null: as before it.</param>
/// <param name="RateTo">Strokes/min reached at its end ("settle 5 strokes to 36"); null: no ramp.</param>
/// <param name="SecPer500">Pace it is to be rowed at; null: from the base pace and the rate.</param>
/// <param name="EffortPercent">Power above the base effort, %.</param>
/// <param name="Fractions">Slide fractions of the start's strokes; 1 is full slide.</param>
public sealed record SegmentLine(
    int Line, SegmentKind Kind, string Name, SegmentExtent Extent, double? Rate, double? RateTo, double? SecPer500, double? EffortPercent,
    string? Purpose, string? Words, IReadOnlyList<double> Fractions, RateLadder? Ladder);

/// <summary>A cue as written: what sets it off and what is then done.</summary>
/// <param name="Strokes">Strokes of the burst; null for a lasting change or mere words.</param>
/// <param name="Rate">"At 38".</param>
/// <param name="RateBy">"Up 2", "down 1".</param>
/// <param name="InStrokes">Warning strokes before it takes hold ("in 2").</param>
/// <param name="OverStrokes">Strokes across which the rate changes ("over 5").</param>
/// <param name="Instead">It takes the place of the next planned burst.</param>
/// <param name="ActionText">What stands after the colon, as written.</param>
public sealed record CueLine(
    int Line, PlanTrigger Trigger, string TriggerText, string ActionText, int? Strokes, double? Seconds, double? Metres, double? Rate, double? RateBy,
    int? InStrokes, int? OverStrokes, double? EffortPercent, string? Purpose, string? Words, bool Instead);

/// <summary>A named place of the course with the line that names it.</summary>
public sealed record PlanMark(int Line, string Name, PlanPlace Place);

/// <summary>Wind as written: along the course, or by bearing.</summary>
/// <param name="SpeedMps">At 10 m unless <paramref name="AtCrewHeight"/>, m/s.</param>
/// <param name="AngleDegrees">From the bow: 0 head, 90 across, 180 tail; null where a bearing is given.</param>
/// <param name="FromDegrees">Bearing it blows from; needs the course's heading.</param>
public sealed record PlanWind(int Line, double SpeedMps, double? AngleDegrees, double? FromDegrees, bool AtCrewHeight);

/// <summary>The head of a plan: what it assumes. Values not written are null.</summary>
public sealed record PlanHead
{
    public string? Title { get; init; }

    public string? Crew { get; init; }

    public string? Course { get; init; }

    public string? Date { get; init; }

    public BoatClass? Boat { get; init; }

    public double? Metres { get; init; }

    public double? BaseSecPer500 { get; init; }

    public double? GoalSeconds { get; init; }

    public double? BaseRate { get; init; }

    /// <summary>Speed gained for each stroke/min above the base rate, %.</summary>
    public double? LiftPercent { get; init; }

    public PlanWind? Wind { get; init; }

    public double? WaterCelsius { get; init; }

    public double? AirCelsius { get; init; }

    /// <summary>Bearings of the course's parts from start to finish; one for a straight course, none where not written.</summary>
    public IReadOnlyList<HeadingPart> Headings { get; init; } = [];

    /// <summary>Open water over which the wind has blown, m, for the height of its waves.</summary>
    public double? FetchMetres { get; init; }

    /// <summary>What the plan says of the crew itself.</summary>
    public PlanCrewFacts Own { get; init; } = PlanCrewFacts.None;

    /// <summary>Water moving along the course, m/s; positive with the crew.</summary>
    public double? StreamMps { get; init; }

    public double? DepthMetres { get; init; }

    public bool RollingStart { get; init; }

    public IReadOnlyList<string> Rivals { get; init; } = [];

    public IReadOnlyList<PlanMark> Marks { get; init; } = [];

    /// <summary>The line that wrote each value, by its key.</summary>
    public IReadOnlyDictionary<string, int> Lines { get; init; } = new Dictionary<string, int>();
}

/// <summary>One of the plans in a text: A, B or C.</summary>
/// <param name="When">When it is taken, as written ("head wind"); null for the first.</param>
public sealed record PlanVariant(string Name, string? When, int Line, PlanHead Head, IReadOnlyList<SegmentLine> Segments, IReadOnlyList<CueLine> Cues);

/// <summary>A plan's text as understood.</summary>
public sealed record PlanSheet(IReadOnlyList<PlanVariant> Variants, IReadOnlyList<PlanIssue> Issues)
{
    public bool HasErrors => Issues.Any(i => i.Severity == PlanSeverity.Error);

    public PlanVariant? Find(string? name) =>
        name is null ? Variants.FirstOrDefault() : Variants.FirstOrDefault(v => string.Equals(v.Name, name, StringComparison.OrdinalIgnoreCase));
}
