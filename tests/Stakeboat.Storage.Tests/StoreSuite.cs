using System.Text;
using Microsoft.EntityFrameworkCore;
using Stakeboat.Exchange;
using Stakeboat.Exchange.Debriefs;
using Stakeboat.Storage.Originals;
using Stakeboat.Storage.Rows;

namespace Stakeboat.Storage.Tests;

/// <summary>What every database must do. Run on SQLite and on PostgreSQL without a difference.</summary>
public abstract class StoreSuite(IDatabases databases) : IDisposable
{
    private const long Limit = 1_000_000_000;
    private readonly List<string> _folders = [];

    protected async Task<Store> NewAsync()
    {
        string folder = Directory.CreateTempSubdirectory("stakeboat-store-").FullName;
        _folders.Add(folder);
        var store = new Store(new DataFolder(folder), new StoreOptions(databases.New()), TimeProvider.System);
        await store.PrepareAsync();
        return store;
    }

    public void Dispose()
    {
        Microsoft.Data.Sqlite.SqliteConnection.ClearAllPools();
        foreach (string folder in _folders)
        {
            Directory.Delete(folder, recursive: true);
        }

        GC.SuppressFinalize(this);
    }

    internal static MemoryStream Bytes(string text) => new(Encoding.UTF8.GetBytes(text));

    internal static DebriefDocument Document(string name, string? finding = null) => new()
    {
        Engine = "test", Name = name, Us = new CrewPart("Alder", true, 2, "8+", 17.6, 4.2, 1.4, 8, 15.4),
        Crews = [new CrewPart("Alder", true, 2, "8+", 17.6, 4.2, 1.4, 8, 15.4)],
        Clock = new ClockPart("recording", 10, 0.3, "given", 400, 0.5, "rowed", 2000, 0, 450),
        Sources = [], Issues = [], MoreWouldGive = [], Margins = [], Evidence = [], Moves = [],
        Findings = finding is null ? [] : [new FindingPart(1, "line", finding, 12, 9, 15, "m", 2, [], "", 1)],
    };

    private static async Task<string> ReadyAsync(Store store, string key = "k", string text = "WEBVTT")
    {
        var outing = await store.BeginOutingAsync("Evening race", key);
        await store.AddFileAsync(outing.Id, "captions.vtt", Bytes(text), Limit);
        await store.FinishOutingAsync(outing.Id);
        return outing.Id;
    }

    [Fact]
    public async Task AnOutingShowsOnlyWhenItsImportIsFinished()
    {
        var store = await NewAsync();
        var outing = await store.BeginOutingAsync("Evening race", "k");
        await store.AddFileAsync(outing.Id, "captions.vtt", Bytes("WEBVTT"), Limit);
        Assert.Empty(await store.SeasonAsync(archived: false));
        var job = await store.FinishOutingAsync(outing.Id);
        Assert.Equal("queued", job!.State);
        Assert.Equal("Evening race", Assert.Single(await store.SeasonAsync(archived: false)).Outing.Name);
    }

    [Fact]
    public async Task TheSameRequestTwiceMakesOneOuting()
    {
        var store = await NewAsync();
        var made = await Task.WhenAll(Enumerable.Range(0, 6).Select(_ => store.BeginOutingAsync("Race", "same")));
        Assert.Single(made.Select(m => m.Id).Distinct());
        await store.AddFileAsync(made[0].Id, "a.txt", Bytes("x"), Limit);
        await store.AddFileAsync(made[0].Id, "a.txt", Bytes("x"), Limit);
        Assert.Single(await store.FilesAsync(made[0].Id));
        var first = await store.FinishOutingAsync(made[0].Id);
        var second = await store.FinishOutingAsync(made[0].Id);
        Assert.Equal(first!.Id, second!.Id);
    }

    [Fact]
    public async Task DifferentFilesOfOneNameAreBothKept()
    {
        var store = await NewAsync();
        var outing = await store.BeginOutingAsync("Race", "k");
        await store.AddFileAsync(outing.Id, "track.gpx", Bytes("one"), Limit);
        await store.AddFileAsync(outing.Id, "TRACK.gpx", Bytes("two"), Limit);
        Assert.Equal(["TRACK (2).gpx", "track.gpx"], (await store.FilesAsync(outing.Id)).Select(f => f.Name).Order(StringComparer.Ordinal));
    }

