using Stakeboat.Core.Units;

namespace Stakeboat.Core.Boats;

/// <summary>
/// A class of boat with its usual dimensions. Every dimension is a default: a crew's own tape measure overrides it
/// (<c>geometry</c> in a race sheet, or <see cref="HullGeometry"/> directly).
/// </summary>
/// <param name="Code">The trade's short name: 8+, 4+, 4x+, 4-, 4x, 2-, 2x, 1x; a bow-coxed four is 4+bow.</param>
/// <param name="Rowers">How many row.</param>
/// <param name="Sculls">Two oars each.</param>
/// <param name="Coxed">Carries a coxswain.</param>
/// <param name="MinimumHull">Least mass of hull with riggers, seats and stretchers under the international rules of racing; without oars.
/// For 4x+ no international figure was found: the national club-hull figure of a 4x plus 2 kg, common practice, no source.</param>
/// <param name="Geometry">Usual places of the seats.</param>
public sealed record BoatClass(string Code, int Rowers, bool Sculls, bool Coxed, Mass MinimumHull, HullGeometry Geometry)
{
    private static HullGeometry G(double length, double bow, double spacing, int seats, double? cox) => new(
        Distance.FromMetres(length), Distance.FromMetres(bow), Distance.FromMetres(spacing), seats,
        cox is { } c ? Distance.FromMetres(c) : null);

    // Lengths: 8+ 17.60, 4+ and 4x 12.90, 2x and 2- 10.00, 1x 8.28 m: list of club hulls. Minimum masses: 96, 51, 50, 52, 27, 27, 14 kg:
    // rules of racing. Seat places of the eight: 4.2 m to bow, 1.40 m apart, cox at 15.4 m: from memory and measured drawings; the others
    // keep the 1.40 m and centre the crew as the eight does: common practice, no source.
    public static BoatClass Eight { get; } = new("8+", 8, false, true, Mass.FromKilograms(96), G(17.6, 4.2, 1.4, 8, 15.4));

    public static BoatClass FourSternCoxed { get; } = new("4+", 4, false, true, Mass.FromKilograms(51), G(12.9, 4.0, 1.4, 4, 9.6));

    public static BoatClass FourBowCoxed { get; } = new("4+bow", 4, false, true, Mass.FromKilograms(51), G(13.1, 5.4, 1.4, 4, 3.0));

    public static BoatClass QuadCoxed { get; } = new("4x+", 4, true, true, Mass.FromKilograms(54), G(12.9, 4.0, 1.35, 4, 9.5));

    public static BoatClass Four { get; } = new("4-", 4, false, false, Mass.FromKilograms(50), G(12.9, 4.2, 1.4, 4, null));

    public static BoatClass Quad { get; } = new("4x", 4, true, false, Mass.FromKilograms(52), G(12.9, 4.2, 1.4, 4, null));

    public static BoatClass Pair { get; } = new("2-", 2, false, false, Mass.FromKilograms(27), G(10.0, 4.2, 1.4, 2, null));

    public static BoatClass Double { get; } = new("2x", 2, true, false, Mass.FromKilograms(27), G(10.0, 4.2, 1.4, 2, null));

    public static BoatClass Single { get; } = new("1x", 1, true, false, Mass.FromKilograms(14), G(8.28, 4.0, 1.4, 1, null));

    public static IReadOnlyList<BoatClass> All { get; } =
        [Eight, FourSternCoxed, FourBowCoxed, QuadCoxed, Four, Quad, Pair, Double, Single];

    /// <summary>Finds a class by its code; null where there is none. "4+" is the stern-coxed four.</summary>
    public static BoatClass? Find(string code) =>
        All.FirstOrDefault(c => string.Equals(c.Code, code, StringComparison.OrdinalIgnoreCase));
}
