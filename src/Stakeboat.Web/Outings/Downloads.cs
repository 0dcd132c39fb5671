using System.Text;
using Microsoft.Net.Http.Headers;
using Stakeboat.Exchange.Debriefs;
using Stakeboat.Reports.Debriefs;
using Stakeboat.Storage;

namespace Stakeboat.Web.Outings;

/// <summary>What leaves the program as a file: originals, tables, the report, the line, the calls as chapters, a backup.</summary>
public static class Downloads
{
    public static void MapDownloads(this IEndpointRouteBuilder routes)
    {
        ArgumentNullException.ThrowIfNull(routes);
        routes.MapGet("/outings/{id}/files/{file}", OriginalAsync);
        routes.MapGet("/outings/{id}/report.html", (string id, Store s, HttpContext h, CancellationToken c) => MadeAsync(id, s, h, "html", "text/html; charset=utf-8", d => Encoding.UTF8.GetBytes(DebriefHtml.Write(d)), c));
        routes.MapGet("/outings/{id}/report.pdf", (string id, Store s, HttpContext h, CancellationToken c) => MadeAsync(id, s, h, "pdf", "application/pdf", DebriefReport.Write, c));
        routes.MapGet("/outings/{id}/debrief.json", (string id, Store s, HttpContext h, CancellationToken c) => MadeAsync(id, s, h, "json", "application/json", DebriefJson.Write, c));
        routes.MapGet("/outings/{id}/line.geojson", (string id, Store s, HttpContext h, CancellationToken c) => MadeAsync(id, s, h, "geojson", "application/geo+json", LineGeoJson.Write, c));
        routes.MapGet("/outings/{id}/calls.vtt", (string id, Store s, HttpContext h, CancellationToken c) => MadeAsync(id, s, h, "vtt", "text/vtt; charset=utf-8", d => Encoding.UTF8.GetBytes(CallChapters.Write(d)), c));
        routes.MapGet("/outings/{id}/tables.zip", (string id, Store s, HttpContext h, CancellationToken c) => MadeAsync(id, s, h, "zip", "application/zip", DebriefTables.Zip, c));
        routes.MapGet("/outings/{id}/tables/{table}.csv", TableAsync);
        routes.MapGet("/backup.zip", BackupAsync);
    }

    private static async Task<IResult> OriginalAsync(string id, string file, Store store, CancellationToken cancel)
    {
        var row = (await store.FilesAsync(id, cancel).ConfigureAwait(false)).FirstOrDefault(f => f.Id == file);
        if (row is null || !store.Vault.Holds(row.Hash))
        {
            return Results.Text("There is no such file.", statusCode: 404);
        }

        string? sound = await SoundType.OfAsync(store.Vault, row.Hash, cancel).ConfigureAwait(false);
        return Results.File(
            store.Vault.PathOf(row.Hash), sound ?? "application/octet-stream", sound is null ? row.Name : null,
            entityTag: new EntityTagHeaderValue($"\"{row.Hash[..32]}\""), enableRangeProcessing: true);
    }

    private static async Task<IResult> TableAsync(string id, string table, Store store, HttpContext context, CancellationToken cancel)
    {
        var document = await DocumentAsync(id, store, cancel).ConfigureAwait(false);
        var made = document is null ? null : DebriefTables.All(document).FirstOrDefault(t => t.Name == table);
        return made is null
            ? Results.Text("There is no such table.", statusCode: 404)
            : Results.File(Encoding.UTF8.GetBytes(made.ToCsv()), "text/csv; charset=utf-8", $"{Store.CleanName(document!.Name, "race")} {table}.csv");
    }

    private static async Task<IResult> MadeAsync(
        string id, Store store, HttpContext context, string ending, string type, Func<DebriefDocument, byte[]?> make, CancellationToken cancel)
    {
        var document = await DocumentAsync(id, store, cancel).ConfigureAwait(false);
        if (document is null || make(document) is not { } bytes)
        {
            return Results.Text(document is null ? "There is no debrief yet." : "This outing has nothing of that kind.", statusCode: 404);
        }

        return Results.File(bytes, type, $"{Store.CleanName(document.Name, "race")}.{ending}");
    }

    private static async Task<DebriefDocument?> DocumentAsync(string id, Store store, CancellationToken cancel) =>
        await store.AnalysisAsync(id, cancel: cancel).ConfigureAwait(false) is { } a ? DebriefJson.Read(a.Json) : null;

    /// <summary>Streamed while it is made: a backup of any size needs no memory of its size.</summary>
    private static async Task BackupAsync(HttpContext context, Store store, TimeProvider time)
    {
        context.Response.ContentType = "application/zip";
        context.Response.Headers.ContentDisposition = string.Create(
            System.Globalization.CultureInfo.InvariantCulture, $"attachment; filename=\"stakeboat {time.GetLocalNow():yyyy-MM-dd}.zip\"");
        await Backup.WriteAsync(store, context.Response.BodyWriter.AsStream(leaveOpen: true), context.RequestAborted).ConfigureAwait(false);
    }
}

/// <summary>Which sound a file is, by its first bytes; what is no sound is only ever offered for download.</summary>
public static class SoundType
{
    public static async Task<string?> OfAsync(Storage.Originals.OriginalVault vault, string hash, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(vault);
        byte[] head = new byte[64];
        var stream = vault.Open(hash);
        int n;
        await using (stream.ConfigureAwait(false))
        {
            n = await stream.ReadAtLeastAsync(head, head.Length, throwOnEndOfStream: false, cancel).ConfigureAwait(false);
        }

        return Of(head.AsSpan(0, n));
    }

    public static string? Of(ReadOnlySpan<byte> head) =>
        head.StartsWith("OggS"u8) ? "audio/ogg"
        : head.StartsWith("RIFF"u8) && head.Length >= 12 && head[8..].StartsWith("WAVE"u8) ? "audio/wav"
        : head.StartsWith("fLaC"u8) ? "audio/flac"
        : head.StartsWith("ID3"u8) || (head.Length > 1 && head[0] == 0xFF && (head[1] & 0xE6) == 0xE2) ? "audio/mpeg"
        : head.Length > 1 && head[0] == 0xFF && (head[1] & 0xF6) == 0xF0 ? "audio/aac"
        : head.Length >= 12 && head[4..].StartsWith("ftyp"u8) ? "audio/mp4"
        : head.StartsWith(new byte[] { 0x1A, 0x45, 0xDF, 0xA3 }) ? "audio/webm"
        : null;
}
