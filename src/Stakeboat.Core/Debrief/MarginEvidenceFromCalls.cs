using Stakeboat.Core.Calls;
using Stakeboat.Core.Margins;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Debrief;

/// <summary>What calls say of margins, of our own place and rate, and of moves. Sources are indices of the calls.</summary>
public sealed record CallEvidence(IReadOnlyList<MarginEvidence> Evidence, IReadOnlyList<Move> Moves);

/// <summary>
/// Turns heard calls into evidence for the margin engine. Words stay on this side: the engine sees ranges in metres, weights and spreads.
/// </summary>
/// <remarks>
/// Where words leave a choice (our coxswain's seat or bow ball, ahead or behind, which crew) every reading goes in with a weight and the
/// engine chooses. A bare "their three" is our coxswain's seat three times out of four: the usual way to say it when ahead or level; own judgement.
/// </remarks>
public sealed class MarginEvidenceFromCalls
{
    private readonly RaceSheet _sheet;
    private readonly double _go;
    private readonly HullGauge _gauge;
    private readonly string[] _rivals;
    private readonly List<MarginEvidence> _evidence = [];
    private readonly Dictionary<string, double> _lastPlaced = new(StringComparer.Ordinal);
    private string? _talkOf;
    private double _talkAt = double.NegativeInfinity;

    private MarginEvidenceFromCalls(RaceSheet sheet, double go, IReadOnlyList<string> rivals)
    {
        _sheet = sheet;
        _go = go;
        _gauge = new HullGauge(sheet.Hull, sheet.Hull);
        _rivals = [.. rivals];
    }

    /// <param name="calls">In order of time.</param>
    /// <param name="rivals">Crews of the race, ours not among them.</param>
    /// <param name="go">The word "go" on the recording, s.</param>
    /// <param name="end">Our finish on the recording, s; calls more than two seconds after it are talk of the result.</param>
    public static CallEvidence Map(IReadOnlyList<HeardCall> calls, RaceSheet sheet, IReadOnlyList<string> rivals, double go, double end)
    {
        ArgumentNullException.ThrowIfNull(calls);
        ArgumentNullException.ThrowIfNull(sheet);
        var map = new MarginEvidenceFromCalls(sheet, go, rivals);
        for (int i = 0; i < calls.Count; i++)
        {
            double t = calls[i].At.Seconds;
            if (t >= go - 1 && t <= end + 2)
            {
                map.Take(calls[i], i);
            }
        }

        map.CountedRates(calls, go, end);
        return new CallEvidence(map._evidence, MovesFromCalls.Find(calls, map._rivals, go, end));
    }

    private Instant<RaceClock> Race(HeardCall call) => Instant<RaceClock>.FromSeconds(call.At.Seconds - _go);

    private SightSpread Spread(HeardCall call, double trust, double eye) =>
        new(1.2, Math.Sqrt(0.8 * 0.8 + call.AtSd * call.AtSd), Math.Clamp(call.Confidence * trust, 0.05, 0.98), eye);

    private void Take(HeardCall call, int index)
    {
        switch (call.Call)
        {
            case MarginCall m:
                TakeMargin(call, m, index);
                break;
            case TrendCall t:
                TakeTrend(call, t, index);
                break;
            case RivalMoveCall r:
                Mention(r.Crew, call.At.Seconds);
                break;
            case WantCall w:
                Mention(w.Crew, call.At.Seconds);
                break;
            case DistanceCall d:
                TakeDistance(call, d, index);
                break;
            case StrokesToCall { To: StrokesTarget.Finish } s when _sheet.Distance is { } race && s.Strokes is > 0 and <= 40 && call.Confidence > 0.4:
                // "Last ten": so many strokes of some nine metres before the line, within a fifth. Common practice, no source.
                double left = 9.0 * s.Strokes;
                _evidence.Add(new OwnPlaceEvidence(Race(call), Math.Max(race.Metres - left, 0), 6 + 0.2 * left,
                    new SightSpread(1, Math.Sqrt(1 + call.AtSd * call.AtSd), Math.Clamp(call.Confidence * 0.8, 0.05, 0.9), 0), index));
                break;
            case RateCall { Sense: RateSense.Now } r when call.Confidence > 0.4:
                _evidence.Add(new OwnRateEvidence(Race(call), r.Spm, 0.8, index));
                break;
        }
    }

