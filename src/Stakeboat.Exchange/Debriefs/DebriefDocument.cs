namespace Stakeboat.Exchange.Debriefs;

/// <summary>
/// A whole debrief on disk and wire, version 1: planned, called and rowed on one clock.
/// Every <c>T</c> is seconds on the document's clock (the recording's or captions' where there is one, else the main sensor's,
/// counted from its first sample); the race clock is <c>T - Clock.GoAt</c>. Distances m, speeds m/s, rates strokes/min;
/// <c>Low90, High90</c> bound a 90 % interval. Margins: positive, we lead. What is not known is absent.
/// Columns are parallel arrays; a gap in a column is null.
/// </summary>
public sealed record DebriefDocument
{
    public const string SchemaName = "stakeboat.debrief";

    public const int CurrentVersion = 1;

    public string Schema { get; init; } = SchemaName;

    public int Version { get; init; } = CurrentVersion;

    /// <summary>Version of the engine that made it.</summary>
    public required string Engine { get; init; }

    /// <summary>Name of the outing.</summary>
    public required string Name { get; init; }

    public required CrewPart Us { get; init; }

    /// <summary>Every crew of the race, ours among them, in the order of lanes.</summary>
    public required IReadOnlyList<CrewPart> Crews { get; init; }

    public double? LaneWidth { get; init; }

    public required ClockPart Clock { get; init; }

    /// <summary>Files and what they gave.</summary>
    public required IReadOnlyList<SourcePart> Sources { get; init; }

    /// <summary>What could not be read, or is doubtful.</summary>
    public required IReadOnlyList<IssuePart> Issues { get; init; }

    /// <summary>What a further file would give, a sentence each.</summary>
    public required IReadOnlyList<string> MoreWouldGive { get; init; }

    public PlannedPart? Planned { get; init; }

    public CalledPart? Called { get; init; }

    public RowedPart? Rowed { get; init; }

    public LinePart? Line { get; init; }

    public required IReadOnlyList<MarginPart> Margins { get; init; }

    /// <summary>What each margin was drawn from: the marks on its chart.</summary>
    public required IReadOnlyList<EvidencePart> Evidence { get; init; }

    public required IReadOnlyList<MovePart> Moves { get; init; }

    /// <summary>Where the regatta published a result.</summary>
    public IReadOnlyList<ResultPart>? Result { get; init; }

    /// <summary>In order of worth to the next race.</summary>
    public required IReadOnlyList<FindingPart> Findings { get; init; }
}

/// <param name="Lane">Lane or station where known.</param>
/// <param name="Boat">Class, e.g. 8+.</param>
/// <param name="BowSeat">Bow ball to seat 1, m; the other places likewise aft of the bow ball.</param>
public sealed record CrewPart(
    string Name, bool Us, int? Lane, string Boat, double Length, double BowSeat, double SeatSpacing, int Seats, double? Cox);

/// <param name="Of">"recording", "motion" or "satellite": whose zero the document's clock has.</param>
/// <param name="GoAt">The word "go", s; absent where no start was found.</param>
/// <param name="GoHow">How it was found: "given", "heard", "rowed", "result", "assumed".</param>
/// <param name="FinishAt">Our bow ball on the line, s.</param>
/// <param name="Distance">Length of the race, m.</param>
/// <param name="From">First instant that any source covers, s.</param>
/// <param name="To">Last instant, s.</param>
public sealed record ClockPart(
    string Of, double? GoAt, double? GoSd, string? GoHow, double? FinishAt, double? FinishSd, string? FinishHow, double? Distance,
    double From, double To)
{
    /// <summary>How the other clocks read on this one.</summary>
    public IReadOnlyList<ClockMapPart> Maps { get; init; } = [];
}

/// <param name="Clock">"motion", "satellite".</param>
/// <param name="Offset">T on the document's clock minus that clock's reading, s, at its reading <paramref name="Anchor"/>.</param>
public sealed record ClockMapPart(string Clock, double Offset, double Drift, double Anchor, double OffsetSd, string How);

/// <param name="Kind">"captions", "recording", "track", "motion", "result", "plan", "sheet".</param>
public sealed record SourcePart(string Kind, string Name, bool Used, string Note);

public sealed record IssuePart(string Severity, string File, string Place, string What, string Done, int Count);

public sealed record PlannedPart(string Name, IReadOnlyList<PlannedSegmentPart> Segments, IReadOnlyList<PlannedCuePart> Cues);

/// <param name="From">Metres from the start.</param>
/// <param name="FromStroke">Number of the first stroke, from 1.</param>
/// <param name="FromSeconds">Race clock.</param>
public sealed record PlannedSegmentPart(
    string Name, double From, double To, double? FromStroke, double? ToStroke, double? FromSeconds, double? ToSeconds,
    double? Rate, double? SecPer500, string? Purpose);

