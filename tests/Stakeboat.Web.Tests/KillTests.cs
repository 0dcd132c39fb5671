using System.Globalization;
using System.Net.Http.Json;
using System.Text.Json;
using Stakeboat.Exchange.Corrections;
using Stakeboat.Storage;
using Stakeboat.Storage.Tests;

namespace Stakeboat.Web.Tests;

/// <summary>
/// The server is killed (signal 9) at random instants of import, analysis, correction, undo and deletion, on both databases. What it acknowledged
/// must be there afterwards, byte by byte, and nothing half-done may show.
/// </summary>
public sealed class KillTests
{
    /// <summary>How many in all; STAKEBOAT_KILLS asks for another number than the everyday run's.</summary>
    private static int Kills => int.TryParse(Environment.GetEnvironmentVariable("STAKEBOAT_KILLS"), CultureInfo.InvariantCulture, out int n) ? n : 60;

    [Fact]
    public async Task WhatWasAcknowledgedOutlivesEveryKill()
    {
        using var cluster = new PostgresDatabases();
        int club = 2 * Kills / 5, laptop = Kills - club;
        // Four servers side by side, each with its own folder and seed: three in five kills meet SQLite, two PostgreSQL.
        var ledgers = await Task.WhenAll(
            SeriesAsync(1, laptop / 2, null), SeriesAsync(2, laptop - laptop / 2, null),
            SeriesAsync(3, club / 2, cluster.New()), SeriesAsync(4, club - club / 2, cluster.New()));
        var hits = ledgers.SelectMany(l => l.Hits).GroupBy(h => h.Key).ToDictionary(g => g.Key, g => g.Sum(h => h.Value));
        TestContext.Current.TestOutputHelper?.WriteLine(string.Join(", ", hits.OrderByDescending(h => h.Value).Select(h => string.Create(CultureInfo.InvariantCulture, $"{h.Key} {h.Value}"))));
        Assert.Equal(Kills, hits.Values.Sum());
        if (Kills >= 100)
        {
            Assert.All(new[] { "file", "analysis", "correction" }, what => Assert.True(hits.GetValueOrDefault(what) > 0, $"No kill met {what}."));
        }
    }

    private static async Task<KillLedger> SeriesAsync(int seed, int kills, string? database)
    {
        var random = new Random(seed);
        string data = Directory.CreateTempSubdirectory("stakeboat-kill-").FullName;
        var ledger = new KillLedger();
        PageClient? first = null;
        try
        {
            for (int kill = 0; kill <= kills; kill++)
            {
                var (server, address) = await ServerFixture.StartAsync(data, database);
                using (server)
                using (new Ended(server))
                {
                    var store = new Store(new DataFolder(data), new StoreOptions(database), TimeProvider.System);
                    using var page = first?.At(address) ?? (first = await PageClient.OpenAsync(address));
                    await ledger.CheckAsync(store, page, looking: kill % 4 == 0 || kill == kills);
                    if (kill < kills)
                    {
                        // Counted in acknowledged steps and then a random moment more, so that a slow machine is killed in its work too.
                        var steps = new SemaphoreSlim(0);
                        var work = WorkAsync(page, random, ledger, steps);
                        for (int left = random.Next(0, 10); left > 0 && !work.IsCompleted; left--)
                        {
                            Assert.True(await steps.WaitAsync(TimeSpan.FromSeconds(60)), "The server stopped answering.");
                        }

                        await Task.Delay(random.Next(0, 60));
                        server.Kill();
                        await work;
                        ledger.Hits[ledger.Doing] = ledger.Hits.GetValueOrDefault(ledger.Doing) + 1;
                    }
                    else
                    {
                        await ledger.EndAsync(store, page);
                        server.Kill();
                    }

                    await server.WaitForExitAsync();
                }
            }

            Assert.NotEmpty(ledger.Outings);
            return ledger;
        }
        finally
        {
            Directory.Delete(data, recursive: true);
        }
    }

