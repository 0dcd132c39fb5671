using Microsoft.EntityFrameworkCore;
using Stakeboat.Storage.Originals;
using Stakeboat.Storage.Rows;

namespace Stakeboat.Storage;

/// <summary>What a season list shows of an outing.</summary>
public sealed record OutingLine(OutingRow Outing, AnalysisRow? Latest, IReadOnlyList<FileRow> Files);

public sealed partial class Store
{
    /// <summary>Begins to take an outing in. The same key gives the same outing: a form sent twice makes one.</summary>
    public async Task<OutingRow> BeginOutingAsync(string name, string requestKey, bool demo = false, CancellationToken cancel = default)
    {
        await using var db = _open();
        var known = await db.Outings.FirstOrDefaultAsync(o => o.RequestKey == requestKey, cancel).ConfigureAwait(false);
        if (known is not null)
        {
            return known;
        }

        var row = new OutingRow { Id = NewId(), Name = CleanName(name, "Outing"), CreatedAt = Now, RequestKey = requestKey, Demo = demo };
        db.Outings.Add(row);
        try
        {
            await db.SaveChangesAsync(cancel).ConfigureAwait(false);
            return row;
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            return await db.Outings.FirstAsync(o => o.RequestKey == requestKey, cancel).ConfigureAwait(false);
        }
    }

    /// <summary>Keeps a file of an outing. The same bytes under the same name a second time change nothing.</summary>
    /// <exception cref="KeyNotFoundException">There is no such outing.</exception>
    public async Task<FileRow> AddFileAsync(
        string outingId, string name, Stream bytes, long limit, CancellationToken cancel = default, IProgress<long>? progress = null)
    {
        var stored = await Vault.StoreAsync(bytes, limit, cancel, progress).ConfigureAwait(false);
        return await AddStoredAsync(outingId, name, stored, cancel).ConfigureAwait(false);
    }

    private async Task<FileRow> AddStoredAsync(string outingId, string name, StoredOriginal stored, CancellationToken cancel)
    {
        string clean = CleanName(name, "file");
        await using var db = _open();
        await using var transaction = await db.Database.BeginTransactionAsync(cancel).ConfigureAwait(false);
        var outing = await db.Outings.FindAsync([outingId], cancel).ConfigureAwait(false)
            ?? throw new KeyNotFoundException("There is no such outing; it may have been deleted in another window.");
        var same = await db.Files.FirstOrDefaultAsync(f => f.OutingId == outingId && f.Hash == stored.Hash && f.Name == clean, cancel).ConfigureAwait(false);
        if (same is not null)
        {
            return same;
        }

        var names = await db.Files.Where(f => f.OutingId == outingId).Select(f => f.Name).ToListAsync(cancel).ConfigureAwait(false);
        var row = new FileRow
        {
            Id = NewId(), OutingId = outingId, Name = Free(clean, names), Hash = stored.Hash, Size = stored.Size, AddedAt = Now,
        };
        db.Files.Add(row);
        outing.Revision++;
        await db.SaveChangesAsync(cancel).ConfigureAwait(false);
        await transaction.CommitAsync(cancel).ConfigureAwait(false);
        return row;
    }

    /// <summary>Makes an outing visible and asks for its analysis, in one step. Doing it twice is doing it once.</summary>
    public async Task<JobRow?> FinishOutingAsync(string outingId, string? name = null, CancellationToken cancel = default)
    {
        await using var db = _open();
        await using var transaction = await db.Database.BeginTransactionAsync(cancel).ConfigureAwait(false);
        var outing = await db.Outings.FindAsync([outingId], cancel).ConfigureAwait(false)
            ?? throw new KeyNotFoundException("There is no such outing; it may have been deleted in another window.");
        if (outing.Ready)
        {
            return await db.Jobs.Where(j => j.OutingId == outingId).OrderByDescending(j => j.QueuedAt).FirstOrDefaultAsync(cancel).ConfigureAwait(false);
        }

        outing.Ready = true;
        if (!string.IsNullOrWhiteSpace(name))
        {
            outing.Name = CleanName(name, outing.Name);
        }

        var job = NewJob(outingId);
        db.Jobs.Add(job);
        await db.SaveChangesAsync(cancel).ConfigureAwait(false);
        await transaction.CommitAsync(cancel).ConfigureAwait(false);
        return job;
    }

