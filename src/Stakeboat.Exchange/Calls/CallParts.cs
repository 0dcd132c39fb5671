using Stakeboat.Core.Calls;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Exchange.Calls;

/// <summary>Calls as documents write them: the type and field names of the labelled races.</summary>
public static class CallParts
{
    public static CallPart From(HeardCall c, int id, bool corrected = false) =>
        From(c.Call, id, c.At.Seconds, c.AtSd, c.Confidence, c.Words, c.CueIndex) with
        {
            Corrected = corrected,
            Others = [.. c.Others.Select(o => new OtherReadingPart(Math.Round(o.Probability, 4), From(o.Call, id, c.At.Seconds, c.AtSd, o.Probability, c.Words, c.CueIndex)))],
        };

    public static CallPart From(Call call, int id = 0, double t = 0, double sd = 0, double confidence = 1, string words = "", int cue = 0)
    {
        var p = new CallPart
        {
            Id = id,
            T = Math.Round(t, 2),
            TSd = Math.Round(sd, 2),
            Type = TypeName(call),
            Confidence = Math.Round(confidence, 4),
            Words = words,
            Cue = cue,
        };
        return call switch
        {
            RateCall r => p with { Spm = r.Spm, Sense = Lower(r.Sense) },
            RateChangeCall r => p with { By = r.By, InStrokes = r.InStrokes, OverStrokes = r.OverStrokes },
            PaceCall c => p with { SecPer500 = c.SecPer500 },
            DistanceCall d => p with { Metres = d.Metres, Sense = Lower(d.Sense) },
            TimeCall c => p with { Seconds = c.Seconds, Sense = Lower(c.Sense) },
            StrokesToCall s => p with { Strokes = s.Strokes, To = Lower(s.To) },
            CountCall c => p with { N = c.N },
            MarginCall m => p with
            {
                Crew = m.Crew,
                Our = m.Our,
                Their = m.Their,
                Seats = m.Seats,
                Lengths = m.Lengths,
                Metres = m.Metres,
                OpenWater = m.OpenWater,
                Side = m.Side is { } side ? Lower(side) : null,
                Mirror = m.Mirror ? true : null,
            },
            WantCall w => p with { Crew = w.Crew, Seats = w.Seats, Their = w.Their },
            TrendCall c => p with { Crew = c.Crew, Who = Lower(c.Who), Seats = c.Seats },
            RivalMoveCall r => p with { Crew = r.Crew },
            MoveCall m => p with { Strokes = m.Strokes, Purpose = m.Purpose },
            ShiftCall s => p with { To = Lower(s.To) },
            CommandCall c => p with { Do = Lower(c.Do), Who = c.Who },
            SteerCall s => p with { Side = Lower(s.Side), How = Lower(s.How) },
            TechniqueCall c => p with { Topic = Lower(c.Topic) },
            ConditionsCall c => p with { What = Lower(c.What) },
            SpiritCall => p,
            _ => throw new ArgumentOutOfRangeException(nameof(call), call, "This type of call has no document form yet."),
        };
    }

    /// <summary>The call that a document's part states.</summary>
    /// <exception cref="ExchangeException">The type is unknown, or a field that it needs is missing or unknown.</exception>
    public static Call ToCall(CallPart p) => p.Type switch
    {
        "rate" => new RateCall(Need(p.Spm, p, "spm"), Parse<RateSense>(p.Sense, p, "sense")),
        "rateChange" => new RateChangeCall(Need(p.By, p, "by"), p.InStrokes, p.OverStrokes),
        "pace" => new PaceCall(Need(p.SecPer500, p, "secPer500")),
        "distance" => new DistanceCall(Need(p.Metres, p, "metres"), Parse<DistanceSense>(p.Sense, p, "sense")),
        "time" => new TimeCall(Need(p.Seconds, p, "seconds"), Parse<TimeSense>(p.Sense, p, "sense")),
        "strokesTo" => new StrokesToCall(Need(p.Strokes, p, "strokes"), Parse<StrokesTarget>(p.To, p, "to")),
        "count" => new CountCall(Need(p.N, p, "n")),
        "margin" => new MarginCall(p.Crew, p.Our ?? throw Missing(p, "our"), p.Their, p.Seats, p.Lengths, p.Metres, p.OpenWater ?? false,
            p.Side is null ? null : Parse<Side>(p.Side, p, "side"), p.Mirror ?? false),
        "want" => new WantCall(p.Crew, p.Seats, p.Their),
        "trend" => new TrendCall(p.Crew, Parse<Who>(p.Who, p, "who"), p.Seats),
        "rivalMove" => new RivalMoveCall(p.Crew),
        "move" => new MoveCall(p.Strokes, p.Purpose),
        "shift" => new ShiftCall(Parse<RhythmChange>(p.To, p, "to")),
        "command" => new CommandCall(Parse<Deed>(p.Do, p, "do"), p.Who ?? "all"),
        "steer" => new SteerCall(Parse<SteerSide>(p.Side, p, "side"), Parse<SteerMeans>(p.How, p, "how")),
        "technique" => new TechniqueCall(Parse<Focus>(p.Topic, p, "topic")),
        "conditions" => new ConditionsCall(Parse<Condition>(p.What, p, "what")),
        "spirit" => new SpiritCall(),
        _ => throw new ExchangeException($"There is no call of type \"{p.Type}\"."),
    };

    /// <summary>The type's name in documents: the record's without "Call", in camelCase.</summary>
    public static string TypeName(Call call)
    {
        string name = call.GetType().Name;
        return char.ToLowerInvariant(name[0]) + name[1..^"Call".Length];
    }

    private static string Lower<T>(T value)
        where T : struct, Enum
    {
        string s = value.ToString();
        return char.ToLowerInvariant(s[0]) + s[1..];
    }

    private static T Parse<T>(string? text, CallPart p, string field)
        where T : struct, Enum =>
        text is null ? throw Missing(p, field)
        : !char.IsAsciiDigit(text.FirstOrDefault()) && Enum.TryParse<T>(text, ignoreCase: true, out var v) && Enum.IsDefined(v) ? v
        : throw new ExchangeException($"A {p.Type} call cannot have {field} \"{text}\".");

    private static T Need<T>(T? value, CallPart p, string field)
        where T : struct => value ?? throw Missing(p, field);

    private static ExchangeException Missing(CallPart p, string field) => new($"A {p.Type} call needs {field}.");
}
