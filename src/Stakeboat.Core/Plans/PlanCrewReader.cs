using System.Globalization;
using Stakeboat.Core.Energetics;

namespace Stakeboat.Core.Plans;

/// <summary>Reads the head's lines on the crew itself and on the course's bearing: energy, efforts, pieces, ladder, airshare, reference, heading.</summary>
internal static class PlanCrewReader
{
    public static (PlanHead Head, string? Wrong) Read(string key, PlanCursor c, PlanHead head)
    {
        var crew = head.Own;
        switch (key)
        {
            case "energy":
                var energy = Energy(c);
                return energy is null
                    ? (head, "An energy is critical power and W' of the mean rower: 'energy 410 W 22 kJ', or with what they are good to: 'energy 410 W ± 8 22 kJ ± 3'.")
                    : (head with { Own = crew with { Energy = energy } }, null);
            case "efforts":
                var efforts = Groups<BestEffort>(c, (m, s, w) => w is { } watts && s is { } seconds && m is null ? new BestEffort(seconds, watts) : null);
                return efforts is null
                    ? (head, "Best efforts are watts held for a time, a comma between: 'efforts 520 W 2:00, 455 W 4:00, 415 W 8:00'.")
                    : (head with { Own = crew with { Efforts = efforts } }, null);
            case "pieces":
                var pieces = Groups<BestPiece>(c, (m, s, w) => m is { } metres && s is { } seconds && w is null ? new BestPiece(metres, seconds) : null);
                return pieces is null
                    ? (head, "Best pieces are metres and a time, a comma between: 'pieces 500 m 1:29, 1000 m 3:05, 2000 m 6:25'.")
                    : (head with { Own = crew with { Pieces = pieces } }, null);
            case "ladder":
                var ladder = Ladder(c);
                return ladder is null
                    ? (head, "A ladder is rates with the pace rowed at each, a comma between: 'ladder 28 1:50, 32 1:44, 36 1:39.5'.")
                    : (head with { Own = crew with { Ladder = ladder } }, null);
            case "airshare":
                double? share = c.TakeNumber();
                c.TakeIf("%");
                return share is null or < 0 or > 50
                    ? (head, "The air's share of the resistance in calm is per cent between 0 and 50, such as 'airshare 14 %'.")
                    : (head with { Own = crew with { AirShare = share / 100 } }, null);
            case "reference":
                var pace = PlanCursor.Clock(c.Take());
                double? sd = PlusMinus(c) ? c.TakeNumber() ?? double.NaN : null;
                c.TakeAny("s", "seconds");
                return pace is null or < 60 or > 300 || sd is double.NaN or < 0 or > 20
                    ? (head, "The reference is the crew's own pace at base effort in calm, deep, fresh water at 20 C: 'reference 1:33.5' or 'reference 1:33.5 ± 0.6'.")
                    : (head with { Own = crew with { Reference = new ReferencePace(pace.Value, sd) } }, null);
            default:
                return Heading(c, head);
        }
    }

    private static bool PlusMinus(PlanCursor c) => c.TakeAny("±", "+-", "+/-", "sd");

    private static PlanEnergy? Energy(PlanCursor c)
    {
        double? cp = c.TakeNumber();
        if (cp is null or <= 0 or > 1500 || !c.TakeAny("w", "watts"))
        {
            return null;
        }

        double? cpSd = null;
        if (PlusMinus(c))
        {
            cpSd = c.TakeNumber();
            c.TakeAny("w", "watts");
            if (cpSd is null or < 0)
            {
                return null;
            }
        }

        c.TakeAny(",", "and");
        double? store = c.TakeNumber();
        double scale = c.Here.Low switch { "kj" => 1000, "j" => 1, _ => 0 };
        if (store is null or <= 0 || scale == 0 || store * scale > 60_000)
        {
            return null;
        }

        c.Take();
        double? storeSd = null;
        if (PlusMinus(c))
        {
            storeSd = c.TakeNumber() * scale;
            c.TakeAny("kj", "j");
            if (storeSd is null or < 0)
            {
                return null;
            }
        }

        return new PlanEnergy(cp.Value, store.Value * scale, cpSd, storeSd);
    }

    private static List<T>? Groups<T>(PlanCursor c, Func<double?, double?, double?, T?> make)
        where T : struct
    {
        var list = new List<T>();
        while (!c.AtEnd)
        {
            double? metres = null, seconds = null, watts = null;
            while (!c.AtEnd && c.Here.Text != ",")
            {
                if (PlanCursor.Clock(c.Here) is { } clock)
                {
                    c.Take();
                    seconds = seconds is null ? clock : double.NaN;
                    continue;
                }

                if (c.TakeAny("in", "for", "at"))
                {
                    continue;
                }

                double? n = c.TakeNumber();
                string unit = c.Here.Low;
                if (n is null or <= 0)
                {
                    return null;
                }

                c.Take();
                switch (unit)
                {
                    case "m" or "metres" or "meters":
                        metres = n;
                        break;
                    case "km":
                        metres = n * 1000;
                        break;
                    case "s" or "seconds":
                        seconds = n;
                        break;
                    case "min" or "minutes":
                        seconds = n * 60;
                        break;
                    case "w" or "watts":
                        watts = n;
                        break;
                    default:
                        return null;
                }
            }

            if (seconds is double.NaN || make(metres, seconds, watts) is not { } made)
            {
                return null;
            }

            list.Add(made);
            c.TakeIf(",");
        }

        return list.Count > 0 ? list : null;
    }

    private static List<PaceAtRate>? Ladder(PlanCursor c)
    {
        var list = new List<PaceAtRate>();
        while (!c.AtEnd)
        {
            double? rate = c.TakeNumber();
            c.TakeAny("at", "spm");
            double? pace = PlanCursor.Clock(c.Take());
            if (rate is null or < 14 or > 56 || pace is null or < 60 or > 300)
            {
                return null;
            }

            list.Add(new PaceAtRate(rate.Value, pace.Value));
            if (!c.AtEnd && !c.TakeIf(","))
            {
                return null;
            }
        }

        return list.Count > 0 ? list : null;
    }

    private static (PlanHead Head, string? Wrong) Heading(PlanCursor c, PlanHead head)
    {
        const string Say = "A heading is degrees from true north, from start to finish: 'heading 240'; along a bending course 'heading 195 to 800 m, 230 to 1400 m, 210'.";
        var list = new List<HeadingPart>();
        double last = 0;
        while (!c.AtEnd)
        {
            double? degrees = c.TakeNumber();
            c.TakeAny("degrees", "deg");
            if (degrees is null or < 0 or > 360 || (list.Count > 0 && list[^1].ToMetres is null))
            {
                return (head, Say);
            }

            double? to = null;
            if (c.TakeIf("to"))
            {
                to = c.TakeNumber();
                double scale = c.Here.Low switch { "m" or "metres" or "meters" => 1, "km" => 1000, _ => 0 };
                if (to is null || scale == 0)
                {
                    return (head, Say);
                }

                c.Take();
                to *= scale;

                if (to <= last)
                {
                    return (head, string.Create(CultureInfo.InvariantCulture, $"The course's parts go on from the start to the finish: {to:0} m does not lie beyond {last:0} m."));
                }

                last = to.Value;
            }

            list.Add(new HeadingPart(degrees.Value, to));
            if (!c.AtEnd && !c.TakeIf(","))
            {
                return (head, Say);
            }
        }

        return list.Count == 0 ? (head, Say) : (head with { Headings = list }, null);
    }
}
