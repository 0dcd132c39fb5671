using System.Globalization;
using Stakeboat.Core.Boats;
using Stakeboat.Core.Calls;
using Stakeboat.Core.Debrief;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Plans;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;
using Stakeboat.Exchange.Calls;

namespace Stakeboat.Exchange.Debriefs;

/// <summary>Turns a debrief into its document. Numbers are rounded to what they can carry; the same debrief gives the same document.</summary>
public static class DebriefWriter
{
    /// <summary>Hull samples a second in the document.</summary>
    private const double HullHz = 10;

    /// <param name="issues">What reading the files found.</param>
    /// <param name="engine">Version of the program.</param>
    public static DebriefDocument Write(RaceDebrief d, IReadOnlyList<IssuePart> issues, string engine)
    {
        ArgumentNullException.ThrowIfNull(d);
        var outing = d.Input.Outing;
        var us = Us(outing.Sheet);
        var called = d.Captions is { } captions && d.Calls is { } calls ? Called(captions, calls, d) : null;
        return new DebriefDocument
        {
            Engine = engine,
            Name = outing.Name,
            Us = us,
            Crews = Crews(outing, us),
            LaneWidth = outing.Sheet?.LaneWidth.Metres,
            Clock = Clock(d),
            Sources = DebriefSources.Of(d),
            Issues = [.. issues, .. DebriefSources.Issues(d)],
            MoreWouldGive = DebriefSources.MoreWouldGive(d),
            Planned = Planned(d.Input.Plan),
            Called = called,
            Rowed = Rowed(d),
            Line = Line(d),
            Margins = MarginParts.Margins(d),
            Evidence = MarginParts.Evidence(d),
            Moves = MarginParts.Moves(d),
            Result = Result(outing.Result),
            Findings = [.. d.Findings.Select((f, i) => Finding(f, i + 1, d.Facts.Metres))],
        };
    }

    internal static double R(double v, int decimals) => Math.Round(v, decimals);

    internal static double? R(double? v, int decimals) => v is { } x && double.IsFinite(x) ? Math.Round(x, decimals) : null;

    private static CrewPart Us(RaceSheet? sheet)
    {
        var hull = sheet?.Hull ?? BoatClass.Eight.Geometry;
        return Crew(sheet?.Us.Name ?? "our boat", true, sheet?.OurLane, sheet?.Us.Boat.Code ?? "8+", hull);
    }

    private static CrewPart Crew(string name, bool us, int? lane, string boat, HullGeometry h) =>
        new(name, us, lane, boat, h.Length.Metres, h.BowSeat.Metres, h.SeatSpacing.Metres, h.Seats, h.Cox?.Metres);

    private static List<CrewPart> Crews(Outing outing, CrewPart us)
    {
        var crews = new List<CrewPart> { us };
        if (outing.Sheet is { } sheet)
        {
            crews.AddRange(sheet.Rivals.Distinct(StringComparer.Ordinal).Where(r => r != sheet.Us.Name)
                .Select(r => Crew(r, false, sheet.LaneOf(r), us.Boat, sheet.Hull)));
        }

        return [.. crews.OrderBy(c => c.Lane ?? int.MaxValue)];
    }