    private void Mention(string? crew, double t)
    {
        if (crew is not null && _rivals.Contains(crew, StringComparer.Ordinal))
        {
            _talkOf = crew;
            _talkAt = t;
        }
    }

    private void TakeMargin(HeardCall call, MarginCall m, int index)
    {
        if (_rivals.Length == 0)
        {
            return;
        }

        var ranges = Ranges(m).ToList();

        // Other readings that are margins as well join in with their share.
        double own = Math.Max(call.Confidence, 0.05), all = own;
        var weighted = ranges.Select(r => (m.Crew, r.Range, Weight: r.Weight * own, r.Label)).ToList();
        foreach (var other in call.Others.Where(o => o.Call is MarginCall && o.Probability > 0.03))
        {
            var o = (MarginCall)other.Call;
            weighted.AddRange(Ranges(o).Select(r => (o.Crew, r.Range, r.Weight * other.Probability, r.Label + " (as otherwise heard)")));
            all += other.Probability;
        }

        if (weighted.Count == 0)
        {
            return;
        }

        // What the ear is not sure of is mostly the side or the crew, the words of number and place being clearer: a quarter of the rest to the
        // other side, a quarter to the other crews, the other half to a gross error. Own judgement from the labelled races.
        double rest = Math.Max(0, 1 - all), doubt = rest / all;
        weighted.AddRange(weighted.Select(w => (w.Crew, w.Range.Mirrored(), 0.25 * doubt * w.Weight, w.Label + " (the other side)")).ToList());
        double size = ranges.Count > 0 ? ranges.Max(r => double.IsFinite(r.Range.Middle) ? Math.Abs(r.Range.Middle) : 15) : 5;
        var spread = Spread(call with { Confidence = Math.Min(1, all + 0.5 * rest) }, 0.96, 0.5 + 0.04 * size);
        var readings = new List<PositionReading>();
        bool named = CrewNames.In(call.Words, m.Crew);
        foreach (var (crew, range, weight, label) in weighted)
        {
            readings.AddRange(Crews(crew, call.At.Seconds, named || crew != m.Crew).Select(c => new PositionReading(c.Crew, range.Low, range.High, weight * c.Weight, label)));
            if (crew is not null && _rivals.Length > 1 && doubt > 0.02)
            {
                readings.AddRange(_rivals.Where(r => r != crew).Select(r =>
                    new PositionReading(r, range.Low, range.High, 0.25 * doubt * weight / (_rivals.Length - 1), label + " (another crew)")));
            }
        }

        readings.RemoveAll(r => r.Weight < 0.004);
        if (readings.Count == 0)
        {
            return;
        }

        if (readings.Count == 1)
        {
            _evidence.Add(new PositionEvidence(Race(call), readings[0].Crew!, readings[0].Low, readings[0].High, spread, index));
        }
        else
        {
            _evidence.Add(new EitherEvidence(Race(call), readings, spread, index));
        }

        if (named || _talkOf is null)
        {
            Mention(m.Crew, call.At.Seconds);
        }

        if ((m.Crew ?? _talkOf) is { } placed)
        {
            _lastPlaced[placed] = call.At.Seconds;
        }
    }

    /// <summary>
    /// Who may be meant: the crew named in the words; else whom the talk was of, the less surely the longer ago that crew was named; else anyone.
    /// Own judgement: right three times in four at first, fading over some forty seconds.
    /// </summary>
    /// <param name="heard">Whom the ear understood.</param>
    /// <param name="named">Whether that crew's name is among the words.</param>
    private IEnumerable<(string Crew, double Weight)> Crews(string? heard, double t, bool named)
    {
        if (_rivals.Length == 1)
        {
            return [(_rivals[0], 1)];
        }

        bool known = heard is not null && _rivals.Contains(heard, StringComparer.Ordinal);
        if (known && named)
        {
            return [(heard!, 1)];
        }

        string? likely = known ? heard : _talkOf;
        double since = Math.Max(0, t - _talkAt - 8), talk = 0;
        if (likely is not null)
        {
            talk = known ? 0.75 * (likely == _talkOf ? Math.Exp(-since / 60) : 0.8) : since < 32 ? 0.7 * Math.Exp(-since / 25) : 0;
        }

        return _rivals.Select(r => (r, r == likely ? talk + (1 - talk) / _rivals.Length : (1 - talk) / _rivals.Length));
    }