    /// <summary>Leaves no server behind, whatever was found.</summary>
    private sealed class Ended(System.Diagnostics.Process server) : IDisposable
    {
        public void Dispose()
        {
            if (!server.HasExited)
            {
                server.Kill();
            }
        }
    }

    /// <summary>Imports, looks, corrects, undoes and deletes until the connection dies; notes what was asked before, what was acknowledged after.</summary>
    private static async Task WorkAsync(PageClient page, Random random, KillLedger ledger, SemaphoreSlim steps)
    {
        try
        {
            // Half-brought races of the run before are finished: their acknowledged files must still be theirs.
            foreach (var (id, noted) in ledger.Outings.Where(o => o.Value is { Finished: false, Deleted: false } && o.Value.Files.ContainsKey("captions.vtt")).ToList())
            {
                await FinishAsync(page, id, noted, ledger, steps);
            }

            for (int i = 0; ; i++)
            {
                ledger.Doing = "begin";
                string id = await page.BeginAsync();
                var noted = ledger.Outings[id] = new KillLedger.Noted();
                steps.Release();
                foreach (var (name, bytes) in new[] { ("captions.vtt", KillLedger.Captions(random.Next(), i)), ("recording.wav", KillLedger.Recording(random)) })
                {
                    ledger.Doing = "file";
                    noted.FileInFlight = (name, bytes);
                    Assert.Equal(bytes.Length, (await page.PutAsync(id, name, bytes)).Size);
                    noted.Files[name] = bytes;
                    noted.FileInFlight = null;
                    steps.Release();
                }

                await FinishAsync(page, id, noted, ledger, steps);
                await AnalysedAsync(page, id, noted, ledger, steps);
                for (int c = 0; c < 2; c++)
                {
                    ledger.Doing = "correction";
                    var part = new { schema = "stakeboat.correction", version = 1, distance = new { metres = 1000.0 + random.Next(1000) } };
                    string body = CorrectionJson.Write(CorrectionJson.Read(JsonSerializer.Serialize(part)));
                    noted.CorrectionsInFlight = [.. noted.Corrections, (body, false)];
                    await page.CorrectAsync(id, part);
                    noted.Corrections = noted.CorrectionsInFlight;
                    steps.Release();
                }

                ledger.Doing = "undo";
                noted.CorrectionsInFlight = [noted.Corrections[0], (noted.Corrections[1].Body, true)];
                await page.StepAsync(id, "undo");
                noted.Corrections = noted.CorrectionsInFlight;
                steps.Release();
                await AnalysedAsync(page, id, noted, ledger, steps);
                if (i % 2 == 1)
                {
                    ledger.Doing = "deletion";
                    noted.DeleteSent = true;
                    using var gone = await page.FormAsync($"/outings/{id}/delete", ("sure", "yes"));
                    noted.Deleted = (int)gone.StatusCode is >= 200 and < 400;
                    Assert.True(noted.Deleted);
                    steps.Release();
                }
            }
        }
        catch (Exception e) when (e is HttpRequestException { StatusCode: null } or IOException or TaskCanceledException)
        {
            // Killed in the middle: what was noted is what was acknowledged.
        }
    }

    private static async Task FinishAsync(PageClient page, string id, KillLedger.Noted noted, KillLedger ledger, SemaphoreSlim steps)
    {
        ledger.Doing = "finish";
        noted.FinishSent = true;
        await page.FinishAsync(id);
        noted.Finished = true;
        steps.Release();
    }

    /// <summary>Waits for the debrief as a page does, and keeps what was handed out.</summary>
    private static async Task AnalysedAsync(PageClient page, string id, KillLedger.Noted noted, KillLedger ledger, SemaphoreSlim steps)
    {
        ledger.Doing = "analysis";
        steps.Release();
        using var state = await page.SettledAsync(id);
        int number = state.RootElement.GetProperty("analysis").GetInt32();
        noted.Debriefs[number] = await page.Http.GetByteArrayAsync($"/outings/{id}/debrief?analysis={number}");
        steps.Release();
    }
}
