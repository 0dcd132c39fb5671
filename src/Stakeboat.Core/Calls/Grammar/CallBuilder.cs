using System.Globalization;

namespace Stakeboat.Core.Calls.Grammar;

/// <summary>A call before the crew it speaks of is settled.</summary>
/// <param name="Call">With crew null where it was not named.</param>
/// <param name="Crew">Index of the named crew, else -1.</param>
/// <param name="Weak">The form leans on what stands around it.</param>
internal sealed record Draft(Call Call, int Crew, bool Weak);

/// <summary>Turns the slots of a matched pattern into a call, or into nothing where the numbers make no sense.</summary>
internal static class CallBuilder
{
    private const double SeatMetres = 1.4; // common practice, no source: the spacing of most eights

    private readonly record struct Bag(Slots? Chain)
    {
        public string? Text(string key)
        {
            for (var s = Chain; s is not null; s = s.Before)
            {
                if (s.Key == key)
                {
                    return s.Text ?? s.Number.ToString(CultureInfo.InvariantCulture);
                }
            }

            return null;
        }

        public double? Number(string key)
        {
            for (var s = Chain; s is not null; s = s.Before)
            {
                if (s.Key == key)
                {
                    return double.IsNaN(s.Number) ? null : s.Number;
                }
            }

            return null;
        }

        public bool Has(string key) => Text(key) is not null;
    }

    public static Draft? Build(Match match, int seats, double? distance)
    {
        var b = new Bag(match.Slots);
        int crew = (int)(b.Number("crew") ?? -1);
        bool weak = b.Has("weak");
        var call = match.Rule.Makes switch
        {
            "margin" => Margin(b, seats),
            "want" => Want(b, seats),
            "trend" => new TrendCall(null, b.Text("who") == "them" ? Who.Them : Who.Us, Amount(b).Seats),
            "rivalMove" => new RivalMoveCall(null),
            "move" => Move(b),
            "shift" => new ShiftCall(Enum.Parse<RhythmChange>(b.Text("to")!, true)),
            "rate" => b.Number("spm") is >= 16 and <= 50 and { } spm ? new RateCall(spm, b.Text("sense") == "wanted" ? RateSense.Wanted : RateSense.Now) : null,
            "rateChange" => RateChange(b),
            "pace" => Pace(b),
            "distance" => DistanceOf(b, distance),
            "time" => Time(b),
            "strokesTo" => b.Number("k") is >= 1 and <= 100 and var k && k == Math.Floor(k) ? new StrokesToCall((int)k, Enum.Parse<StrokesTarget>(b.Text("to")!, true)) : null,
            "count" => b.Number("c") is >= 1 and <= 40 and var c && c == Math.Floor(c) ? new CountCall((int)c) : (Call?)null,
            "command" => Command(b, seats),
            "steer" => new SteerCall(Enum.Parse<SteerSide>(b.Text("side") ?? "none", true), Enum.Parse<SteerMeans>(b.Text("how")!, true)),
            "technique" => new TechniqueCall(Enum.Parse<Focus>(b.Text("topic")!, true)),
            "conditions" => new ConditionsCall(Enum.Parse<Condition>(b.Text("what")!, true)),
            "spirit" => new SpiritCall(),
            _ => null,
        };
        return call is null ? null : new Draft(call, crew, weak);
    }

    private static (double? Seats, double? Lengths, double? Metres, string Unit) Amount(Bag b)
    {
        string unit = b.Text("unit") ?? "";
        if (unit.Length == 0)
        {
            return (null, null, null, "");
        }

        double q = b.Number("q") ?? 1;
        double plus = b.Number("plus") ?? 0;
        q += plus;
        return unit switch
        {
            "seats" => (q, null, null, unit),
            "bare" => (q, null, null, unit),
            "barefraction" => (null, q, null, unit),
            "lengths" => (null, q, null, unit),
            "canvas" => (null, q * 0.25, null, unit),
            "metres" => (null, null, q, unit),
            "feet" => (null, null, Math.Round(q * 0.3048, 2), unit),
            "inches" => (Math.Round(q * 0.0254 / SeatMetres, 2), null, null, unit),
            _ => (null, null, null, unit),
        };
    }

    private static string? Seat(Bag b, string key, int seats)
    {
        string? t = b.Text(key);
        if (t is null)
        {
            return null;
        }

        if (t == "stroke")
        {
            return seats.ToString(CultureInfo.InvariantCulture);
        }

        return double.TryParse(t, NumberStyles.Float, CultureInfo.InvariantCulture, out double n)
            ? n is >= 1 and <= 8 && n == Math.Floor(n) ? ((int)n).ToString(CultureInfo.InvariantCulture) : "?"
            : t;
    }