/// <param name="Strokes">Length of a burst.</param>
public sealed record PlannedCuePart(string Text, double? At, double? AtStroke, double? AtSeconds, string? Trigger, int? Strokes, string? Purpose);

public sealed record CalledPart(
    string Captions, string Timing, IReadOnlyList<CuePart> Cues, IReadOnlyList<CallPart> Calls, TalkPart? Talk);

/// <param name="Calls">Ids of the calls complete in this cue.</param>
/// <param name="SetAside">Why its words were not believed ("repeated", "invented"), or absent.</param>
public sealed record CuePart(double T, double To, string Text, IReadOnlyList<int> Calls, string? SetAside);

/// <summary>One call. Fields that its type does not have are absent; their names and meaning are those of the labelled races.</summary>
public sealed record CallPart
{
    public required int Id { get; init; }
    public required double T { get; init; }
    public required double TSd { get; init; }
    public required string Type { get; init; }
    public required double Confidence { get; init; }
    public required string Words { get; init; }
    public required int Cue { get; init; }

    /// <summary>True where a person put it right.</summary>
    public bool Corrected { get; init; }

    public double? Spm { get; init; }
    public string? Sense { get; init; }
    public double? By { get; init; }
    public int? InStrokes { get; init; }
    public int? OverStrokes { get; init; }
    public double? SecPer500 { get; init; }
    public double? Metres { get; init; }
    public double? Seconds { get; init; }
    public int? Strokes { get; init; }
    public string? To { get; init; }
    public int? N { get; init; }
    public string? Crew { get; init; }
    public string? Our { get; init; }
    public string? Their { get; init; }
    public double? Seats { get; init; }
    public double? Lengths { get; init; }
    public bool? OpenWater { get; init; }
    public string? Side { get; init; }
    public bool? Mirror { get; init; }
    public string? Who { get; init; }
    public string? Do { get; init; }
    public string? How { get; init; }
    public string? Topic { get; init; }
    public string? What { get; init; }
    public string? Purpose { get; init; }

    /// <summary>Other readings of the same words.</summary>
    public IReadOnlyList<OtherReadingPart> Others { get; init; } = [];
}

public sealed record OtherReadingPart(double Probability, CallPart Reading);

/// <summary>What the talk was like, without judgement of language.</summary>
/// <param name="PerMinute">Calls a minute by type, during the race where there was one.</param>
/// <param name="CountingShare">Share of the calls that are counted strokes.</param>
/// <param name="Repeats">Share of calls that repeat the one before of the same type and value within 10 s.</param>
/// <param name="LongestSilence">Seconds, by quarter of the race.</param>
/// <param name="PositionsPer500">Position calls in each 500 m.</param>
public sealed record TalkPart(
    IReadOnlyDictionary<string, double> PerMinute, double CountingShare, double Repeats,
    IReadOnlyList<double> LongestSilence, IReadOnlyList<double> PositionsPer500);

public sealed record RowedPart
{
    public required StrokeColumns Strokes { get; init; }

    /// <summary>Hull along the course at even steps.</summary>
    public HullColumns? Hull { get; init; }

    /// <summary>Stroke rate from all sources that agreed.</summary>
    public IReadOnlyList<RatePart> Rate { get; init; } = [];

    /// <summary>The rate as each source by itself gave it, where there is more than one.</summary>
    public IReadOnlyList<RatePart> RateBySource { get; init; } = [];

    /// <summary>Where a source of the rate would not agree with the others.</summary>
    public IReadOnlyList<RateDisputePart> RateDisputes { get; init; } = [];

    public IReadOnlyList<SplitPart> Splits { get; init; } = [];

    /// <summary>What the sensors refused to say and why, a sentence each.</summary>
    public IReadOnlyList<string> Refused { get; init; } = [];
}

/// <summary>A row a stroke; T is the catch.</summary>
public sealed record StrokeColumns(
    IReadOnlyList<double> T, IReadOnlyList<double?> Rate, IReadOnlyList<double?> RateSd, IReadOnlyList<double?> Metres,
    IReadOnlyList<double?> Speed, IReadOnlyList<double?> Lowest, IReadOnlyList<double?> Highest, IReadOnlyList<double?> Check,
    IReadOnlyList<double> Quality)
{
    public IReadOnlyList<double?>? MetresSd { get; init; }
    public IReadOnlyList<double?>? SpeedSd { get; init; }
    public IReadOnlyList<double?>? CheckSd { get; init; }
    public IReadOnlyList<double?>? Roll { get; init; }
    public IReadOnlyList<double?>? Yaw { get; init; }
}

/// <param name="T0">Time of the first sample, s.</param>
/// <param name="Hz">Samples a second.</param>
/// <param name="Metres">Own distance from the start, m.</param>
public sealed record HullColumns(
    double T0, double Hz, IReadOnlyList<double?> Metres, IReadOnlyList<double?> Speed, IReadOnlyList<double?> SpeedSd);