    [Fact]
    public async Task CorrectionsAreNumberedUndoneAndRedoneAndNeverLost()
    {
        var store = await NewAsync();
        string id = await ReadyAsync(store);
        await store.CorrectAsync(id, "call", "{1}", "one", "r1", null);
        await store.CorrectAsync(id, "call", "{2}", "two", "r2", null);
        Assert.Equal("two", (await store.StepAsync(id, back: true, null))!.Said);
        Assert.Equal("one", (await store.StepAsync(id, back: true, null))!.Said);
        Assert.Null(await store.StepAsync(id, back: true, null));
        Assert.Equal("one", (await store.StepAsync(id, back: false, null))!.Said);
        await store.CorrectAsync(id, "call", "{3}", "three", "r3", null);
        Assert.Equal(["one", "two", "three"], (await store.CorrectionsAsync(id)).Select(c => c.Said));
        Assert.Equal(["one", "three"], (await store.CorrectionsAsync(id)).Where(c => !c.Undone).Select(c => c.Said));
        Assert.Null(await store.StepAsync(id, back: false, null));
        // What was given up for something else does not come back: undo and redo go to and fro over the last.
        Assert.Equal("three", (await store.StepAsync(id, back: true, null))!.Said);
        Assert.Equal("three", (await store.StepAsync(id, back: false, null))!.Said);
        Assert.Equal(["one", "three"], (await store.CorrectionsAsync(id)).Where(c => !c.Undone).Select(c => c.Said));
    }

    [Fact]
    public async Task ACorrectionSentTwiceIsOneAndAnOutdatedPageIsToldSo()
    {
        var store = await NewAsync();
        string id = await ReadyAsync(store);
        int seen = (await store.OutingAsync(id))!.Revision;
        var first = await store.CorrectAsync(id, "call", "{}", "one", "same", seen);
        var again = await store.CorrectAsync(id, "call", "{}", "one", "same", seen);
        Assert.Equal(first.Id, again.Id);
        var e = await Assert.ThrowsAsync<ChangedMeanwhileException>(() => store.CorrectAsync(id, "call", "{}", "other", "r2", seen));
        Assert.Equal(seen + 1, e.Revision);
        Assert.Single(await store.CorrectionsAsync(id));
    }

    [Fact]
    public async Task CorrectionsMadeAtOnceAllCount()
    {
        var store = await NewAsync();
        string id = await ReadyAsync(store);
        await Task.WhenAll(Enumerable.Range(0, 4).Select(i => store.CorrectAsync(id, "call", "{}", $"c{i}", $"r{i}", null)));
        Assert.Equal([1, 2, 3, 4], (await store.CorrectionsAsync(id)).Select(c => c.Number));
    }

    [Fact]
    public async Task AnAnalysisIsKeptWithItsVersionAndEndsItsJob()
    {
        var store = await NewAsync();
        string id = await ReadyAsync(store);
        var job = await store.TakeJobAsync();
        Assert.Equal(1, await store.SaveAnalysisAsync(id, 2, Document("first"), job!.Id));
        Assert.Equal(2, await store.SaveAnalysisAsync(id, 3, Document("second", "The line cost 12 m."), null));
        Assert.Equal("done", (await store.JobAsync(job.Id))!.State);
        Assert.Equal("second", DebriefJson.Read((await store.AnalysisAsync(id))!.Json).Name);
        Assert.Equal("first", DebriefJson.Read((await store.AnalysisAsync(id, 1))!.Json).Name);
        var line = Assert.Single(await store.SeasonAsync(archived: false));
        Assert.Equal(390, line.Latest!.Seconds);
        Assert.Equal("The line cost 12 m.", line.Latest.FirstFinding);
    }

    [Fact]
    public async Task AJobIsTakenOnceByWhoeverAsks()
    {
        var store = await NewAsync();
        for (int i = 0; i < 5; i++)
        {
            await ReadyAsync(store, $"k{i}", $"text {i}");
        }

        var taken = await Task.WhenAll(Enumerable.Range(0, 8).Select(_ => store.TakeJobAsync()));
        Assert.Equal(5, taken.OfType<JobRow>().Select(j => j.Id).Distinct().Count());
        Assert.Equal(3, taken.Count(t => t is null));
    }

    [Fact]
    public async Task LaterRequestsForOneOutingAreAnsweredByOneRun()
    {
        var store = await NewAsync();
        string id = await ReadyAsync(store);
        await store.CorrectAsync(id, "call", "{}", "one", "r1", null);
        await store.CorrectAsync(id, "call", "{}", "two", "r2", null);
        Assert.NotNull(await store.TakeJobAsync());
        Assert.Null(await store.TakeJobAsync());
    }