    private IEnumerable<(MarginRange Range, double Weight, string Label)> Ranges(MarginCall m)
    {
        if (m.OpenWater || m.Lengths is not null)
        {
            return Signed(m.Side, sign => m.OpenWater
                ? _gauge.OpenWater(sign, m.Lengths ?? 0)
                : _gauge.Lengths(sign * m.Lengths!.Value, m.Lengths.Value > 0.9 ? 0.2 : 0.15));
        }

        if (m.Metres is { } metres)
        {
            return Signed(m.Side, sign => MarginRange.About(sign * metres, Math.Max(1, 0.15 * metres)));
        }

        if (m.Seats is { } seats)
        {
            double half = seats >= 4 ? 0.6 : seats % 1 == 0 ? 0.5 : 0.4;
            return Signed(m.Side, sign => _gauge.Seats(sign * seats, half));
        }

        if (m.Mirror)
        {
            return Mirrored(m);
        }

        return m.Their is not null || m.Our is "cox" or "bow" or "stern" ? Places(m) : Bare(m);
    }

    private static IEnumerable<(MarginRange, double, string)> Signed(Side? side, Func<int, MarginRange> range) => side switch
    {
        Side.Ahead => [(range(1), 1, "ahead")],
        Side.Behind => [(range(-1), 1, "behind")],
        Side.Level => [(range(1), 0.5, "ahead"), (range(-1), 0.5, "behind")],
        _ => [(range(1), 0.55, "ahead"), (range(-1), 0.45, "behind")],
    };

    /// <summary>No size: level, a side, or only that there was overlap.</summary>
    private IEnumerable<(MarginRange, double, string)> Bare(MarginCall m) => m.Side switch
    {
        Side.Level => [(_gauge.Seats(0), 1, "level")],
        Side.Ahead => [(new MarginRange(0, double.PositiveInfinity), 1, "ahead")],
        Side.Behind => [(new MarginRange(double.NegativeInfinity, 0), 1, "behind")],
        _ => [(new MarginRange(-_sheet.Hull.Length.Metres, _sheet.Hull.Length.Metres), 1, "overlap")],
    };

    /// <summary>"They're on our four": their coxswain when they lead or are level, else their bow ball.</summary>
    private IEnumerable<(MarginRange, double, string)> Mirrored(MarginCall m)
    {
        if (!int.TryParse(m.Our, System.Globalization.CultureInfo.InvariantCulture, out int seat))
        {
            yield break;
        }

        if (m.Side != Side.Ahead && _gauge.TheirCoxOnOurSeat(seat) is { } cox)
        {
            yield return (cox, 0.5, "their coxswain");
        }

        if (m.Side != Side.Behind && _gauge.TheirBowOnOurSeat(seat) is { } bow)
        {
            yield return (bow, 0.5, "their bow ball");
        }
    }

    private IEnumerable<(MarginRange, double, string)> Places(MarginCall m)
    {
        var hull = _sheet.Hull;
        double? their = PlaceOf(m.Their ?? (m.Our == "cox" && m.Side == Side.Level ? "cox" : "bow"));
        if (their is not { } y)
        {
            yield break;
        }

        double half = hull.SeatSpacing.Metres / 2;
        switch (m.Our)
        {
            case "cox" or "boat" when hull.Cox is { } cox:
                bool seat = m.Their is not (null or "cox" or "bow" or "stern");
                yield return (MarginRange.About(cox.Metres - y, half), seat ? 0.75 : 0.9, "our coxswain");
                if (m.Their is not "cox")
                {
                    yield return (MarginRange.About(-y, half), seat ? 0.25 : 0.1, "our bow ball");
                }

                break;
            case "cox" or "boat" or "bow":
                yield return (MarginRange.About(-y, half), 1, "our bow ball");
                break;
            default:
                if (PlaceOf(m.Our) is { } x)
                {
                    yield return (MarginRange.About(x - y, half), 1, "our " + m.Our);
                }

                break;
        }
    }

