using System.Globalization;
using System.Text.Json;
using Stakeboat.Core.Boats;
using Stakeboat.Core.Crews;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Time;
using Stakeboat.Core.Units;
using Stakeboat.Readers.Text;

namespace Stakeboat.Readers.Sheets;

/// <summary>
/// <c>race.json</c>: what a person types in about a race. Any part may be missing. Lengths in metres, aft of the bow ball; seat 1 is bow.
/// </summary>
public static class RaceSheetReader
{
    /// <summary>Lanes centre to centre where the sheet says nothing: 13.5 m, the international standard (rules of racing, course appendix).</summary>
    public const double UsualLaneWidth = 13.5;

    public static Reading<RaceSheet> Read(Stream stream, string name)
    {
        var log = new IssueLog(name);
        using var json = LooseJson.Parse(stream, log);
        if (json is null || json.RootElement.ValueKind != JsonValueKind.Object)
        {
            log.Error("", "This is no race sheet: a JSON object is expected.", "See the data folder of the demo for one.");
            return log.Reading<RaceSheet>(null);
        }

        return log.Reading(Read(json.RootElement, log));
    }

    public static RaceSheet Read(JsonElement root, IssueLog log)
    {
        ArgumentNullException.ThrowIfNull(log);
        var (boat, hull) = Boat(root, log);
        string us = root.Get("us", "crew", "ours").AsText()?.Trim() is { Length: > 0 } n ? n : "our boat";
        var words = root.Get("crewWords") ?? root;
        var seats = Seats(root.Get("bySeat", "people"), boat, log);
        var cox = root.Get("coxswain", "cox").AsText() is { Length: > 0 } c ? new Person(c) : null;
        var crew = new Crew(us, boat, seats, Texts(words.Get("names")), [.. Texts(words.Get("words")).Select(Word)], cox);

        var lanes = Lanes(root.Get("lanes"), log);
        var rivals = lanes.OrderBy(l => l.Key).Select(l => l.Value).Concat(Texts(root.Get("crews", "rivals")))
            .Where(r => r != us).Distinct(StringComparer.Ordinal).ToList();
        if (lanes.Count > 0 && !lanes.ContainsValue(us))
        {
            log.Warn("", "Our crew stands in none of the lanes.", "Our lane is taken as unknown; check the spelling of the name.");
        }

        var distance = Positive(root, "distance", 100_000, log) is { } d ? Distance.FromMetres(d) : (Distance?)null;
        double width = Positive(root, "laneWidth", 200, log) ?? UsualLaneWidth;
        var go = GoAt(root, log);
        return new RaceSheet(crew, hull, distance, lanes, rivals, Distance.FromMetres(width), go);
    }

    private static Instant<RecordingClock>? GoAt(JsonElement root, IssueLog log)
    {
        var v = root.Get("goAt", "go", "startAt");
        double? t = v.AsNumber() ?? (v.AsText() is { } s && Captions.CueTime.TryRead(s, out double c, out int used) && used == s.Length ? c : null);
        if (v is not null && t is not (>= 0 and < 1e6))
        {
            log.Warn("goAt", "The second of the start is no time on a recording.", "It was left out.");
            return null;
        }

        return t is { } x ? Instant<RecordingClock>.FromSeconds(x) : null;
    }

    private static (BoatClass Boat, HullGeometry Hull) Boat(JsonElement root, IssueLog log)
    {
        string? code = root.Get("boat", "boatClass", "class").AsText()?.Trim();
        var boat = code is null ? null : BoatClass.Find(code);
        var g = root.Get("geometry", "hull");
        double? cox = g is { } h ? h.Get("cox").AsNumber() : null, bow = g is { } h2 ? h2.Get("bowSeat").AsNumber() : null;
        int? seats = g is { } h3 && h3.Get("seats").AsNumber() is { } s and >= 1 and <= 8 ? (int)s : null;
        if (boat is null)
        {
            boat = seats switch
            {
                4 => cox is null ? BoatClass.Four : BoatClass.FourSternCoxed,
                2 => BoatClass.Pair,
                1 => BoatClass.Single,
                _ => BoatClass.Eight,
            };
            log.Warn("boat", code is null ? "The class of the boat is missing." : $"\"{Short(code)}\" is no class of boat that we know.",
                $"It was taken as {boat.Code}. Write one of: {string.Join(", ", BoatClass.All.Select(b => b.Code))}.");
        }

        if (ReferenceEquals(boat, BoatClass.FourSternCoxed) && cox is { } c && bow is { } b && c < b)
        {
            boat = BoatClass.FourBowCoxed; // the same code on the sheet; the tape measure says where the coxswain lies
        }

        if (g is not { ValueKind: JsonValueKind.Object } own)
        {
            return (boat, boat.Geometry);
        }

        var usual = boat.Geometry;
        double length = own.Get("length").AsNumber() ?? usual.Length.Metres, spacing = own.Get("seatSpacing").AsNumber() ?? usual.SeatSpacing.Metres;
        double? coxAt = cox ?? usual.Cox?.Metres;
        try
        {
            return (boat, new HullGeometry(Distance.FromMetres(length), Distance.FromMetres(bow ?? usual.BowSeat.Metres), Distance.FromMetres(spacing),
                seats ?? usual.Seats, coxAt is { } at ? Distance.FromMetres(at) : null));
        }
        catch (ArgumentOutOfRangeException e)
        {
            log.Warn("geometry", "The hull's dimensions cannot be: " + e.Message.Split('\n')[0].Split(" (Parameter", StringSplitOptions.None)[0], $"The usual ones of an {boat.Code} were taken.");
            return (boat, usual);
        }
    }

