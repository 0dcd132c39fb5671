using System.IO.Compression;
using System.Text.Json;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Metadata;
using Stakeboat.Exchange;

namespace Stakeboat.Storage;

/// <summary>
/// The whole store as one zip archive: each table as lines of JSON by column name, each original as it is. The form does not
/// depend on the database, so a boathouse moves from a laptop's SQLite to a club's PostgreSQL and back.
/// </summary>
public static class Backup
{
    private const string Schema = "stakeboat.backup";
    private const int Version = 1;

    /// <summary>Writes everything that is kept. What is being changed meanwhile is in it or not, never half.</summary>
    public static async Task WriteAsync(Store store, Stream target, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(store);
        await using var db = store.Open();
        var level = store.IsSqlite ? System.Data.IsolationLevel.Serializable : System.Data.IsolationLevel.RepeatableRead;
        await using var transaction = await db.Database.BeginTransactionAsync(level, cancel).ConfigureAwait(false);
        await using var zip = new ZipArchive(target, ZipArchiveMode.Create, leaveOpen: true);
        await using (var head = await zip.CreateEntry("backup.json").OpenAsync(cancel).ConfigureAwait(false))
        await using (var writer = new Utf8JsonWriter(head))
        {
            writer.WriteStartObject();
            writer.WriteString("schema", Schema);
            writer.WriteNumber("version", Version);
            writer.WriteEndObject();
        }

        foreach (var type in InOrder(db.Model))
        {
            await using var entry = await zip.CreateEntry($"tables/{type.GetTableName()}.jsonl").OpenAsync(cancel).ConfigureAwait(false);
            await WriteTableAsync(db, type, entry, cancel).ConfigureAwait(false);
        }

        foreach (string hash in await db.Files.Select(f => f.Hash).Distinct().ToListAsync(cancel).ConfigureAwait(false))
        {
            await using var source = store.Vault.Open(hash);
            await using var entry = await zip.CreateEntry($"originals/{hash}", CompressionLevel.Fastest).OpenAsync(cancel).ConfigureAwait(false);
            await source.CopyToAsync(entry, cancel).ConfigureAwait(false);
        }
    }

    /// <summary>Replaces everything that is kept by what the archive holds; all or nothing.</summary>
    /// <exception cref="ExchangeException">It is no backup, is damaged, or is of a later version.</exception>
    public static async Task RestoreAsync(Store store, Stream source, long limit, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(store);
        ZipArchive zip;
        try
        {
            zip = await ZipArchive.CreateAsync(source, ZipArchiveMode.Read, leaveOpen: true, entryNameEncoding: null, cancel).ConfigureAwait(false);
        }
        catch (InvalidDataException e)
        {
            throw new ExchangeException("This is no backup: it is not a zip archive, or it is cut short.", e);
        }

        await using (zip)
        {
            try
            {
                await RestoreAsync(store, zip, limit, cancel).ConfigureAwait(false);
            }
            catch (Exception e) when (e is InvalidDataException or JsonException or FormatException or DbUpdateException or ArgumentException or InvalidOperationException)
            {
                throw new ExchangeException("The backup is damaged; nothing was changed. " + e.Message, e);
            }
        }
    }

    private static async Task RestoreAsync(Store store, ZipArchive zip, long limit, CancellationToken cancel)
    {
        var head = zip.GetEntry("backup.json") ?? throw new ExchangeException("This is no backup of Stakeboat: backup.json is missing in it.");
        await using (var stream = await head.OpenAsync(cancel).ConfigureAwait(false))
        {
            using var json = await JsonDocument.ParseAsync(stream, default, cancel).ConfigureAwait(false);
            if (json.RootElement.GetProperty("schema").GetString() != Schema || json.RootElement.GetProperty("version").GetInt32() > Version)
            {
                throw new ExchangeException("This backup was made by a later version of the program. Use that one.");
            }
        }

        foreach (var entry in zip.Entries.Where(e => e.FullName.StartsWith("originals/", StringComparison.Ordinal)))
        {
            await using var stream = await entry.OpenAsync(cancel).ConfigureAwait(false);
            var stored = await store.Vault.StoreAsync(stream, limit, cancel).ConfigureAwait(false);
            if (entry.FullName != "originals/" + stored.Hash)
            {
                throw new ExchangeException($"The backup is damaged: the original {entry.FullName} is not what its name says. Nothing was changed.");
            }
        }

        await using var db = store.Open();
        await using var transaction = await db.Database.BeginTransactionAsync(cancel).ConfigureAwait(false);
        var types = InOrder(db.Model);
        foreach (var type in types.AsEnumerable().Reverse())
        {
            string name = type.GetTableName()!;
#pragma warning disable EF1002 // The name comes from the model, not from outside.
            await db.Database.ExecuteSqlRawAsync($"DELETE FROM \"{name}\"", cancel).ConfigureAwait(false);
#pragma warning restore EF1002
        }

        foreach (var type in types)
        {
            if (zip.GetEntry($"tables/{type.GetTableName()}.jsonl") is { } entry)
            {
                await using var stream = await entry.OpenAsync(cancel).ConfigureAwait(false);
                await ReadTableAsync(db, type, stream, cancel).ConfigureAwait(false);
            }
        }

        foreach (string hash in await db.Files.Select(f => f.Hash).Distinct().ToListAsync(cancel).ConfigureAwait(false))
        {
            if (!store.Vault.Holds(hash))
            {
                throw new ExchangeException("The backup is damaged: a file that it names is missing in it. Nothing was changed.");
            }
        }

        await transaction.CommitAsync(cancel).ConfigureAwait(false);
        await store.PrepareAsync(cancel).ConfigureAwait(false);
    }

