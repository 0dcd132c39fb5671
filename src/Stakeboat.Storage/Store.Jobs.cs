using Microsoft.EntityFrameworkCore;
using Stakeboat.Storage.Rows;

namespace Stakeboat.Storage;

public sealed partial class Store
{
    private JobRow NewJob(string outingId) =>
        new() { Id = NewId(), OutingId = outingId, State = "queued", Message = "Waiting.", QueuedAt = Now };

    /// <summary>Asks for a new analysis: after a new file, or by a newer engine.</summary>
    public async Task<JobRow> EnqueueAsync(string outingId, CancellationToken cancel = default)
    {
        await using var db = _open();
        var job = NewJob(outingId);
        db.Jobs.Add(job);
        await db.SaveChangesAsync(cancel).ConfigureAwait(false);
        return job;
    }

    /// <summary>
    /// Takes the oldest waiting job, for one worker alone: the change of state is one statement that only one of them can make.
    /// Older jobs of the same outing are closed with it, since one analysis answers them all.
    /// </summary>
    public async Task<JobRow?> TakeJobAsync(CancellationToken cancel = default)
    {
        await using var db = _open();
        while (true)
        {
            var oldest = await db.Jobs.AsNoTracking().Where(j => j.State == "queued").OrderBy(j => j.QueuedAt).ThenBy(j => j.Id)
                .FirstOrDefaultAsync(cancel).ConfigureAwait(false);
            if (oldest is null)
            {
                return null;
            }

            var newest = await db.Jobs.AsNoTracking().Where(j => j.State == "queued" && j.OutingId == oldest.OutingId)
                .OrderByDescending(j => j.QueuedAt).ThenByDescending(j => j.Id).FirstOrDefaultAsync(cancel).ConfigureAwait(false);
            if (newest is null)
            {
                continue; // Another worker was quicker.
            }

            int taken = await db.Jobs.Where(j => j.Id == newest.Id && j.State == "queued").ExecuteUpdateAsync(
                s => s.SetProperty(j => j.State, "running").SetProperty(j => j.Message, "Reading the files."), cancel).ConfigureAwait(false);
            if (taken == 1)
            {
                long now = Now;
                await db.Jobs.Where(j => j.OutingId == newest.OutingId && j.State == "queued" && j.QueuedAt <= newest.QueuedAt && j.Id != newest.Id)
                    .ExecuteUpdateAsync(
                        s => s.SetProperty(j => j.State, "done").SetProperty(j => j.Message, "Answered by a later request.").SetProperty(j => j.EndedAt, now),
                        cancel).ConfigureAwait(false);
                newest.State = "running";
                return newest;
            }
        }
    }

    /// <summary>Reports progress; returns false when the person wants the job to end.</summary>
    public async Task<bool> ReportAsync(string jobId, double progress, string message, CancellationToken cancel = default)
    {
        await using var db = _open();
        int n = await db.Jobs.Where(j => j.Id == jobId && j.State == "running" && !j.CancelWanted).ExecuteUpdateAsync(
            s => s.SetProperty(j => j.Progress, progress).SetProperty(j => j.Message, message), cancel).ConfigureAwait(false);
        return n == 1;
    }

    /// <summary>Ends a job that gave no analysis.</summary>
    /// <param name="state">"failed" or "cancelled".</param>
    public async Task EndJobAsync(string jobId, string state, string message, CancellationToken cancel = default)
    {
        await using var db = _open();
        long now = Now;
        await db.Jobs.Where(j => j.Id == jobId).ExecuteUpdateAsync(
            s => s.SetProperty(j => j.State, state).SetProperty(j => j.Message, message).SetProperty(j => j.EndedAt, now), cancel).ConfigureAwait(false);
    }

    /// <summary>A waiting job ends at once; a running one at its next report.</summary>
    public async Task CancelJobAsync(string jobId, CancellationToken cancel = default)
    {
        await using var db = _open();
        long now = Now;
        await db.Jobs.Where(j => j.Id == jobId && j.State == "queued").ExecuteUpdateAsync(
            s => s.SetProperty(j => j.State, "cancelled").SetProperty(j => j.Message, "Cancelled.").SetProperty(j => j.EndedAt, now), cancel).ConfigureAwait(false);
        await db.Jobs.Where(j => j.Id == jobId && j.State == "running")
            .ExecuteUpdateAsync(s => s.SetProperty(j => j.CancelWanted, true), cancel).ConfigureAwait(false);
    }

    public async Task<JobRow?> JobAsync(string jobId, CancellationToken cancel = default)
    {
        await using var db = _open();
        return await db.Jobs.FindAsync([jobId], cancel).ConfigureAwait(false);
    }

    /// <summary>The latest job of an outing.</summary>
    public async Task<JobRow?> LatestJobAsync(string outingId, CancellationToken cancel = default)
    {
        await using var db = _open();
        return await db.Jobs.Where(j => j.OutingId == outingId).OrderByDescending(j => j.QueuedAt).ThenByDescending(j => j.Id)
            .FirstOrDefaultAsync(cancel).ConfigureAwait(false);
    }
}