    private static Dictionary<int, string> Lanes(JsonElement? e, IssueLog log)
    {
        var lanes = new Dictionary<int, string>();
        if (e is { ValueKind: JsonValueKind.Object } map)
        {
            foreach (var p in map.EnumerateObject())
            {
                AddLane(lanes, int.TryParse(p.Name, NumberStyles.None, CultureInfo.InvariantCulture, out int lane) ? lane : null, ((JsonElement?)p.Value).AsText(), log);
            }
        }
        else if (e is { ValueKind: JsonValueKind.Array } list)
        {
            int i = 0;
            foreach (var item in list.EnumerateArray())
            {
                i++;
                if (item.ValueKind == JsonValueKind.Object)
                {
                    AddLane(lanes, item.Get("lane", "station").AsNumber() is { } n and >= 0 and < 100 ? (int)n : null, item.Get("crew", "name").AsText(), log);
                }
                else
                {
                    AddLane(lanes, i, ((JsonElement?)item).AsText(), log);
                }
            }
        }

        return lanes;
    }

    private static void AddLane(Dictionary<int, string> lanes, int? lane, string? crew, IssueLog log)
    {
        if (lane is not (>= 0 and < 100) || string.IsNullOrWhiteSpace(crew))
        {
            log.Warn("lanes", "A lane has no number from 0 to 99 or no crew.", "It was left out.");
        }
        else if (!lanes.TryAdd(lane.Value, crew.Trim()))
        {
            log.Warn("lanes", "Two crews have the same lane.", "The first was kept.");
        }
    }

    private static Dictionary<int, Person> Seats(JsonElement? e, BoatClass boat, IssueLog log)
    {
        var seats = new Dictionary<int, Person>();
        if (e is { ValueKind: JsonValueKind.Object } map)
        {
            foreach (var p in map.EnumerateObject())
            {
                JsonElement? v = p.Value;
                string? who = v.AsText() ?? p.Value.Get("name").AsText();
                if (!int.TryParse(p.Name, NumberStyles.None, CultureInfo.InvariantCulture, out int seat) || seat < 1 || seat > boat.Rowers || string.IsNullOrWhiteSpace(who))
                {
                    log.Warn("bySeat", "A seat is none of this boat's, or has no name.", "It was left out.");
                    continue;
                }

                seats[seat] = new Person(who.Trim(), p.Value.Get("mass", "massKg", "kg").AsNumber() is { } kg and > 20 and < 250 ? Mass.FromKilograms(kg) : null);
            }
        }

        return seats;
    }

    private static CrewWord Word(string line)
    {
        int at = line.IndexOf('=', StringComparison.Ordinal);
        return at < 0 ? new CrewWord(line.Trim(), "") : new CrewWord(line[..at].Trim(), line[(at + 1)..].Trim());
    }

    private static List<string> Texts(JsonElement? e)
    {
        var list = new List<string>();
        if (e is { ValueKind: JsonValueKind.Array } a)
        {
            foreach (JsonElement? item in a.EnumerateArray())
            {
                if ((item.AsText() ?? item!.Value.Get("name", "crew").AsText())?.Trim() is { Length: > 0 } t)
                {
                    list.Add(t);
                }
            }
        }
        else if (e is { ValueKind: JsonValueKind.Object } map)
        {
            foreach (var p in map.EnumerateObject())
            {
                list.Add(((JsonElement?)p.Value).AsText() is { Length: > 0 } v ? p.Name + " = " + v : p.Name);
            }
        }

        return list;
    }

    private static double? Positive(JsonElement root, string name, double most, IssueLog log)
    {
        var v = root.Get(name);
        if (v is null)
        {
            return null;
        }

        if (v.AsNumber() is { } n && n > 0 && n <= most)
        {
            return n;
        }

        log.Warn(name, "This is no length in metres that makes sense.", "It was left out.");
        return null;
    }

    private static string Short(string s) => s.Length > 20 ? s[..20] : s;
}
