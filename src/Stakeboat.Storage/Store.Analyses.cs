using System.IO.Compression;
using Microsoft.EntityFrameworkCore;
using Stakeboat.Exchange.Debriefs;
using Stakeboat.Storage.Rows;

namespace Stakeboat.Storage;

/// <param name="Json">The document as <see cref="DebriefJson"/> wrote it.</param>
public sealed record StoredAnalysis(int Number, int Revision, string Engine, byte[] Json);

public sealed partial class Store
{
    /// <summary>Keeps a new analysis and ends its job, in one step.</summary>
    /// <param name="revision">Of the outing, as it stood when the analysis began.</param>
    public async Task<int> SaveAnalysisAsync(string outingId, int revision, DebriefDocument document, string? jobId, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(document);
        byte[] packed = Pack(DebriefJson.Write(document));
        var ours = document.Result?.FirstOrDefault(r => r.Crew == document.Us.Name);
        double? seconds = document.Clock is { GoAt: { } go, FinishAt: { } finish } ? finish - go : ours?.Marks.LastOrDefault()?.Seconds;
        var rates = document.Rowed?.Strokes.Rate.OfType<double>().ToList() ?? [];
        if (document.Rowed is { } rowed && document.Clock is { GoAt: { } g } clock)
        {
            rates = Enumerable.Range(0, rowed.Strokes.T.Count)
                .Where(i => rowed.Strokes.T[i] >= g && rowed.Strokes.T[i] <= (clock.FinishAt ?? clock.To))
                .Select(i => rowed.Strokes.Rate[i]).OfType<double>().ToList();
        }

        for (int attempt = 0; ; attempt++)
        {
            await using var db = _open();
            await using var transaction = await db.Database.BeginTransactionAsync(cancel).ConfigureAwait(false);
            int number = 1 + (await db.Analyses.Where(a => a.OutingId == outingId).MaxAsync(a => (int?)a.Number, cancel).ConfigureAwait(false) ?? 0);
            db.Analyses.Add(new AnalysisRow
            {
                Id = NewId(), OutingId = outingId, Number = number, Engine = document.Engine, Revision = revision, MadeAt = Now, Document = packed,
                Distance = document.Clock.Distance, Seconds = seconds, MeanRate = rates.Count > 0 ? rates.Average() : null,
                Place = ours?.Place, Crews = document.Crews.Count, Boat = document.Us.Boat, Findings = document.Findings.Count,
                FirstFinding = document.Findings.Count > 0 ? document.Findings[0].Sentence : null,
            });
            if (jobId is not null && await db.Jobs.FindAsync([jobId], cancel).ConfigureAwait(false) is { } job)
            {
                job.State = "done";
                job.Progress = 1;
                job.Message = "Done.";
                job.EndedAt = Now;
            }

            try
            {
                await db.SaveChangesAsync(cancel).ConfigureAwait(false);
                await transaction.CommitAsync(cancel).ConfigureAwait(false);
                return number;
            }
            catch (DbUpdateException) when (attempt < 3)
            {
                // Another worker took the number: look again.
            }
        }
    }

    /// <summary>The latest analysis, or the one with that number; null where there is none.</summary>
    public async Task<StoredAnalysis?> AnalysisAsync(string outingId, int? number = null, CancellationToken cancel = default)
    {
        await using var db = _open();
        var query = db.Analyses.Where(a => a.OutingId == outingId);
        var row = number is { } n
            ? await query.FirstOrDefaultAsync(a => a.Number == n, cancel).ConfigureAwait(false)
            : await query.OrderByDescending(a => a.Number).FirstOrDefaultAsync(cancel).ConfigureAwait(false);
        return row is null ? null : new StoredAnalysis(row.Number, row.Revision, row.Engine, Unpack(row.Document));
    }

    private static byte[] Pack(byte[] json)
    {
        using var target = new MemoryStream();
        using (var packer = new BrotliStream(target, CompressionLevel.Fastest))
        {
            packer.Write(json);
        }

        return target.ToArray();
    }

    private static byte[] Unpack(byte[] packed)
    {
        using var source = new BrotliStream(new MemoryStream(packed), CompressionMode.Decompress);
        using var target = new MemoryStream();
        source.CopyTo(target);
        return target.ToArray();
    }
}
