using Stakeboat.Core.Time;

namespace Stakeboat.Core.Calls;

public enum RateSense { Now, Wanted }
public enum DistanceSense { Gone, Left }
public enum TimeSense { Gone, UntilEvent }
public enum StrokesTarget { Finish, Mark, Sprint, Move, Stop, End, Other }
public enum Side { Ahead, Behind, Level }
public enum Who { Us, Them }
public enum RhythmChange { Start, Settle, Lengthen, Build, Sprint }
public enum Deed { Row, Stop, HoldWater, Back, Touch, SitReady, Pressure, Switch, Drill }
public enum SteerSide { Port, Starboard, None }
public enum SteerMeans { Rudder, Pressure, Point }
public enum Focus { Catch, Finish, Legs, Length, Hands, Posture, Ratio, Set, Timing, Clean, Breathing }
public enum Condition { HeadWind, TailWind, CrossWind, Wake, Chop, Flat }

/// <summary>
/// Something a coxswain said that has a meaning of its own. The types and where the line between them is drawn are those of the
/// labelled races. Rates in strokes/min, paces in s per 500 m, distances in m, times in s.
/// </summary>
public abstract record Call;

/// <summary>"Thirty four and a half"; wanted: "give me thirty eight".</summary>
public sealed record RateCall(double Spm, RateSense Sense) : Call;

/// <summary>"Up two in two", "down a beat over three". By is signed; in: warning strokes; over: strokes that it is spread across.</summary>
public sealed record RateChangeCall(double By, int? InStrokes, int? OverStrokes) : Call;

public sealed record PaceCall(double SecPer500) : Call;

public sealed record DistanceCall(double Metres, DistanceSense Sense) : Call;

public sealed record TimeCall(double Seconds, TimeSense Sense) : Call;

public sealed record StrokesToCall(int Strokes, StrokesTarget To) : Call;

public sealed record CountCall(int N) : Call;

/// <summary>
/// A claim of position now. <paramref name="Our"/> is "cox", "bow", "stern", "boat" or, mirrored, a seat "1".."8";
/// <paramref name="Their"/> is a seat, "cox", "bow", "stern" or null. Mirrored: their reference is level with our seat.
/// </summary>
public sealed record MarginCall(
    string? Crew, string Our, string? Their, double? Seats, double? Lengths, double? Metres, bool OpenWater, Side? Side, bool Mirror = false) : Call;

/// <summary>A demand, no claim: "give me their bow ball".</summary>
public sealed record WantCall(string? Crew, double? Seats, string? Their) : Call;

/// <summary>A claim of gaining, by us or by them.</summary>
public sealed record TrendCall(string? Crew, Who Who, double? Seats) : Call;

public sealed record RivalMoveCall(string? Crew) : Call;

public sealed record MoveCall(int? Strokes, string? Purpose) : Call;

public sealed record ShiftCall(RhythmChange To) : Call;

/// <summary><paramref name="Who"/>: "all", "sternPair", "bowPair", "sternFour", "bowFour", "middleFour", "sternSix", "bowSix", "port", "starboard" or a seat number.</summary>
public sealed record CommandCall(Deed Do, string Who) : Call;

public sealed record SteerCall(SteerSide Side, SteerMeans How) : Call;

public sealed record TechniqueCall(Focus Topic) : Call;

public sealed record ConditionsCall(Condition What) : Call;

public sealed record SpiritCall : Call;

/// <summary>Another reading of the same words, with its posterior probability.</summary>
public sealed record CallReading(Call Call, double Probability);

/// <summary>A call as heard.</summary>
/// <param name="At">When it was complete, on the recording's clock.</param>
/// <param name="AtSd">Standard deviation of At, s: small with word times, seconds inside an untimed block.</param>
/// <param name="Call">The likeliest reading.</param>
/// <param name="Confidence">Calibrated probability that type, place and deciding fields are right.</param>
/// <param name="Words">The caption's words that it was read from, as they stand in the file.</param>
/// <param name="CueIndex">Index of the cue in the caption track where it was complete.</param>
/// <param name="Others">Other readings of the same words, likeliest first, with what they share of the probability.</param>
public sealed record HeardCall(
    Instant<RecordingClock> At, double AtSd, Call Call, double Confidence, string Words, int CueIndex, IReadOnlyList<CallReading> Others);
