using System.Globalization;
using Stakeboat.Core.Boats;
using Stakeboat.Core.Debrief.CrewsOwn;
using Stakeboat.Core.Physics;
using Stakeboat.Core.Plans;
using Stakeboat.Readers;
using Stakeboat.Storage.Rows;

namespace Stakeboat.Web.Plans;

/// <summary>Learns a crew's speed from outings that are kept in the store. Pieces already found are remembered while the server runs.</summary>
public sealed class CrewFromOutings(Storage.Store store)
{
    /// <summary>Most outings that one fit takes.</summary>
    public const int Most = 8;

    private static readonly string[] Sensors = [".gpx", ".tcx", ".fit", ".nmea", ".csv", ".geojson", ".json", ".zip", ".txt"];

    private readonly Lock _gate = new();
    private readonly Dictionary<string, IReadOnlyList<CrewPiece>> _known = new(StringComparer.Ordinal);

    /// <summary>Whether a file may hold a track or a motion log.</summary>
    public static bool MayHoldTrack(FileRow file)
    {
        ArgumentNullException.ThrowIfNull(file);
        return Array.IndexOf(Sensors, Path.GetExtension(file.Name).ToLowerInvariant()) >= 0;
    }

    /// <summary>The fit, or null with sentences that say why it could not be tried.</summary>
    /// <param name="outings">Ids with the weather of each.</param>
    /// <param name="text">The plan as typed: its boat class and base rate are used.</param>
    public async Task<(CrewCalibration? Fit, double? Rate, IReadOnlyList<string> Wrong)> FitAsync(IReadOnlyList<(string Id, OutingWeather Weather)> outings, string text, CancellationToken cancel)
    {
        var head = PlanText.Parse(text).Variants.FirstOrDefault()?.Head;
        var wrong = new List<string>();
        if (outings.Count == 0)
        {
            return (null, null, ["Tick at least one outing with pieces rowed out and back."]);
        }

        var found = new List<(IReadOnlyList<CrewPiece>, OutingWeather)>();
        foreach (var (id, weather) in outings.Take(Most))
        {
            if (await store.OutingAsync(id, cancel).ConfigureAwait(false) is not { } outing)
            {
                wrong.Add("An outing that was ticked is no longer here. Load the page again.");
                continue;
            }

            if (weather is { WindSpeed: > 0, WindFrom: null })
            {
                wrong.Add($"{outing.Name}: a wind needs where it blew from, degrees from true north.");
                continue;
            }

            var pieces = await PiecesAsync(outing, cancel).ConfigureAwait(false);
            if (pieces.Count == 0)
            {
                wrong.Add($"{outing.Name}: no track with a straight, steady piece of 30 s or more.");
            }

            found.Add((pieces, weather));
        }

        if (outings.Count > Most)
        {
            wrong.Add(string.Create(CultureInfo.InvariantCulture, $"The first {Most} of {outings.Count} outings were taken."));
        }

        var hull = ReferenceHull.Of(head?.Boat ?? BoatClass.Eight);
        return (found.Count > 0 ? CrewCalibrations.FitPieces(hull, found) : null, head?.BaseRate, wrong);
    }

    private async Task<IReadOnlyList<CrewPiece>> PiecesAsync(OutingRow outing, CancellationToken cancel)
    {
        var files = (await store.FilesAsync(outing.Id, cancel).ConfigureAwait(false)).Where(MayHoldTrack).ToArray();
        string key = outing.Name + "|" + string.Join('|', files.Select(f => f.Hash));
        lock (_gate)
        {
            if (_known.TryGetValue(key, out var known))
            {
                return known;
            }
        }

        var reading = OutingFolder.Read(outing.Name, [.. files.Select(f => new OutingFile(f.Name, () => store.Vault.Open(f.Hash)))]);
        IReadOnlyList<CrewPiece> pieces = reading.Value is { } value ? CrewPieces.Of(value) : [];
        lock (_gate)
        {
            if (_known.Count > 200)
            {
                _known.Clear();
            }

            _known[key] = pieces;
        }

        return pieces;
    }
}
