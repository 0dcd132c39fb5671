using System.Globalization;
using Stakeboat.Core.Boats;
using Stakeboat.Core.Units;

namespace Stakeboat.Core.Plans;

/// <summary>Conditions other than those for which a plan's pace was written.</summary>
/// <param name="Name">In a word or two ("head 3 m/s"), for the head of a column.</param>
/// <param name="SpeedFactor">Speed in them over speed in the plan's own.</param>
/// <param name="Along">Speed along the course over its mean; null: as the plan's own wind and bends have it.</param>
public sealed record PlanConditions(string Name, double SpeedFactor, IReadOnlyList<SpeedFrom>? Along = null)
{
    public static PlanConditions AsWritten { get; } = new("as written", 1);
}

/// <summary>
/// Turns a plan as written into one plan in metres, strokes and seconds, and names every contradiction with its arithmetic.
/// Identities: d = 60 v / r metres per stroke; strokes = r t / 60.
/// </summary>
public static class PlanCompiler
{
    /// <summary>
    /// Speed gained for a stroke a minute where the writer gives none, %: power +2.7 % a beat (ergometer sprints, n = 30, Held 2020) and
    /// speed as the cube root of power give 0.89; the single's +4.4 % would give 1.45.
    /// </summary>
    public const double DefaultLiftPercent = 0.9;

    /// <summary>Largest disagreement between two lengths of one stretch that is let pass: three quarters of a stroke.</summary>
    public const double StrokeTolerance = 0.75;

    /// <summary>Compiles one of a text's plans.</summary>
    /// <param name="variant">A, B or C; null for the first.</param>
    /// <param name="fired">Lines of cues that a rival or the moment sets off, with the metres at which they are supposed to have been; null for none.</param>
    public static PlanResult Compile(PlanSheet sheet, string? variant = null, PlanConditions? conditions = null, IReadOnlyDictionary<int, double>? fired = null)
    {
        ArgumentNullException.ThrowIfNull(sheet);
        var issues = new List<PlanIssue>(sheet.Issues);
        var chosen = sheet.Find(variant);
        if (chosen is null)
        {
            if (variant is not null)
            {
                issues.Add(new PlanIssue(0, 1, PlanSeverity.Error, "no-variant",
                    $"There is no plan '{variant}' here; there is {string.Join(", ", sheet.Variants.Select(v => v.Name))}."));
            }

            return new PlanResult(null, issues);
        }

        return new PlanCompilation(chosen, conditions ?? PlanConditions.AsWritten, issues, fired).Compile();
    }

    /// <summary>Reads and compiles the first plan of a text.</summary>
    public static PlanResult Compile(string text) => Compile(PlanText.Parse(text));

    /// <summary>Every plan of a text under each of the conditions, in order of the text.</summary>
    public static IReadOnlyList<PlanResult> SideBySide(PlanSheet sheet, IReadOnlyList<PlanConditions> conditions) =>
        [.. sheet.Variants.SelectMany(v => conditions.Select(c => Compile(sheet, v.Name, c)))];

    /// <summary>
    /// Distance constant of a standing start, x0 = m/3k, m. Masses and drag factors k = P/v³ of the classes at 90 kg a rower, 20 C, calm:
    /// 107, 213, 212, 424, 420, 476, 891 kg and 3.49, 5.33, 5.34, 8.04, 8.03, 8.65, 12.72 W s³/m³, computed by the full model of Core.Physics.
    /// </summary>
    public static Distance StartLength(BoatClass? boat) => Distance.FromMetres(boat?.Code switch
    {
        "1x" => 107 / (3 * 3.49),
        "2x" => 213 / (3 * 5.33),
        "2-" => 212 / (3 * 5.34),
        "4x" or "4x+" => 424 / (3 * 8.04),
        "4-" => 420 / (3 * 8.03),
        "4+" or "4+bow" => 476 / (3 * 8.65),
        _ => 891 / (3 * 12.72),
    });

    internal static string Inv(FormattableString s) => s.ToString(CultureInfo.InvariantCulture);

    /// <summary>Minutes, seconds and tenths: 96.04 is "1:36.0".</summary>
    internal static string Clock(double seconds)
    {
        double tenths = Math.Round(seconds * 10, MidpointRounding.AwayFromZero);
        int minutes = (int)(tenths / 600);
        return Inv($"{minutes}:{(tenths - minutes * 600) / 10:00.0}");
    }
}
