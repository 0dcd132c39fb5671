using Microsoft.EntityFrameworkCore;
using Stakeboat.Storage.Rows;

namespace Stakeboat.Storage;

/// <summary>The page saw an older state than the store has.</summary>
public sealed class ChangedMeanwhileException(int revision)
    : Exception("This outing was changed in another window meanwhile. Look at the present state and repeat the change if it still holds.")
{
    public int Revision { get; } = revision;
}

public sealed partial class Store
{
    /// <summary>Keeps a correction and asks for a new analysis, in one step. The same key a second time returns the first.</summary>
    /// <param name="seen">Revision that the page showed; null: no matter.</param>
    /// <exception cref="ChangedMeanwhileException">Another page changed the outing.</exception>
    public async Task<CorrectionRow> CorrectAsync(
        string outingId, string kind, string body, string said, string requestKey, int? seen, CancellationToken cancel = default)
    {
        for (int attempt = 0; ; attempt++)
        {
            await using var db = _open();
            var known = await db.Corrections.FirstOrDefaultAsync(c => c.OutingId == outingId && c.RequestKey == requestKey, cancel).ConfigureAwait(false);
            if (known is not null)
            {
                return known;
            }

            await using var transaction = await db.Database.BeginTransactionAsync(cancel).ConfigureAwait(false);
            var outing = await ReadyOutingAsync(db, outingId, seen, cancel).ConfigureAwait(false);
            int number = 1 + (await db.Corrections.Where(c => c.OutingId == outingId).MaxAsync(c => (int?)c.Number, cancel).ConfigureAwait(false) ?? 0);
            var row = new CorrectionRow
            {
                Id = NewId(), OutingId = outingId, Number = number, Kind = kind, Body = body, Said = said, MadeAt = Now, RequestKey = requestKey,
            };
            foreach (var left in await db.Corrections.Where(c => c.OutingId == outingId && c.Undone && !c.Abandoned).ToListAsync(cancel).ConfigureAwait(false))
            {
                left.Abandoned = true;
            }

            db.Corrections.Add(row);
            outing.Revision++;
            db.Jobs.Add(NewJob(outingId));
            try
            {
                await db.SaveChangesAsync(cancel).ConfigureAwait(false);
                await transaction.CommitAsync(cancel).ConfigureAwait(false);
                return row;
            }
            catch (DbUpdateException) when (attempt < 3)
            {
                // Another request took the number or the key: look again.
            }
        }
    }

    /// <summary>Undoes the latest correction that stands, or redoes the first that was undone. Returns it, or null where there is none.</summary>
    public async Task<CorrectionRow?> StepAsync(string outingId, bool back, int? seen, CancellationToken cancel = default)
    {
        await using var db = _open();
        await using var transaction = await db.Database.BeginTransactionAsync(cancel).ConfigureAwait(false);
        var outing = await ReadyOutingAsync(db, outingId, seen, cancel).ConfigureAwait(false);
        var rows = db.Corrections.Where(c => c.OutingId == outingId);
        int lastStanding = await rows.Where(c => !c.Undone).MaxAsync(c => (int?)c.Number, cancel).ConfigureAwait(false) ?? 0;
        var row = back
            ? await rows.FirstOrDefaultAsync(c => c.Number == lastStanding, cancel).ConfigureAwait(false)
            : await rows.Where(c => c.Undone && !c.Abandoned && c.Number > lastStanding).OrderBy(c => c.Number).FirstOrDefaultAsync(cancel).ConfigureAwait(false);
        if (row is null)
        {
            return null;
        }

        row.Undone = back;
        outing.Revision++;
        db.Jobs.Add(NewJob(outingId));
        await db.SaveChangesAsync(cancel).ConfigureAwait(false);
        await transaction.CommitAsync(cancel).ConfigureAwait(false);
        return row;
    }

    /// <summary>In the order in which they were made, the undone ones among them.</summary>
    public async Task<IReadOnlyList<CorrectionRow>> CorrectionsAsync(string outingId, CancellationToken cancel = default)
    {
        await using var db = _open();
        return await db.Corrections.Where(c => c.OutingId == outingId).OrderBy(c => c.Number).ToListAsync(cancel).ConfigureAwait(false);
    }

    /// <summary>Bodies of the call corrections that stand, of one outing and of all outings of a crew, oldest first.</summary>
    public async Task<IReadOnlyList<string>> CallCorrectionsAsync(string? outingId, string? crewId, CancellationToken cancel = default)
    {
        await using var db = _open();
        return await db.Corrections.Where(c => c.Kind == "call" && !c.Undone
                && (c.OutingId == outingId || (crewId != null && db.Outings.Any(o => o.Id == c.OutingId && o.CrewId == crewId))))
            .OrderBy(c => c.MadeAt).ThenBy(c => c.Id).Select(c => c.Body).ToListAsync(cancel).ConfigureAwait(false);
    }

    private static async Task<OutingRow> ReadyOutingAsync(StakeboatDb db, string outingId, int? seen, CancellationToken cancel)
    {
        var outing = await db.Outings.FindAsync([outingId], cancel).ConfigureAwait(false);
        if (outing is not { Ready: true })
        {
            throw new KeyNotFoundException("There is no such outing; it may have been deleted in another window.");
        }

        return seen is { } s && s != outing.Revision ? throw new ChangedMeanwhileException(outing.Revision) : outing;
    }
}
