using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Simulation.Talk;

namespace Stakeboat.Simulation.Racing;

/// <summary>A burst that was rowed: times in s of the recording.</summary>
/// <param name="Gain">Share of speed that it was meant to add.</param>
/// <param name="SeatsByRival">For a burst of ours: seats gained on each rival from its first catch to its end, positive for us. For a rival's: seats that we gained on it (usually negative).</param>
public sealed record TrueBurst(
    string Crew, double From, double To, int Strokes, double Gain, string? Purpose, bool Answer, IReadOnlyDictionary<string, double> SeatsByRival);

/// <summary>A race whose truth is known.</summary>
public sealed class SimulatedRace : SimulatedRow
{
    internal SimulatedRace(RaceScenario scenario, ulong seed, IReadOnlyDictionary<string, HullPath> boats, IReadOnlyList<TrueBurst> bursts,
        IReadOnlyDictionary<string, double> finishes, RaceSheet sheet, ResultSheet result, Track? track, MotionLog? motion,
        ClockMap<RecordingClock, SatelliteClock> satelliteClock, ClockMap<RecordingClock, MotionClock> motionClock,
        SpokenRace talk, IReadOnlyList<CaptionTrack> captions)
        : base(seed, boats[scenario.Us], track, motion, satelliteClock, motionClock)
    {
        Scenario = scenario;
        Boats = boats;
        Bursts = bursts;
        FinishTimes = finishes;
        Sheet = sheet;
        Result = result;
        Talk = talk;
        Captions = captions;
    }

    public RaceScenario Scenario { get; }

    /// <summary>Every crew's true path, ours among them.</summary>
    public IReadOnlyDictionary<string, HullPath> Boats { get; }

    public IEnumerable<string> Rivals => Scenario.Crews.Select(c => c.Name).Where(n => n != Scenario.Us);

    /// <summary>The word "go", s of the recording.</summary>
    public double GoAt => Scenario.GoAt;

    /// <summary>Our bow ball at the finish, s of the recording.</summary>
    public double FinishAt => FinishTimes[Scenario.Us];

    /// <summary>Each crew's finish, s of the recording.</summary>
    public IReadOnlyDictionary<string, double> FinishTimes { get; }

    public IReadOnlyList<TrueBurst> Bursts { get; }

    public RaceSheet Sheet { get; }

    public ResultSheet Result { get; }

    /// <summary>What was truly said, with its labelled calls.</summary>
    public SpokenRace Talk { get; }

    /// <summary>The captions as a recogniser would have spoiled them, in every timing that was asked for.</summary>
    public IReadOnlyList<CaptionTrack> Captions { get; }

    /// <summary>Our bow ball ahead of theirs at <paramref name="seconds"/> of the recording, m; positive: we lead.</summary>
    public double MarginAt(string rival, double seconds)
    {
        if (!Boats.TryGetValue(rival, out var other))
        {
            throw new ArgumentException($"There is no crew named {rival} in this race.", nameof(rival));
        }

        return Own.MetresAt(seconds) - other.MetresAt(seconds);
    }

    /// <summary>What would be read of this race's folder.</summary>
    public Outing ToOuting() => new(Scenario.Name, Sheet, Captions, Track is null ? [] : [Track], Motion is null ? [] : [Motion], Result, null);
}
