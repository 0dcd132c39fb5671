using System.Globalization;
using Stakeboat.Exchange.Debriefs;

namespace Stakeboat.Ui;

/// <summary>Numbers as people read them, in the units of their choice.</summary>
public static class Figures
{
    private static readonly CultureInfo s_culture = CultureInfo.InvariantCulture;

    /// <summary>Minutes and seconds with tenths: 5:59.4.</summary>
    public static string Clock(double seconds, int decimals = 1)
    {
        double scale = Math.Pow(10, decimals);
        double r = Math.Round(Math.Abs(seconds) * scale) / scale;
        int minutes = (int)(r / 60);
        string rest = (r - 60 * minutes).ToString(decimals > 0 ? "00." + new string('0', decimals) : "00", s_culture);
        return (seconds < 0 && r > 0 ? "−" : "") + minutes.ToString(s_culture) + ":" + rest;
    }

    public static string Number(double? x, int decimals = 1) =>
        x is { } v && double.IsFinite(v) ? (Math.Round(v, decimals) < 0 ? "−" : "") + Math.Abs(Math.Round(v, decimals)).ToString("F" + decimals.ToString(s_culture), s_culture) : "";

    public static string Signed(double? x, int decimals = 1) =>
        x is { } v && double.IsFinite(v) ? (Math.Round(v, decimals) > 0 ? "+" : "") + Number(v, decimals) : "";

    public static string MarginUnit(Look look) => look.Margin switch { "lengths" => "lengths", "metres" => "m", "feet" => "ft", _ => "seats" };

    /// <summary>How many of the chosen unit a metre of margin is, on that crew's hull.</summary>
    public static double MarginScale(Look look, CrewPart crew) => look.Margin switch
    {
        "lengths" => 1 / crew.Length,
        "metres" => 1,
        "feet" => 1 / 0.3048,
        _ => 1 / crew.SeatSpacing,
    };

    public static int MarginDecimals(Look look) => look.Margin is "lengths" ? 2 : 1;

    public static string Margin(double? metres, CrewPart crew, Look look) => Signed(metres * MarginScale(look, crew), MarginDecimals(look));

    public static string SpeedUnit(Look look) => look.Speed switch { "mps" => "m/s", "kmh" => "km/h", "mph" => "mph", _ => "/500 m" };

    /// <summary>A speed (m/s) as pace per 500 m or in the chosen unit.</summary>
    public static string Speed(double? mps, Look look) => mps is not { } v || !(v > 0.3) ? "" : look.Speed switch
    {
        "mps" => Number(v, 2),
        "kmh" => Number(v * 3.6, 1),
        "mph" => Number(v / 0.44704, 1),
        _ => Clock(500 / v),
    };

    public static string Distance(double? metres) => metres is { } m ? Number(m, 0) + " m" : "";
}