    public async Task<OutingRow?> OutingAsync(string id, CancellationToken cancel = default)
    {
        await using var db = _open();
        return await db.Outings.FindAsync([id], cancel).ConfigureAwait(false);
    }

    public async Task<IReadOnlyList<FileRow>> FilesAsync(string outingId, CancellationToken cancel = default)
    {
        await using var db = _open();
        return await db.Files.Where(f => f.OutingId == outingId).OrderBy(f => f.Name).ToListAsync(cancel).ConfigureAwait(false);
    }

    /// <summary>Every finished import with its latest analysis (its document left out), newest first.</summary>
    public async Task<IReadOnlyList<OutingLine>> SeasonAsync(bool archived, CancellationToken cancel = default)
    {
        await using var db = _open();
        var outings = await db.Outings.Where(o => o.Ready && o.Archived == archived)
            .OrderByDescending(o => o.Day).ThenByDescending(o => o.CreatedAt).ToListAsync(cancel).ConfigureAwait(false);
        var ids = outings.ConvertAll(o => o.Id);
        var analyses = await db.Analyses.Where(a => ids.Contains(a.OutingId)).Select(a => new AnalysisRow
        {
            Id = a.Id, OutingId = a.OutingId, Number = a.Number, Engine = a.Engine, Revision = a.Revision, MadeAt = a.MadeAt,
            Document = Array.Empty<byte>(), Distance = a.Distance, Seconds = a.Seconds, MeanRate = a.MeanRate, Place = a.Place,
            Crews = a.Crews, Boat = a.Boat, Findings = a.Findings, FirstFinding = a.FirstFinding,
        }).ToListAsync(cancel).ConfigureAwait(false);
        var latest = analyses.GroupBy(a => a.OutingId).ToDictionary(g => g.Key, g => g.MaxBy(a => a.Number));
        var files = (await db.Files.Where(f => ids.Contains(f.OutingId)).ToListAsync(cancel).ConfigureAwait(false)).ToLookup(f => f.OutingId);
        return outings.ConvertAll(o => new OutingLine(o, latest.GetValueOrDefault(o.Id), files[o.Id].ToList()));
    }

    public async Task ChangeOutingAsync(string id, Action<OutingRow> change, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(change);
        await using var db = _open();
        var row = await db.Outings.FindAsync([id], cancel).ConfigureAwait(false)
            ?? throw new KeyNotFoundException("There is no such outing; it may have been deleted in another window.");
        change(row);
        row.Name = CleanName(row.Name, "Outing");
        await db.SaveChangesAsync(cancel).ConfigureAwait(false);
    }

    /// <summary>Says whose outing it was and where; asks for a new analysis where that is new. Null: nobody's, nowhere.</summary>
    /// <exception cref="KeyNotFoundException">There is no such outing, crew or course.</exception>
    public async Task<bool> AssignAsync(string id, string? crewId, string? courseId, CancellationToken cancel = default)
    {
        await using var db = _open();
        await using var transaction = await db.Database.BeginTransactionAsync(cancel).ConfigureAwait(false);
        var row = await db.Outings.FindAsync([id], cancel).ConfigureAwait(false)
            ?? throw new KeyNotFoundException("There is no such outing; it may have been deleted in another window.");
        if ((crewId is not null && !await db.Crews.AnyAsync(c => c.Id == crewId, cancel).ConfigureAwait(false))
            || (courseId is not null && !await db.Courses.AnyAsync(c => c.Id == courseId, cancel).ConfigureAwait(false)))
        {
            throw new KeyNotFoundException("That crew or course is no longer in the boathouse.");
        }

        if (row.CrewId == crewId && row.CourseId == courseId)
        {
            return false;
        }

        (row.CrewId, row.CourseId) = (crewId, courseId);
        if (row.Ready)
        {
            row.Revision++;
            db.Jobs.Add(NewJob(id));
        }

        await db.SaveChangesAsync(cancel).ConfigureAwait(false);
        await transaction.CommitAsync(cancel).ConfigureAwait(false);
        return row.Ready;
    }