    private static ClockPart Clock(RaceDebrief d)
    {
        var go = d.Times.Go;
        var finish = d.Times.Finish;
        double from = double.PositiveInfinity, to = double.NegativeInfinity;
        void Cover(double a, double b)
        {
            from = Math.Min(from, a);
            to = Math.Max(to, b);
        }

        if (d.Captions is { Cues.Count: > 0 } captions)
        {
            Cover(captions.Cues[0].Start.Seconds, captions.Cues[^1].End.Seconds);
        }

        if (d.Input.Outing.Sound is { } sound)
        {
            Cover(0, sound.DurationSeconds);
        }

        if (d.Sensors?.Hull is { } hull && d.SensorMap is { } map)
        {
            Cover(map.Map(hull.From).Seconds, map.Map(hull.To).Seconds);
        }

        if (d.Facts.Strokes.Count > 0)
        {
            Cover(d.Facts.Strokes[0].T, d.Facts.Strokes[^1].T);
        }

        if (d.Margins is { } margins)
        {
            Cover(margins.Go.Mean, margins.Finish);
        }

        if (!double.IsFinite(from) || !double.IsFinite(to))
        {
            (from, to) = (0, 0);
        }

        string of = d.OnRecording ? "recording" : d.Input.Outing.Motions.Count > 0 ? "motion" : d.Input.Outing.Tracks.Count > 0 ? "satellite" : "race";
        var maps = new List<ClockMapPart>();
        if (d.SensorMap is { } sensor)
        {
            if (d.Sensors?.Motion is { } m)
            {
                var all = m.Then(sensor);
                maps.Add(new ClockMapPart("motion", R(all.Offset, 3), all.Drift, R(all.Anchor, 3), R(all.OffsetSd, 3), all.Origin));
            }

            if (d.Sensors?.Satellite is { } s)
            {
                var all = s.Then(sensor);
                maps.Add(new ClockMapPart("satellite", R(all.Offset, 3), all.Drift, R(all.Anchor, 3), R(all.OffsetSd, 3), all.Origin));
            }
        }

        return new ClockPart(of, R(go?.At.Mean, 2), R(go?.At.Sd, 2), How(go?.Source), R(finish?.At.Mean, 2), R(finish?.At.Sd, 2), How(finish?.Source),
            d.Facts.Distance, R(from, 2), R(to, 2)) { Maps = maps };
    }

    private static string? How(TimeSource? source) => source?.ToString().ToLowerInvariant();

    private static PlannedPart? Planned(CompiledPlan? plan) => plan is null ? null : new PlannedPart(
        plan.Title ?? plan.Variant,
        [.. plan.Segments.Select(s => new PlannedSegmentPart(s.Name, R(s.From.Distance.Metres, 1), R(s.To.Distance.Metres, 1), R(s.From.Strokes, 1), R(s.To.Strokes, 1),
            R(s.From.Time.Seconds, 2), R(s.To.Time.Seconds, 2), R(0.5 * (s.RateFrom.PerMinute + s.RateTo.PerMinute), 1), R(s.Pace.SecondsPer500, 1), s.Purpose))],
        [.. plan.Cues.Select(c => new PlannedCuePart(c.ActionText, R(c.From?.Distance.Metres, 1), R(c.From?.Strokes, 1), R(c.From?.Time.Seconds, 2),
            c.Placed ? null : c.TriggerText, c.Strokes, c.Purpose))]);

    private static CalledPart Called(CaptionTrack captions, CallReadings readings, RaceDebrief d)
    {
        var parts = new List<CallPart>();
        var byCue = new Dictionary<int, List<int>>();
        var corrected = new HashSet<double>(readings.Corrections.Where(c => c.Fate == CorrectionFate.Applied)
            .Select(c => (c.Correction.Moved ?? c.Correction.At).Seconds));
        for (int i = 0; i < readings.Calls.Count; i++)
        {
            var c = readings.Calls[i];
            parts.Add(CallParts.From(c, i, corrected.Any(t => Math.Abs(t - c.At.Seconds) < 0.01)));
            if (!byCue.TryGetValue(c.CueIndex, out var list))
            {
                byCue[c.CueIndex] = list = [];
            }

            list.Add(i);
        }

        var aside = readings.Aside.ToLookup(a => a.CueIndex);
        var cues = captions.Cues.Select((cue, i) => new CuePart(R(cue.Start.Seconds, 2), R(cue.End.Seconds, 2), cue.Text,
            byCue.TryGetValue(i, out var ids) ? ids : [], aside[i].Any() ? Aside(aside[i].First().Why) : null));
        return new CalledPart(captions.Name, captions.Timing.ToString().ToLowerInvariant(), [.. cues], parts, TalkOf(readings, d));
    }

    private static string Aside(SetAsideWhy why) => why switch
    {
        SetAsideWhy.Invented => "invented by the recogniser",
        SetAsideWhy.Repeated => "repeated by the recogniser",
        SetAsideWhy.TooFast => "more words than the time holds",
        SetAsideWhy.OtherLanguage => "another language",
        SetAsideWhy.NumbersOnly => "numbers alone",
        _ => why.ToString(),
    };

