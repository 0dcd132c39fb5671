using Stakeboat.Core.Calls;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief;

/// <summary>
/// A race or outing put together: planned, called and rowed on one clock, with what was drawn from it. The debrief's clock is that of
/// the recording or captions where there is one, else the sensors' (s since the main sensor's first sample).
/// Every part may be missing; each further source only narrows the intervals.
/// </summary>
public sealed record RaceDebrief
{
    public required DebriefInput Input { get; init; }

    /// <summary>The caption track that was read.</summary>
    public CaptionTrack? Captions { get; init; }

    public CallReadings? Calls { get; init; }

    public SensorFindings? Sensors { get; init; }

    /// <summary>The sensors' clock on the debrief's; null where they could not be joined, and then nothing rowed is shown with what was called.</summary>
    public ClockMap<SensorClock, RecordingClock>? SensorMap { get; init; }

    /// <summary>The stroke rate by every source, and what they come to together.</summary>
    public RatesTogether Rates { get; init; } = RatesTogether.None;

    public required RaceTimes Times { get; init; }

    /// <summary>True where the debrief's clock is a recording's.</summary>
    public bool OnRecording => Captions is not null || Input.Outing.Sound is not null;

    /// <summary>Null where there was nobody to race or no start.</summary>
    public RaceMargins? Margins { get; init; }

    public LineOfRace? Line { get; init; }

    public required DebriefFacts Facts { get; init; }

    public required IReadOnlyList<Finding> Findings { get; init; }

    /// <summary>Makes the debrief of an outing. Pure: the same input gives the same debrief.</summary>
    public static RaceDebrief Make(DebriefInput input, Action<DebriefStage>? progress = null, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(input);
        var outing = input.Outing;
        var sheet = outing.Sheet;
        if (sheet is not null && input.GoAt is { } put)
        {
            sheet = sheet with { GoAt = Instant<RecordingClock>.FromSeconds(put) };
        }

        progress?.Invoke(DebriefStage.Sensors);
        cancel.ThrowIfCancellationRequested();
        var distance = sheet?.Distance ?? outing.Result?.Distance;
        var motion = outing.Motions.OrderByDescending(m => m.Count).FirstOrDefault();
        var track = outing.Tracks.OrderByDescending(t => t.Fixes.Count).FirstOrDefault();
        var sensors = motion is null && track is null ? null : (input.Sensors ?? SensorAnalysis.Analyse)(new SensorInput(motion, track, distance, input.SensorClocks));

        progress?.Invoke(DebriefStage.Calls);
        cancel.ThrowIfCancellationRequested();
        var captions = input.CaptionsIndex >= 0 && input.CaptionsIndex < outing.Captions.Count ? outing.Captions[input.CaptionsIndex] : null;
        var calls = captions is null ? null : new CallDecoder().Decode(captions, sheet, new CallContext([], input.Corrections, input.Lexicon));

        progress?.Invoke(DebriefStage.Clocks);
        cancel.ThrowIfCancellationRequested();
        bool onRecording = captions is not null || outing.Sound is not null;
        var heard = calls?.Calls ?? [];
        var sound = input.Onsets is { } onsets ? SoundRate.Find(onsets.Values, onsets.Hz, onsets.StartSeconds) : [];
        var map = sensors is null ? null : JoinedClocks.Find(sensors, heard, sound, onRecording, input.Pin, RaceTimes.Find(heard, sheet, outing.Result, null, null).Go?.At);
        Estimate? Mapped(Estimate e) => map is { } m
            ? new Estimate(m.Map(Instant<SensorClock>.FromSeconds(e.Mean)).Seconds,
                Math.Sqrt(e.Sd * e.Sd + Math.Pow(m.SdAt(Instant<SensorClock>.FromSeconds(e.Mean)), 2)))
            : null;
        var rates = RatesTogether.Of(sensors, map, heard, sound, sensors?.FixHz ?? 1);
        var race = sensors?.Race;
        var times = RaceTimes.Find(heard, sheet, outing.Result, race is null ? null : Mapped(race.Start), race is null ? null : Mapped(race.End));

        progress?.Invoke(DebriefStage.Margins);
        cancel.ThrowIfCancellationRequested();
        double? go = times.Go?.At.Mean, finish = times.Finish?.At.Mean;
        var facts = new DebriefFacts
        {
            Hull = sheet?.Hull ?? Boats.BoatClass.Eight.Geometry,
            Calls = heard,
            Go = times.Go?.At,
            Finish = times.Finish?.At,
            Distance = distance?.Metres,
            Segments = PlanFacts.Segments(input.Plan),
            Cues = PlanFacts.Cues(input.Plan),
        };
        if (rates.Merged.Count > 1 && (sensors is null || sensors.Rates.Count == 0))
        {
            facts = facts with { Rate = RowedFacts.Rate(rates) };
        }

        LineOfRace? line = null;
        if (sensors is not null && map is { } on)
        {
            facts = facts with
            {
                Strokes = RowedFacts.Strokes(sensors, on),
                Rate = RowedFacts.Rate(sensors, on) ?? facts.Rate,
                Speed = RowedFacts.Speed(sensors, on),
                Metres = go is { } g ? RowedFacts.Metres(sensors, on, g) : null,
                MetresMeasured = go is not null && sensors.Hull is not null,
            };
            if (track is not null && go is { } from)
            {
                line = LineFacts.Find(track, sensors, on, from, finish ?? facts.Metres?.To ?? from);
                facts = facts with { ExtraMetres = line?.Rowed.Extra };
            }
        }

        var margins = RaceMargins.Of(outing with { Sheet = sheet }, heard, times, sensors, map, PlanFacts.Moves(input.Plan));
        if (margins is not null)
        {
            facts = MarginFacts.Add(facts, margins, sheet!.Us.Name);
        }

        progress?.Invoke(DebriefStage.Findings);
        cancel.ThrowIfCancellationRequested();
        return new RaceDebrief
        {
            Input = input,
            Captions = captions,
            Calls = calls,
            Sensors = sensors,
            SensorMap = map,
            Rates = rates,
            Times = times,
            Margins = margins,
            Line = line,
            Facts = facts,
            Findings = FindingList.From(facts),
        };
    }
}
