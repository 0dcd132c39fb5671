using System.Globalization;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Ui;

/// <summary>A call in plain words: what was claimed, wanted or ordered.</summary>
public static class CallWords
{
    public static string Of(CallPart call)
    {
        ArgumentNullException.ThrowIfNull(call);
        string N(double? x) => x is { } v ? v.ToString("0.##", CultureInfo.InvariantCulture) : "";
        string crew = call.Crew is { } c ? c + ": " : "";
        return call.Type switch
        {
            "rate" => (call.Sense == "wanted" ? "wants rate " : "rate ") + N(call.Spm),
            "rateChange" => "rate " + (call.By >= 0 ? "up " : "down ") + N(Math.Abs(call.By ?? 0)) + (call.InStrokes is { } i ? " in " + N(i) : "") + (call.OverStrokes is { } o ? " over " + N(o) : ""),
            "pace" => "pace " + Figures.Clock(call.SecPer500 ?? 0),
            "distance" => N(call.Metres) + " m " + (call.Sense == "left" ? "to go" : "gone"),
            "time" => Figures.Clock(call.Seconds ?? 0, 0) + (call.Sense == "gone" ? " gone" : " to it"),
            "strokesTo" => N(call.Strokes) + " strokes to the " + call.To,
            "count" => "count " + N(call.N),
            "margin" => crew + Margin(call),
            "want" => crew + "wants " + (call.Seats is { } s ? N(s) + " seats" : Place(call.Their)),
            "trend" => crew + (call.Who == "them" ? "they gain" : "we gain") + (call.Seats is { } s ? " " + N(s) + " seats" : ""),
            "rivalMove" => (call.Crew ?? "a rival") + " moves",
            "move" => "our move" + (call.Strokes is { } s ? ", " + N(s) + " strokes" : "") + (call.Purpose is { } p ? ", " + p : ""),
            "shift" => call.To ?? "shift",
            "command" => Apart(call.Do) + (call.Who is null or "all" ? "" : ", " + Apart(call.Who)),
            "steer" => (call.Side is null or "none" ? "" : call.Side + " ") + call.How,
            "technique" => "technique: " + call.Topic,
            "conditions" => Apart(call.What),
            "spirit" => "encouragement",
            _ => call.Type,
        };
    }

    /// <summary>The name of a type of call for people.</summary>
    public static string Type(string type) => type switch
    {
        "rateChange" => "change of rate", "strokesTo" => "strokes to", "rivalMove" => "rival's move", "shift" => "rhythm",
        "spirit" => "encouragement", "time" => "time", _ => Apart(type),
    };

    private static string Margin(CallPart call)
    {
        string size = call switch
        {
            { Seats: { } s } => Amount(s, "seat"),
            { Lengths: { } l } => Amount(l, "length"),
            { Metres: { } m } => m.ToString("0.#", CultureInfo.InvariantCulture) + " m",
            _ => "",
        };
        string place = call.Their is { } their ? $"our {Part(call.Our)} on their {Part(their)}"
            : call.Mirror == true ? $"they are on our {Part(call.Our)}" : "";
        string water = call.OpenWater == true ? (size.Length > 0 ? " of open water" : "open water") : "";
        string side = call.Side is { } d && d != "level" ? " " + d : call.Side ?? "";
        string all = string.Join(", ", new[] { (size + water + (size.Length + water.Length > 0 || call.Side == "level" ? side : "")).Trim(), place }.Where(p => p.Length > 0));
        return all.Length > 0 ? all : (call.Side ?? "position");
    }

    private static string Amount(double n, string unit) => n.ToString("0.##", CultureInfo.InvariantCulture) + " " + unit + (Math.Abs(n) == 1 ? "" : "s");

    private static string Place(string? their) => their is null ? "more" : "their " + Part(their);

    private static string Part(string? part) => part switch { "cox" => "coxswain", "bow" => "bow ball", "boat" => "boat", null => "boat", { Length: 1 } n => "seat " + n, _ => part };

    /// <summary>"headWind" as "head wind".</summary>
    private static string Apart(string? name) =>
        name is null ? "" : string.Concat(name.Select(c => char.IsAsciiLetterUpper(c) ? " " + char.ToLowerInvariant(c) : c.ToString()));
}