    private static TalkPart TalkOf(CallReadings readings, RaceDebrief d)
    {
        var t = readings.Talk;
        var positions = new List<double>();
        if (d.Facts.Metres is { } metres && d.Facts.Distance is { } distance)
        {
            int n = (int)Math.Ceiling(distance / 500);
            var counts = new int[n];
            foreach (var c in readings.Calls)
            {
                if (c.Call is MarginCall && d.Facts.InRace(c.At.Seconds) && metres.At(c.At.Seconds) is { } m && m.Mean >= 0 && m.Mean < distance)
                {
                    counts[(int)(m.Mean / 500)]++;
                }
            }

            positions.AddRange(counts.Select(c => (double)c));
        }
        else if (t.PositionsPer500 is { } mean)
        {
            positions.Add(R(mean, 2));
        }

        return new TalkPart(t.PerMinute.ToDictionary(p => char.ToLowerInvariant(p.Key[0]) + p.Key[1..], p => R(p.Value, 2)), R(t.CountingShare, 3),
            R(t.RepeatShare, 3), [.. t.LongestSilence.Select(s => R(s, 1))], positions);
    }

    private static RowedPart? Rowed(RaceDebrief d)
    {
        if (d.Sensors is not { } sensors || d.SensorMap is not { } map)
        {
            return d.Rates.Merged.Count == 0 ? null : new RowedPart
            {
                Strokes = new StrokeColumns([], [], [], [], [], [], [], [], []),
                Rate = RateParts.Merged(d),
                RateBySource = RateParts.BySource(d),
                RateDisputes = RateParts.Disputes(d),
            };
        }

        double T(Instant<SensorClock> t) => R(map.Map(t).Seconds, 3);
        var s = sensors.Strokes;
        var strokes = new StrokeColumns(
            [.. s.Select(x => T(x.Catch))], [.. s.Select(x => R((double?)x.Rate.Mean, 2))], [.. s.Select(x => R((double?)x.Rate.Sd, 2))],
            [.. s.Select(x => R(x.Metres?.Mean, 2))], [.. s.Select(x => R(x.Speed?.Mean, 3))], [.. s.Select(x => R(x.Lowest?.Mean, 3))],
            [.. s.Select(x => R(x.Highest?.Mean, 3))], [.. s.Select(x => R(x.Check?.Mean, 3))],
            [.. s.Select(x => x.Quality switch { StrokeQuality.Good => 1.0, StrokeQuality.Fair => 0.5, _ => 0.1 })])
        {
            MetresSd = s.Any(x => x.Metres is not null) ? [.. s.Select(x => R(x.Metres?.Sd, 3))] : null,
            SpeedSd = s.Any(x => x.Speed is not null) ? [.. s.Select(x => R(x.Speed?.Sd, 4))] : null,
            CheckSd = s.Any(x => x.Check is not null) ? [.. s.Select(x => R(x.Check?.Sd, 4))] : null,
            Roll = s.Any(x => x.RollSpread is not null) ? [.. s.Select(x => R(x.RollSpread?.Mean, 2))] : null,
            Yaw = s.Any(x => x.Yaw is not null) ? [.. s.Select(x => R(x.Yaw?.Mean, 2))] : null,
        };
        return new RowedPart
        {
            Strokes = strokes,
            Hull = sensors.Hull is { } hull ? Hull(hull, map, d.Times.Go?.At.Mean) : null,
            Rate = sensors.Strokes.Count > 0
                ? [.. sensors.Rates.Select(r => new RatePart(T(r.At), R(r.Rate.Mean, 2), R(r.Rate.Sd, 2), RateParts.Name(r.Source)))]
                : RateParts.Merged(d),
            RateBySource = RateParts.BySource(d),
            RateDisputes = RateParts.Disputes(d),
            Splits = Splits(d),
            Refused = [.. sensors.Issues.Where(i => i.Kind is SensorIssueKind.RateRefusedAliasing or SensorIssueKind.RateAmbiguousAliasing or SensorIssueKind.RateNotResolved)
                .Select(SensorWords.Sentence)],
        };
    }

