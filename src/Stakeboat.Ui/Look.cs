namespace Stakeboat.Ui;

/// <summary>How a person wants to see things; kept in a cookie of this machine.</summary>
/// <param name="Theme">"auto", "light" or "dark".</param>
/// <param name="Margin">"seats", "lengths", "metres" or "feet".</param>
/// <param name="Speed">"pace", "mps", "kmh" or "mph".</param>
public sealed record Look(string Theme, string Margin, string Speed)
{
    public const string CookieName = "stakeboat-look";

    public static readonly IReadOnlyList<(string Value, string Words)> Themes = [("auto", "as the system"), ("light", "light"), ("dark", "dark")];

    public static readonly IReadOnlyList<(string Value, string Words)> Margins =
        [("seats", "seats"), ("lengths", "lengths"), ("metres", "metres"), ("feet", "feet")];

    public static readonly IReadOnlyList<(string Value, string Words)> Speeds =
        [("pace", "pace per 500 m"), ("mps", "m/s"), ("kmh", "km/h"), ("mph", "mph")];

    public static Look Usual { get; } = new("auto", "seats", "pace");

    /// <summary>What is unknown becomes usual: a cookie is text from outside.</summary>
    public static Look From(string? theme, string? margin, string? speed) => new(
        Known(Themes, theme) ?? Usual.Theme, Known(Margins, margin) ?? Usual.Margin, Known(Speeds, speed) ?? Usual.Speed);

    public static Look FromCookie(string? cookie)
    {
        string[] parts = (cookie ?? "").Split('.');
        return parts.Length == 3 ? From(parts[0], parts[1], parts[2]) : Usual;
    }

    public string ToCookie() => $"{Theme}.{Margin}.{Speed}";

    private static string? Known(IReadOnlyList<(string Value, string Words)> choices, string? value) =>
        choices.Any(c => c.Value == value) ? value : null;
}