/// <param name="Source">"motion", "track", "counts", "sound", "said".</param>
public sealed record RatePart(double T, double Rate, double Sd, string Source);

/// <param name="Said">What <paramref name="Source"/> said, strokes/min.</param>
/// <param name="Merged">What the others came to.</param>
/// <param name="Changed">True: it agrees once halved, doubled or unfolded.</param>
public sealed record RateDisputePart(string Source, double From, double To, double Said, double Merged, bool Changed, string Sentence);

/// <param name="Seconds">Time for the stretch.</param>
public sealed record SplitPart(double From, double To, double Seconds, double SecondsSd, double? Rate, double? Strokes, double? PlannedSeconds);

/// <summary>The line rowed against the straight or the course line.</summary>
/// <param name="Along">m from the start.</param>
/// <param name="Across">m, positive to starboard of the course.</param>
/// <param name="ExtraMetres">Distance rowed above the shortest.</param>
public sealed record LinePart(
    IReadOnlyList<double> T, IReadOnlyList<double> Along, IReadOnlyList<double> Across,
    IReadOnlyList<double> Latitude, IReadOnlyList<double> Longitude, double? ExtraMetres, double? ExtraSd, double? AcrossSd);

/// <param name="T0">Time of the first value; one a second from there.</param>
public sealed record MarginPart(
    string Crew, int? Lane, double T0, IReadOnlyList<double> Metres, IReadOnlyList<double> Sd,
    IReadOnlyList<double> Low90, IReadOnlyList<double> High90)
{
    /// <summary>Probability that we lead, one a second.</summary>
    public IReadOnlyList<double>? Ahead { get; init; }
}

/// <param name="Call">Id of the call, where it came from one.</param>
/// <param name="Kind">"call", "split", "finish", "start", "verdict".</param>
/// <param name="Low">Margin bounds that it said, m; absent: open on that side.</param>
/// <param name="Reading">Which reading was followed, in words.</param>
/// <param name="Weight">Posterior probability of that reading, gross error counted.</param>
public sealed record EvidencePart(
    double T, string Crew, int? Call, string Kind, double? Low, double? High, string Reading, double Weight);

/// <param name="Crew">Whose move.</param>
/// <param name="Origin">"planned", "called", "rival called", "not called".</param>
/// <param name="Rival">Against whom the gain is counted.</param>
/// <param name="Seats">Seats gained by us during it: margin at its end less margin at its beginning.</param>
/// <param name="Held">Margin 20 strokes after its end less margin at its beginning, seats.</param>
/// <param name="Distinguishable">False: the 90 % interval of <paramref name="Seats"/> covers zero.</param>
public sealed record MovePart(
    string Crew, string Origin, double From, double To, int? Strokes, string Rival, double Seats, double Low90, double High90,
    double? Held, double? HeldLow90, double? HeldHigh90, bool Distinguishable, int? Call)
{
    /// <summary>What the trend of the 20 s before would have given in the same time, seats.</summary>
    public double? Trend { get; init; }

    /// <summary>Seats less Trend, with its interval.</summary>
    public double? Beyond { get; init; }
    public double? BeyondLow90 { get; init; }
    public double? BeyondHigh90 { get; init; }
}

public sealed record ResultPart(int? Place, int? Lane, string Crew, IReadOnlyList<ResultMarkPart> Marks, string? Verdict);

public sealed record ResultMarkPart(double Metres, double Seconds);

/// <summary>A remark of the debrief.</summary>
/// <param name="Kind">E.g. "rate against plan", "distance call", "margin call", "move", "answer", "technical call", "silence", "line", "start", "sprint".</param>
/// <param name="Sentence">One sentence with its number and interval.</param>
/// <param name="Value">Its number in <paramref name="Unit"/>.</param>
/// <param name="Worth">What it might be worth to the next race, s; the order of the list.</param>
/// <param name="Evidence">Where to look and listen.</param>
/// <param name="WouldConfirm">What would confirm it.</param>
/// <param name="N">How many cases it stands on.</param>
public sealed record FindingPart(
    int Id, string Kind, string Sentence, double? Value, double? Low90, double? High90, string? Unit, double Worth,
    IReadOnlyList<FindingEvidencePart> Evidence, string WouldConfirm, int N)
{
    /// <summary>What to write into the next plan, ready to be sent there.</summary>
    public string? NextPlan { get; init; }

    /// <summary>The same as a cue in the plan's language, where it is a thing to be done at a place.</summary>
    public string? Cue { get; init; }

    /// <summary>True where its interval holds zero: not distinguishable.</summary>
    public bool Unclear { get; init; }
}

public sealed record FindingEvidencePart(double T, double? To, int? Call, string What);