    /// <summary>A place in a hull aft of its bow ball, m.</summary>
    private double? PlaceOf(string place) => place switch
    {
        "bow" => 0,
        "stern" => _sheet.Hull.Length.Metres,
        "cox" => _sheet.Hull.Cox?.Metres,
        _ => int.TryParse(place, System.Globalization.CultureInfo.InvariantCulture, out int seat) && seat >= 1 && seat <= _sheet.Hull.Seats
            ? _sheet.Hull.Seat(seat).Metres : null,
    };

    private void TakeTrend(HeardCall call, TrendCall t, int index)
    {
        if (_rivals.Length == 0)
        {
            return;
        }

        int sign = t.Who == Who.Us ? 1 : -1;
        double now = call.At.Seconds;
        string? crew = t.Crew is not null && _rivals.Contains(t.Crew, StringComparer.Ordinal) ? t.Crew
            : _rivals.Length == 1 ? _rivals[0]
            : _talkOf is not null && now - _talkAt < 15 ? _talkOf : null;
        Mention(crew, now);
        _evidence.Add(new TrendEvidence(Race(call), crew, sign, Spread(call, crew is null ? 0.8 : 0.9, 0.4), index));

        // "Took a seat": since when is not said; since the last that was said of them if that was lately, else over some twenty seconds.
        if (t.Seats is { } seats && crew is not null && now - _go > 12)
        {
            double since = _lastPlaced.TryGetValue(crew, out double last) && now - last is > 6 and < 45 ? last : Math.Max(_go + 2, now - 20);
            double change = sign * seats * _sheet.Hull.SeatSpacing.Metres, half = 0.7 * _sheet.Hull.SeatSpacing.Metres;
            _evidence.Add(new ChangeEvidence(Race(call), Instant<RaceClock>.FromSeconds(since - _go), crew, change - half, change + half,
                Spread(call, 0.7, 0.5), index));
        }
    }

    private void TakeDistance(HeardCall call, DistanceCall d, int index)
    {
        double? metres = d.Sense == DistanceSense.Gone ? d.Metres : _sheet.Distance is { } race ? race.Metres - d.Metres : null;
        if (metres is not { } at || at <= 0)
        {
            return;
        }

        // At a mark the bow ball is meant, within a few metres; between marks it is a guess.
        double sd = at % 250 == 0 || d.Metres % 250 == 0 ? 5 : 14;
        _evidence.Add(new OwnPlaceEvidence(Race(call), at, sd,
            new SightSpread(1.2, Math.Sqrt(1.2 * 1.2 + call.AtSd * call.AtSd), Math.Clamp(call.Confidence * 0.9, 0.05, 0.95), 0), index));
    }

    /// <summary>Rates from rows of counted strokes: five or more in order.</summary>
    private void CountedRates(IReadOnlyList<HeardCall> calls, double go, double end)
    {
        foreach (var run in MovesFromCalls.Rows(calls).Where(r => r.Count >= 5))
        {
            var first = calls[run[0]];
            var last = calls[run[^1]];
            double strokes = ((CountCall)last.Call).N - ((CountCall)first.Call).N, seconds = (last.At - first.At).Seconds;
            double middle = 0.5 * (first.At.Seconds + last.At.Seconds);
            double rate = 60 * strokes / Math.Max(seconds, 0.1);
            double sd = rate / Math.Max(seconds, 0.1) * Math.Sqrt(0.2 * 0.2 + first.AtSd * first.AtSd + last.AtSd * last.AtSd);
            if (rate is > 22 and < 50 && sd < 3 && middle > go && middle < end)
            {
                _evidence.Add(new OwnRateEvidence(Instant<RaceClock>.FromSeconds(middle - _go), rate, Math.Max(sd, 0.3), run[0]));
            }
        }
    }
}