    [Fact]
    public async Task ACancelledJobIsToldSoAtItsNextReport()
    {
        var store = await NewAsync();
        await ReadyAsync(store);
        var job = (await store.TakeJobAsync())!;
        Assert.True(await store.ReportAsync(job.Id, 0.3, "Reading."));
        await store.CancelJobAsync(job.Id);
        Assert.False(await store.ReportAsync(job.Id, 0.5, "Reading."));
    }

    [Fact]
    public async Task WhatWasRunningWhenTheProgramEndedRunsAgain()
    {
        var store = await NewAsync();
        await ReadyAsync(store);
        var job = (await store.TakeJobAsync())!;
        File.WriteAllText(Path.Combine(store.Folder.Incoming, "half"), "x");
        await store.PrepareAsync();
        Assert.Equal(job.Id, (await store.TakeJobAsync())!.Id);
        Assert.Empty(Directory.EnumerateFiles(store.Folder.Incoming));
    }

    [Fact]
    public async Task DeleteReallyDeletes()
    {
        const string Secret = "seven-herons-said-nothing";
        var store = await NewAsync();
        string shared = await ReadyAsync(store, "shared", "bytes of two outings");
        var outing = await store.BeginOutingAsync(Secret, "k");
        await store.AddFileAsync(outing.Id, "captions.vtt", Bytes(Secret), Limit);
        await store.AddFileAsync(outing.Id, "other.vtt", Bytes("bytes of two outings"), Limit);
        await store.FinishOutingAsync(outing.Id);
        await store.CorrectAsync(outing.Id, "call", Secret, Secret, "r", null);
        await store.SaveAnalysisAsync(outing.Id, 1, Document(Secret), null);
        await store.DeleteOutingAsync(outing.Id);
        Assert.Null(await store.OutingAsync(outing.Id));
        Assert.Equal(shared, Assert.Single(await store.SeasonAsync(archived: false)).Outing.Id);
        Assert.True(store.Vault.Holds(Assert.Single(await store.FilesAsync(shared)).Hash));
        Assert.Single(store.Vault.All());
        await using (var db = store.Open())
        {
            Assert.Empty(await db.Corrections.ToListAsync());
            Assert.Empty(await db.Analyses.ToListAsync());
        }

        Microsoft.Data.Sqlite.SqliteConnection.ClearAllPools();
        foreach (string file in Directory.EnumerateFiles(store.Folder.Path, "*", SearchOption.AllDirectories))
        {
            Assert.DoesNotContain(Secret, Encoding.Latin1.GetString(File.ReadAllBytes(file)));
        }
    }

    [Fact]
    public async Task TheBoathouseIsKeptChangedAndTakenAway()
    {
        var store = await NewAsync();
        await store.KeepAsync(new HullRow { Id = "h", Name = "Heron", Boat = "8+", Length = 17.6, BowSeat = 4.2, SeatSpacing = 1.4, Seats = 8, Cox = 15.4 });
        await store.KeepAsync(new CrewRow { Id = "c", Name = "Alder", Boat = "8+", HullId = "h", Words = "anvil = ten for legs" });
        await store.KeepAsync(new PersonRow { Id = "p", Name = "Jory" });
        await store.SeatCrewAsync("c", new Dictionary<int, string> { [8] = "p" });
        await store.KeepAsync(new CrewRow { Id = "c", Name = "Alder Two", Boat = "8+", HullId = "h", Words = "" });
        var all = await store.BoathouseAsync();
        Assert.Equal("Alder Two", Assert.Single(all.Crews).Name);
        Assert.Equal(8, Assert.Single(all.Seats).Seat);
        await store.RemoveAsync<HullRow>("h");
        await store.RemoveAsync<PersonRow>("p");
        all = await store.BoathouseAsync();
        Assert.Null(Assert.Single(all.Crews).HullId);
        Assert.Empty(all.Seats);
    }

    [Fact]
    public async Task AFindingIsSentToTheNextPlanOnce()
    {
        var store = await NewAsync();
        string id = await ReadyAsync(store);
        await store.SendToNextPlanAsync(id, "note", "Settle later", "The settle came early.", "r1");
        await store.SendToNextPlanAsync(id, "note", "Settle later", "The settle came early.", "r1");
        Assert.Equal("Settle later", Assert.Single(await store.NextPlanAsync()).Text);
    }