    private static MarginCall? Margin(Bag b, int seats)
    {
        string? their = Seat(b, "their", seats), ours = Seat(b, "ours", seats);
        if (their == "?" || ours == "?")
        {
            return null;
        }

        double? dir = b.Number("dir");
        string? subj = b.Text("subj"), obj = b.Text("obj");
        if (b.Has("mirror"))
        {
            return ours switch
            {
                null => null,
                "stern" => new MarginCall(null, "stern", "bow", null, null, null, false, null),
                "bow" => new MarginCall(null, "bow", "bow", null, null, null, false, Side.Level),
                "cox" => new MarginCall(null, "cox", their ?? "bow", null, null, null, false, null),
                _ => new MarginCall(null, ours, null, null, null, null, false, null, true),
            };
        }

        var (s, l, m, unit) = Amount(b);
        if (unit is "seats" or "bare" && s is > 16 or < 0)
        {
            return null;
        }

        if (l is > 30 || m is > 400)
        {
            return null;
        }

        if (b.Number("lengths") is { } fixedLengths)
        {
            return new MarginCall(null, "boat", null, null, fixedLengths, null, false, null);
        }

        if (their is not null)
        {
            string our = b.Text("our") ?? "cox";
            if (our == "bow" && their == "bow")
            {
                return new MarginCall(null, "bow", "bow", null, null, null, false, Side.Level);
            }

            if (our == "stern" && their != "bow")
            {
                return null;
            }

            return new MarginCall(null, our, their, null, null, null, false, null);
        }

        if (b.Has("overlap"))
        {
            return new MarginCall(null, "boat", null, null, null, null, false, null);
        }

        if (dir == 0)
        {
            return new MarginCall(null, "boat", null, null, null, null, false, Side.Level);
        }

        Side? side = null;
        bool them = subj == "them" || (subj is null && b.Number("crew") is not null && obj == "us") || (subj is null && obj == "us");
        if (dir is { } d)
        {
            side = d > 0 != them ? Side.Ahead : Side.Behind;
        }
        else if (subj is not null || obj is not null)
        {
            side = them ? Side.Behind : Side.Ahead;
        }

        if (unit.Length == 0 && !b.Has("open") && side is null)
        {
            return null;
        }

        return new MarginCall(null, "boat", null, s, l, m, b.Has("open"), side);
    }

    private static WantCall Want(Bag b, int seats)
    {
        string? their = Seat(b, "their", seats);
        return new WantCall(null, their is null ? Amount(b).Seats : null, their == "?" ? null : their);
    }

    private static MoveCall? Move(Bag b)
    {
        double? n = b.Number("strokes");
        return n is < 2 or > 60 || (n is { } v && v != Math.Floor(v)) ? null : new MoveCall(n is { } k ? (int)k : null, b.Text("purpose"));
    }

    private static RateChangeCall? RateChange(Bag b)
    {
        double by = (b.Number("by") ?? 1) * (b.Number("sign") ?? 1);
        if (Math.Abs(by) is > 8 or 0)
        {
            return null;
        }

        return new RateChangeCall(by, b.Number("in") is { } i ? (int)i : null, b.Number("over") is { } o ? (int)o : null);
    }

    private static PaceCall? Pace(Bag b)
    {
        double? sec = b.Number("sec");
        if (sec is null && b.Number("short") is >= 20 and < 60 and var s)
        {
            sec = 60 + s;
        }

        return sec is >= 75 and <= 190 ? new PaceCall(sec.Value) : null;
    }

    private static DistanceCall? DistanceOf(Bag b, double? distance)
    {
        if (b.Has("half"))
        {
            return new DistanceCall((distance ?? 2000) / 2, DistanceSense.Gone);
        }

        double? m = b.Number("m");
        if (m is not (>= 20 and <= 8000) || m % 10 != 0)
        {
            return null;
        }

        return new DistanceCall(m.Value, b.Text("sense") == "left" ? DistanceSense.Left : DistanceSense.Gone);
    }

    private static TimeCall? Time(Bag b)
    {
        double s = (60 * (b.Number("minutes") ?? 0)) + (b.Number("seconds") ?? 0) + (b.Has("halfmin") ? 30 : 0);
        return s is > 0 and <= 5400 ? new TimeCall(s, b.Text("sense") == "gone" ? TimeSense.Gone : TimeSense.UntilEvent) : null;
    }

    private static CommandCall? Command(Bag b, int seats)
    {
        string who = b.Text("w") ?? Seat(b, "wseat", seats) ?? "all";
        if (who == "?")
        {
            return null;
        }

        if (who == "stroke")
        {
            who = seats.ToString(CultureInfo.InvariantCulture);
        }

        return new CommandCall(Enum.Parse<Deed>(b.Text("do")!, true), who);
    }
}
