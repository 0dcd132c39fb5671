using Stakeboat.Core.Boats;
using Stakeboat.Core.Crews;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Units;
using Stakeboat.Exchange.Corrections;

namespace Stakeboat.Web.Analysis;

/// <summary>Applies what was put right of lanes, crews and the distance to the race sheet, in the order in which it was said.</summary>
public static class SheetCorrections
{
    /// <returns>The sheet as corrected; a sheet is begun where there was none and something is known now.</returns>
    public static RaceSheet? Apply(RaceSheet? sheet, IReadOnlyList<CorrectionDocument> corrections)
    {
        ArgumentNullException.ThrowIfNull(corrections);
        foreach (var c in corrections.Where(c => c.Lane is not null || c.Crew is not null || c.Distance is not null))
        {
            sheet ??= new RaceSheet(
                Crew.Named("our boat", BoatClass.Eight), BoatClass.Eight.Geometry, null, new Dictionary<int, string>(), [], Core.Units.Distance.FromMetres(13.5), null);
            sheet = c switch
            {
                { Distance: { } d } => sheet with { Distance = Core.Units.Distance.FromMetres(d.Metres) },
                { Lane: { } l } => sheet with { Lanes = WithLane(sheet, l), Rivals = l.Crew == sheet.Us.Name || sheet.Rivals.Contains(l.Crew) ? sheet.Rivals : [.. sheet.Rivals, l.Crew] },
                { Crew: { Was: null } n } => sheet.Rivals.Contains(n.Is) || n.Is == sheet.Us.Name ? sheet : sheet with { Rivals = [.. sheet.Rivals, n.Is] },
                { Crew: { Was: { } was } n } => sheet with
                {
                    Us = sheet.Us.Name == was ? sheet.Us with { Name = n.Is } : sheet.Us,
                    Rivals = [.. sheet.Rivals.Select(r => r == was ? n.Is : r).Distinct()],
                    Lanes = sheet.Lanes.ToDictionary(x => x.Key, x => x.Value == was ? n.Is : x.Value),
                },
                _ => sheet,
            };
        }

        return sheet;
    }

    private static Dictionary<int, string> WithLane(RaceSheet sheet, LaneCorrectionPart l)
    {
        var lanes = sheet.Lanes.Where(x => x.Value != l.Crew && x.Key != l.Lane).ToDictionary(x => x.Key, x => x.Value);
        lanes[l.Lane] = l.Crew;
        return lanes;
    }
}
