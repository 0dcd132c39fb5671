using Stakeboat.Exchange;
using Stakeboat.Storage;
using Stakeboat.Storage.Rows;

namespace Stakeboat.Web.Analysis;

/// <summary>Takes one job after another from the store. A request only asks; the work happens here, with progress and cancel.</summary>
public sealed class AnalysisQueue(Store store, Debriefer debriefer, ILogger<AnalysisQueue> log) : BackgroundService
{
    private readonly SemaphoreSlim _bell = new(0);

    /// <summary>Says that there is something to do; it would be found a second later anyway.</summary>
    public void Ring() => _bell.Release();

    /// <summary>Waits until the outing's analysis has the wanted revision or no job is left, at most <paramref name="patience"/>.</summary>
    public async Task<bool> WaitAsync(string outingId, int revision, TimeSpan patience, CancellationToken cancel)
    {
        Ring();
        long until = Environment.TickCount64 + (long)patience.TotalMilliseconds;
        while (Environment.TickCount64 < until)
        {
            var job = await store.LatestJobAsync(outingId, cancel).ConfigureAwait(false);
            if (job is null or { State: not ("queued" or "running") })
            {
                return await store.AnalysisAsync(outingId, cancel: cancel).ConfigureAwait(false) is { } a && a.Revision >= revision;
            }

            await Task.Delay(25, cancel).ConfigureAwait(false);
        }

        return false;
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        await Task.Yield();
        while (!stoppingToken.IsCancellationRequested)
        {
            try
            {
                if (await store.TakeJobAsync(stoppingToken).ConfigureAwait(false) is { } job)
                {
                    await DoAsync(job, stoppingToken).ConfigureAwait(false);
                }
                else
                {
                    await _bell.WaitAsync(TimeSpan.FromSeconds(1), stoppingToken).ConfigureAwait(false);
                }
            }
            catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
            {
                return;
            }
            catch (Exception e) when (e is System.Data.Common.DbException or Microsoft.EntityFrameworkCore.DbUpdateException or IOException or InvalidOperationException)
            {
                log.LogError(e, "The queue could not be read");
                await Task.Delay(TimeSpan.FromSeconds(2), stoppingToken).ConfigureAwait(false);
            }
        }
    }

    private async Task DoAsync(JobRow job, CancellationToken stopping)
    {
        using var ending = CancellationTokenSource.CreateLinkedTokenSource(stopping);
        long last = 0;
        void Report(double progress, string message)
        {
            ending.Token.ThrowIfCancellationRequested();
            long now = Environment.TickCount64;
            if (now - last < 100)
            {
                return;
            }

            last = now;
            if (!store.ReportAsync(job.Id, progress, message, ending.Token).GetAwaiter().GetResult())
            {
                ending.Cancel();
                ending.Token.ThrowIfCancellationRequested();
            }
        }

        try
        {
            if (await store.OutingAsync(job.OutingId, stopping).ConfigureAwait(false) is not { } outing)
            {
                return;
            }

            var files = await store.FilesAsync(job.OutingId, stopping).ConfigureAwait(false);
            var corrections = await store.CorrectionsAsync(job.OutingId, stopping).ConfigureAwait(false);
            var document = await Task.Run(async () =>
            {
                Report(0.02, "Reading the files.");
                var boathouse = await BoathouseKnowledge.OfAsync(store, outing, debriefer.CrewNamedIn(outing.Name, files), ending.Token).ConfigureAwait(false);
                if (outing.CrewId is null && boathouse.Crew is { } known)
                {
                    await store.ChangeOutingAsync(outing.Id, o => o.CrewId ??= known.Id, ending.Token).ConfigureAwait(false);
                }

                return debriefer.Make(outing.Name, files, corrections, boathouse, Report, ending.Token);
            }, ending.Token).ConfigureAwait(false);
            await store.SaveAnalysisAsync(job.OutingId, outing.Revision, document, job.Id, stopping).ConfigureAwait(false);
        }
        catch (OperationCanceledException) when (!stopping.IsCancellationRequested)
        {
            await store.EndJobAsync(job.Id, "cancelled", "Cancelled. The files are kept; ask again whenever you like.", stopping).ConfigureAwait(false);
        }
        catch (ExchangeException e)
        {
            await store.EndJobAsync(job.Id, "failed", e.Message, stopping).ConfigureAwait(false);
        }
        catch (Exception e) when (e is not OperationCanceledException)
        {
            // Whatever a file made the engine do, the queue goes on and the person is told.
            log.LogError(e, "The analysis of {Outing} failed", job.OutingId);
            await store.EndJobAsync(job.Id, "failed", "The analysis stopped on something unforeseen. The files are kept; a later version may read them.", stopping).ConfigureAwait(false);
        }
    }
}