    /// <summary>Tables so that each comes after those that it points to.</summary>
    private static List<IEntityType> InOrder(IModel model)
    {
        var left = model.GetEntityTypes().OrderBy(t => t.GetTableName(), StringComparer.Ordinal).ToList();
        var done = new List<IEntityType>();
        while (left.Count > 0)
        {
            var next = left.First(t => t.GetForeignKeys().All(k => done.Contains(k.PrincipalEntityType)));
            done.Add(next);
            left.Remove(next);
        }

        return done;
    }

    private static async Task WriteTableAsync(StakeboatDb db, IEntityType type, Stream target, CancellationToken cancel)
    {
        var set = (IQueryable<object>)typeof(DbContext).GetMethod(nameof(DbContext.Set), Type.EmptyTypes)!.MakeGenericMethod(type.ClrType).Invoke(db, null)!;
        await foreach (object row in set.AsNoTracking().AsAsyncEnumerable().WithCancellation(cancel).ConfigureAwait(false))
        {
            var line = new MemoryStream();
            await using (var writer = new Utf8JsonWriter(line))
            {
                writer.WriteStartObject();
                foreach (var property in type.GetProperties())
                {
                    writer.WritePropertyName(property.GetColumnName());
                    switch (property.PropertyInfo!.GetValue(row))
                    {
                        case null: writer.WriteNullValue(); break;
                        case string s: writer.WriteStringValue(s); break;
                        case byte[] b: writer.WriteBase64StringValue(b); break;
                        case bool b: writer.WriteBooleanValue(b); break;
                        case int i: writer.WriteNumberValue(i); break;
                        case long l: writer.WriteNumberValue(l); break;
                        case double d: writer.WriteNumberValue(d); break;
                        case var other: throw new InvalidOperationException($"A column of type {other.GetType().Name} has no written form.");
                    }
                }

                writer.WriteEndObject();
            }

            line.WriteByte((byte)'\n');
            line.Position = 0;
            await line.CopyToAsync(target, cancel).ConfigureAwait(false);
        }
    }

    private static object? Written(JsonElement value, Type type) =>
        type == typeof(string) ? value.GetString()
        : type == typeof(byte[]) ? value.GetBytesFromBase64()
        : type == typeof(bool) ? (object)value.GetBoolean()
        : type == typeof(int) ? (object)value.GetInt32()
        : type == typeof(long) ? (object)value.GetInt64()
        : value.GetDouble();

    private static async Task ReadTableAsync(StakeboatDb db, IEntityType type, Stream source, CancellationToken cancel)
    {
        using var reader = new StreamReader(source);
        int pending = 0;
        while (await reader.ReadLineAsync(cancel).ConfigureAwait(false) is { } line)
        {
            using var json = JsonDocument.Parse(line);
            object row = System.Runtime.CompilerServices.RuntimeHelpers.GetUninitializedObject(type.ClrType);
            foreach (var property in type.GetProperties())
            {
                if (json.RootElement.TryGetProperty(property.GetColumnName(), out var value) && value.ValueKind != JsonValueKind.Null)
                {
                    var clr = Nullable.GetUnderlyingType(property.ClrType) ?? property.ClrType;
                    property.PropertyInfo!.SetValue(row, Written(value, clr));
                }
            }

            db.Add(row);
            if (++pending == 200)
            {
                await db.SaveChangesAsync(cancel).ConfigureAwait(false);
                db.ChangeTracker.Clear();
                pending = 0;
            }
        }

        await db.SaveChangesAsync(cancel).ConfigureAwait(false);
        db.ChangeTracker.Clear();
    }
}