    private static HullColumns Hull(HullSignal hull, ClockMap<SensorClock, RecordingClock> map, double? go)
    {
        double zero = go is { } g ? hull.At(map.Inverse().Map(Instant<RecordingClock>.FromSeconds(g))).Metres : 0;
        double hz = Math.Min(HullHz, hull.Hz);
        var samples = hull.Sample(hz).ToList();
        return new HullColumns(R(map.Map(hull.From).Seconds, 3), hz, [.. samples.Select(x => R((double?)(x.Metres - zero), 2))],
            [.. samples.Select(x => R((double?)x.SpeedMps, 3))], [.. samples.Select(x => R((double?)x.SpeedSd, 3))]);
    }

    private static List<SplitPart> Splits(RaceDebrief d)
    {
        var splits = new List<SplitPart>();
        if (d.Facts is not { Metres: { } metres, MetresMeasured: true } f || f.Go is not { } go)
        {
            return splits;
        }

        double length = f.Distance ?? Math.Floor(metres.Mean[^1] / 500) * 500;
        double lastT = go.Mean, lastSd = go.Sd;
        for (double from = 0; from < length - 1; from += 500)
        {
            double to = Math.Min(from + 500, length);
            double? at = metres.FirstReaches(to) ?? (Math.Abs(to - length) < 1 ? f.Finish?.Mean : null);
            if (at is not { } t || metres.At(t) is not { } m)
            {
                break;
            }

            double v = (to - from) / (t - lastT), sd = m.Sd / Math.Max(v, 0.5);
            int strokes = f.Strokes.Count(s => s.T >= lastT && s.T < t);
            double? planned = d.Input.Plan is { } plan
                ? plan.At(Distance.FromMetres(to)).Time.Seconds - plan.At(Distance.FromMetres(from)).Time.Seconds : null;
            splits.Add(new SplitPart(from, to, R(t - lastT, 2), R(Math.Sqrt(sd * sd + lastSd * lastSd), 2), R(f.Rate?.Average(lastT, t), 1),
                strokes > 0 ? strokes : null, R(planned, 2)));
            (lastT, lastSd) = (t, sd);
        }

        return splits;
    }

    private static LinePart? Line(RaceDebrief d) => d.Line is not { } l ? null : new LinePart(
        [.. l.Rowed.Seconds.Select(t => R(t, 2))], [.. l.Rowed.Along.Select(x => R(x, 2))], [.. l.Rowed.Across.Select(x => R(x, 2))],
        [.. l.Latitude.Select(x => R(x, 7))], [.. l.Longitude.Select(x => R(x, 7))], R(l.Rowed.Extra.Mean, 2), R(l.Rowed.Extra.Sd, 2), R(l.Rowed.AcrossSd, 2));

    private static List<ResultPart>? Result(ResultSheet? result) => result is null ? null :
    [
        .. result.Rows.Select(r => new ResultPart(r.Place, r.Lane, r.Crew, [.. r.Times.Select(t => new ResultMarkPart(t.Mark.Metres, t.Time.Seconds))], r.Verdict)),
    ];

    private static FindingPart Finding(Finding f, int id, Curve? metres)
    {
        double? begins = f.Evidence.Count > 0 ? metres?.At(f.Evidence[0].From + 0.01)?.Mean : null;
        int decimals = f.Kind is FindingKind.TechnicalCalls or FindingKind.Counting ? 3 : 2;
        return new FindingPart(id, FindingWords.Kind(f.Kind), FindingWords.Sentence(f), R(f.Value, decimals), R(f.Low90, decimals), R(f.High90, decimals),
            FindingWords.Unit(f.Kind), R(f.WorthSeconds, 3),
            [.. f.Evidence.Select(e => new FindingEvidencePart(R(e.From, 2), R(e.To, 2), e.CallIndex, Clock(e.From)))],
            FindingWords.WouldConfirm(f.Kind), f.N)
        {
            NextPlan = FindingWords.NextPlan(f),
            Cue = FindingWords.Cue(f, begins),
            Unclear = !f.DistinguishableFromZero,
        };
    }

    private static string Clock(double t) =>
        string.Create(CultureInfo.InvariantCulture, $"{(int)Math.Floor(Math.Max(0, t) / 60)}:{(int)Math.Max(0, t) % 60:00}");
}
