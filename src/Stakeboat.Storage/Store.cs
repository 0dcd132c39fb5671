using System.Data.Common;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Diagnostics;
using Stakeboat.Storage.Originals;

namespace Stakeboat.Storage;

/// <param name="PostgresConnection">A club's connection string; null for the SQLite file in the data folder.</param>
public sealed record StoreOptions(string? PostgresConnection = null);

/// <summary>
/// Everything that is kept. A method that returned has been written to the disk; a method that threw has changed nothing.
/// Safe for several threads; each call opens a context of its own.
/// </summary>
public sealed partial class Store
{
    private readonly Func<StakeboatDb> _open;
    private readonly TimeProvider _time;

    public Store(DataFolder folder, StoreOptions options, TimeProvider time)
    {
        ArgumentNullException.ThrowIfNull(options);
        Folder = folder;
        _time = time;
        Vault = new OriginalVault(folder);
        if (options.PostgresConnection is { } connection)
        {
            var built = new DbContextOptionsBuilder<PostgresDb>().UseNpgsql(connection).Options;
            _open = () => new PostgresDb(built);
        }
        else
        {
            string text = new SqliteConnectionStringBuilder { DataSource = folder.Database, ForeignKeys = true, DefaultTimeout = 30 }.ToString();
            var built = new DbContextOptionsBuilder<SqliteDb>().UseSqlite(text).AddInterceptors(new SqliteHabits()).Options;
            _open = () => new SqliteDb(built);
            IsSqlite = true;
        }
    }

    public DataFolder Folder { get; }

    public OriginalVault Vault { get; }

    public bool IsSqlite { get; }

    /// <summary>Brings the database to this program's version, and takes away what an interrupted run left half-done.</summary>
    public async Task PrepareAsync(CancellationToken cancel = default)
    {
        await using var db = _open();
        if (IsSqlite)
        {
            await db.Database.OpenConnectionAsync(cancel).ConfigureAwait(false);
            await db.Database.ExecuteSqlRawAsync("PRAGMA journal_mode=WAL", cancel).ConfigureAwait(false);
        }

        // Migrating also compares the whole model with the last migration, which is slower than all the rest of a start; a test does that.
        if ((await db.Database.GetPendingMigrationsAsync(cancel).ConfigureAwait(false)).Any())
        {
            await db.Database.MigrateAsync(cancel).ConfigureAwait(false);
        }

        Vault.SweepIncoming();
        await SweepAsync(db, cancel).ConfigureAwait(false);
    }

    /// <summary>A context for reading what no method here offers.</summary>
    public StakeboatDb Open() => _open();

    private long Now => _time.GetUtcNow().ToUnixTimeMilliseconds();

    internal static string NewId() => Guid.CreateVersion7().ToString("N");

    /// <summary>
    /// Drafts older than a day are given up; jobs that were running when the program ended start again; originals of no file go.
    /// </summary>
    private async Task SweepAsync(StakeboatDb db, CancellationToken cancel)
    {
        long old = Now - 24 * 3_600_000L;
        await db.Outings.Where(o => !o.Ready && o.CreatedAt < old).ExecuteDeleteAsync(cancel).ConfigureAwait(false);
        await db.Jobs.Where(j => j.State == "running").ExecuteUpdateAsync(
            s => s.SetProperty(j => j.State, "queued").SetProperty(j => j.Progress, 0.0).SetProperty(j => j.Message, "Waiting."), cancel).ConfigureAwait(false);
        var kept = (await db.Files.Select(f => f.Hash).Distinct().ToListAsync(cancel).ConfigureAwait(false)).ToHashSet(StringComparer.Ordinal);
        foreach (string hash in Vault.All().Where(h => !kept.Contains(h)).ToList())
        {
            Vault.Delete(hash);
        }
    }

    /// <summary>Deleted rows are overwritten and a commit is on the disk before it is acknowledged.</summary>
    private sealed class SqliteHabits : DbConnectionInterceptor
    {
        public override void ConnectionOpened(DbConnection connection, ConnectionEndEventData eventData) => Set(connection);

        public override Task ConnectionOpenedAsync(DbConnection connection, ConnectionEndEventData eventData, CancellationToken cancellationToken = default)
        {
            Set(connection);
            return Task.CompletedTask;
        }

        private static void Set(DbConnection connection)
        {
            using var command = connection.CreateCommand();
            command.CommandText = "PRAGMA synchronous=FULL; PRAGMA secure_delete=ON; PRAGMA busy_timeout=30000;";
            command.ExecuteNonQuery();
        }
    }
}
