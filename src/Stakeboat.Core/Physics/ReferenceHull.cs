using Stakeboat.Core.Boats;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Physics;

/// <summary>
/// What a class of boat is to the water and the air, where nothing better is known. Waterlines, beams and drafts of 1x, 2x/2- and 8+ after
/// three measured hulls of each (Lazauskas 1998, report L9701); fours and 4+ are engineering estimates.
/// </summary>
/// <param name="Code">The class.</param>
/// <param name="Hull">At the reference volume.</param>
/// <param name="TotalMass">Hull at its minimum, oars, rowers of 90 kg and a cox of 55 kg.</param>
/// <param name="DragArea">Air drag area CdA, m²: 0.86 n^0.58, log-sd 0.25, between two published statements about wind.</param>
/// <param name="Pace">Speed at which the shares hold, m/s.</param>
public sealed record ReferenceHull(string Code, ShellHull Hull, Mass TotalMass, double DragArea, double Pace)
{
    /// <summary>Friction above the flat plate's line for fin, rudder, joints and unsteadiness: 1 + k = 1.05 ± 0.05, engineering estimate.</summary>
    public const double FormFactor = 1.05;

    /// <summary>Wetted area grows as total mass to this power at a fixed hull (0.457 in a single, 0.440 in an eight).</summary>
    public const double AreaMassExponent = 0.45;

    /// <summary>Standard deviation of ln CdA.</summary>
    public const double DragAreaLogSd = 0.25;

    private readonly WaveCurve _waves = new(Hull.AtVolume(TotalMass.Kilograms / 998.207));

    /// <summary>Wave resistance of the hull at its total mass.</summary>
    public WaveCurve Waves => _waves;

    /// <summary>Wetted area at a total mass, m².</summary>
    public double WettedArea(Mass total)
    {
        double reference = Hull.Volume * 998.207;
        return Hull.WettedArea * Math.Pow(total.Kilograms / reference, AreaMassExponent);
    }

    // The shells of the class: length, beam, draft on the waterline, volume.
    private static readonly ShellHull SingleHull = new(7.99, 0.268, 0.108, 0.104);
    private static readonly ShellHull DoubleHull = new(10.25, 0.351, 0.132, 0.211);
    private static readonly ShellHull FourHull = new(12.6, 0.44, 0.16, 0.415);
    private static readonly ShellHull CoxedFourHull = new(13.0, 0.46, 0.17, 0.470);
    private static readonly ShellHull EightHull = new(17.2, 0.554, 0.200, 0.862);

    private static readonly ReferenceHull[] Hulls =
    [
        new("1x", SingleHull, Mass.FromKilograms(107), 0.86, 5.0),
        new("2x", DoubleHull, Mass.FromKilograms(213), 1.29, 5.4),
        new("2-", DoubleHull, Mass.FromKilograms(212), 1.29, 5.4),
        new("4x", FourHull, Mass.FromKilograms(424), 1.92, 5.8),
        new("4-", FourHull, Mass.FromKilograms(420), 1.92, 5.8),
        new("4+", CoxedFourHull, Mass.FromKilograms(476), 1.92, 5.55),
        new("4+bow", CoxedFourHull, Mass.FromKilograms(476), 1.92, 5.55),
        new("4x+", CoxedFourHull, Mass.FromKilograms(479), 1.92, 5.55),
        new("8+", EightHull, Mass.FromKilograms(891), 2.87, 6.0),
    ];

    public static IReadOnlyList<ReferenceHull> All => Hulls;

    /// <summary>The class's reference; the eight's where the class is unknown.</summary>
    public static ReferenceHull Of(BoatClass boat)
    {
        ArgumentNullException.ThrowIfNull(boat);
        return Of(boat.Code);
    }

    public static ReferenceHull Of(string code) =>
        Array.Find(Hulls, h => string.Equals(h.Code, code, StringComparison.OrdinalIgnoreCase)) ?? Hulls[^1];
}