    [Fact]
    public async Task ABackupIsRestoredWholeOnAnEmptyStoreAndOverAFullOne()
    {
        var store = await NewAsync();
        string id = await ReadyAsync(store);
        await store.CorrectAsync(id, "call", "{}", "one", "r1", null);
        await store.SaveAnalysisAsync(id, 2, Document("first"), null);
        await store.KeepAsync(new PersonRow { Id = "p", Name = "Jory", Mass = 54.5 });
        var archive = new MemoryStream();
        await Backup.WriteAsync(store, archive);

        var other = await NewAsync();
        await ReadyAsync(other, "x", "goes away");
        archive.Position = 0;
        await Backup.RestoreAsync(other, archive, Limit);
        Assert.Equal(id, Assert.Single(await other.SeasonAsync(archived: false)).Outing.Id);
        Assert.Equal("one", Assert.Single(await other.CorrectionsAsync(id)).Said);
        Assert.Equal("first", DebriefJson.Read((await other.AnalysisAsync(id))!.Json).Name);
        Assert.Equal(54.5, Assert.Single((await other.BoathouseAsync()).People).Mass);
        var file = Assert.Single(await other.FilesAsync(id));
        using var reader = new StreamReader(other.Vault.Open(file.Hash));
        Assert.Equal("WEBVTT", await reader.ReadToEndAsync());
        Assert.Single(other.Vault.All());
    }

    [Theory]
    [InlineData("this is no archive")]
    [InlineData("")]
    public async Task WhatIsNoBackupIsRefusedAndNothingChanges(string text)
    {
        var store = await NewAsync();
        string id = await ReadyAsync(store);
        await Assert.ThrowsAsync<ExchangeException>(() => Backup.RestoreAsync(store, Bytes(text), Limit));
        Assert.Equal(id, Assert.Single(await store.SeasonAsync(archived: false)).Outing.Id);
    }

    [Fact]
    public async Task ABackupWithADamagedOriginalChangesNothing()
    {
        var store = await NewAsync();
        await ReadyAsync(store);
        var archive = new MemoryStream();
        await Backup.WriteAsync(store, archive);
        using (var zip = new System.IO.Compression.ZipArchive(archive, System.IO.Compression.ZipArchiveMode.Update, leaveOpen: true))
        {
            var original = zip.Entries.Single(e => e.FullName.StartsWith("originals/", StringComparison.Ordinal));
            await using var stream = original.Open();
            stream.WriteByte((byte)'X');
        }

        var other = await NewAsync();
        string kept = await ReadyAsync(other, "x", "stays");
        archive.Position = 0;
        await Assert.ThrowsAsync<ExchangeException>(() => Backup.RestoreAsync(other, archive, Limit));
        Assert.Equal(kept, Assert.Single(await other.SeasonAsync(archived: false)).Outing.Id);
    }

    [Fact]
    public async Task TheModelHasNoChangeThatItsMigrationsLack()
    {
        var store = await NewAsync();
        await using var db = store.Open();
        Assert.False(db.Database.HasPendingModelChanges());
    }
}

public sealed class SqliteStoreTests(SqliteDatabases databases) : StoreSuite(databases), IClassFixture<SqliteDatabases>
{
    [Fact]
    public async Task TheDatabaseIsInWriteAheadMode()
    {
        var store = await NewAsync();
        await using var db = store.Open();
        Assert.Equal("wal", (await db.Database.SqlQueryRaw<string>("PRAGMA journal_mode").ToListAsync()).Single());
    }
}

public sealed class PostgresStoreTests(PostgresDatabases databases) : StoreSuite(databases), IClassFixture<PostgresDatabases>
{
    [Fact]
    public async Task ABackupMovesFromTheFileToTheServer()
    {
        string folder = Directory.CreateTempSubdirectory("stakeboat-move-").FullName;
        try
        {
            var laptop = new Store(new DataFolder(folder), new StoreOptions(), TimeProvider.System);
            await laptop.PrepareAsync();
            await laptop.BeginOutingAsync("Race", "k");
            await laptop.KeepAsync(new PersonRow { Id = "p", Name = "Jory" });
            var archive = new MemoryStream();
            await Backup.WriteAsync(laptop, archive);
            var club = await NewAsync();
            archive.Position = 0;
            await Backup.RestoreAsync(club, archive, 1_000_000);
            Assert.Equal("Jory", Assert.Single((await club.BoathouseAsync()).People).Name);
        }
        finally
        {
            Microsoft.Data.Sqlite.SqliteConnection.ClearAllPools();
            Directory.Delete(folder, recursive: true);
        }
    }
}