    /// <summary>Asks for a new analysis of every outing of a crew, a hull or a course, whose entry in the boathouse changed. Returns how many.</summary>
    public async Task<int> AnalyseAgainAsync(string boathouseId, CancellationToken cancel = default)
    {
        await using var db = _open();
        await using var transaction = await db.Database.BeginTransactionAsync(cancel).ConfigureAwait(false);
        var rows = await db.Outings.Where(o => o.Ready && (o.CrewId == boathouseId || o.CourseId == boathouseId
            || db.Crews.Any(c => c.Id == o.CrewId && c.HullId == boathouseId)
            || db.Seats.Any(s => s.CrewId == o.CrewId && s.PersonId == boathouseId))).ToListAsync(cancel).ConfigureAwait(false);
        foreach (var row in rows)
        {
            row.Revision++;
            db.Jobs.Add(NewJob(row.Id));
        }

        await db.SaveChangesAsync(cancel).ConfigureAwait(false);
        await transaction.CommitAsync(cancel).ConfigureAwait(false);
        return rows.Count;
    }

    /// <summary>Deletes an outing with its corrections, analyses and every original that no other outing has; the freed pages are overwritten.</summary>
    public async Task DeleteOutingAsync(string id, CancellationToken cancel = default)
    {
        await using var db = _open();
        var hashes = await db.Files.Where(f => f.OutingId == id).Select(f => f.Hash).Distinct().ToListAsync(cancel).ConfigureAwait(false);
        await db.Outings.Where(o => o.Id == id).ExecuteDeleteAsync(cancel).ConfigureAwait(false);
        foreach (string hash in hashes)
        {
            if (!await db.Files.AnyAsync(f => f.Hash == hash, cancel).ConfigureAwait(false))
            {
                Vault.Delete(hash);
            }
        }

        if (IsSqlite)
        {
            await db.Database.ExecuteSqlRawAsync("PRAGMA wal_checkpoint(TRUNCATE)", cancel).ConfigureAwait(false);
        }
    }

    /// <summary>
    /// A name that a person reads and no file system ever sees as a path: the last part of a path, without control and
    /// direction-turning characters, at most 120 characters.
    /// </summary>
    public static string CleanName(string? name, string instead)
    {
        string last = (name ?? "").Replace('\\', '/');
        last = last[(last.LastIndexOf('/') + 1)..];
        var kept = new System.Text.StringBuilder(last.Length);
        foreach (var rune in last.EnumerateRunes())
        {
            var category = System.Text.Rune.GetUnicodeCategory(rune);
            if (category is not (System.Globalization.UnicodeCategory.Control or System.Globalization.UnicodeCategory.Format
                or System.Globalization.UnicodeCategory.Surrogate or System.Globalization.UnicodeCategory.PrivateUse
                or System.Globalization.UnicodeCategory.LineSeparator or System.Globalization.UnicodeCategory.ParagraphSeparator) && rune.Value != 0xFFFD)
            {
                kept.Append(rune.ToString());
            }
        }

        string clean = kept.ToString().Trim(' ', '.');
        if (clean.Length > 120)
        {
            int dot = clean.LastIndexOf('.');
            string end = dot > 0 && clean.Length - dot <= 12 ? clean[dot..] : "";
            int cut = 120 - end.Length;
            clean = clean[..(char.IsHighSurrogate(clean[cut - 1]) ? cut - 1 : cut)] + end;
        }

        return clean.Length == 0 ? instead : clean;
    }

    private static string Free(string name, List<string> taken)
    {
        if (!taken.Contains(name, StringComparer.OrdinalIgnoreCase))
        {
            return name;
        }

        string stem = Path.GetFileNameWithoutExtension(name);
        string end = Path.GetExtension(name);
        for (int i = 2; ; i++)
        {
            string next = string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{stem} ({i}){end}");
            if (!taken.Contains(next, StringComparer.OrdinalIgnoreCase))
            {
                return next;
            }
        }
    }
}
