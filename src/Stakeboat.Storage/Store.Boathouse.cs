using Microsoft.EntityFrameworkCore;
using Stakeboat.Storage.Rows;

namespace Stakeboat.Storage;

/// <summary>What a list of the boathouse shows.</summary>
public sealed record BoathouseContents(
    IReadOnlyList<CrewRow> Crews, IReadOnlyList<PersonRow> People, IReadOnlyList<SeatRow> Seats,
    IReadOnlyList<HullRow> Hulls, IReadOnlyList<CourseRow> Courses);

public sealed partial class Store
{
    public async Task<BoathouseContents> BoathouseAsync(CancellationToken cancel = default)
    {
        await using var db = _open();
        return new BoathouseContents(
            await db.Crews.OrderBy(c => c.Name).ToListAsync(cancel).ConfigureAwait(false),
            await db.People.OrderBy(p => p.Name).ToListAsync(cancel).ConfigureAwait(false),
            await db.Seats.OrderBy(s => s.Seat).ToListAsync(cancel).ConfigureAwait(false),
            await db.Hulls.OrderBy(h => h.Name).ToListAsync(cancel).ConfigureAwait(false),
            await db.Courses.OrderBy(c => c.Name).ToListAsync(cancel).ConfigureAwait(false));
    }

    /// <summary>Adds a row of the boathouse, or replaces the one with its identity.</summary>
    public async Task<T> KeepAsync<T>(T row, CancellationToken cancel = default)
        where T : class
    {
        await using var db = _open();
        var key = db.Model.FindEntityType(typeof(T))!.FindPrimaryKey()!.Properties.Select(p => p.PropertyInfo!.GetValue(row)).ToArray();
        var present = await db.Set<T>().FindAsync(key, cancel).ConfigureAwait(false);
        if (present is null)
        {
            db.Set<T>().Add(row);
        }
        else
        {
            db.Entry(present).CurrentValues.SetValues(row);
        }

        await db.SaveChangesAsync(cancel).ConfigureAwait(false);
        return row;
    }

    /// <summary>Takes a row of the boathouse away for good. Outings that named it stay and name nothing.</summary>
    public async Task RemoveAsync<T>(string id, CancellationToken cancel = default)
        where T : class
    {
        await using var db = _open();
        if (await db.Set<T>().FindAsync([id], cancel).ConfigureAwait(false) is { } row)
        {
            db.Set<T>().Remove(row);
            await db.SaveChangesAsync(cancel).ConfigureAwait(false);
        }
    }

    /// <summary>Who sits where, all seats at once; seat 0 is the coxswain.</summary>
    public async Task SeatCrewAsync(string crewId, IReadOnlyDictionary<int, string> people, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(people);
        await using var db = _open();
        await using var transaction = await db.Database.BeginTransactionAsync(cancel).ConfigureAwait(false);
        await db.Seats.Where(s => s.CrewId == crewId).ExecuteDeleteAsync(cancel).ConfigureAwait(false);
        db.Seats.AddRange(people.Select(p => new SeatRow { CrewId = crewId, Seat = p.Key, PersonId = p.Value }));
        await db.SaveChangesAsync(cancel).ConfigureAwait(false);
        await transaction.CommitAsync(cancel).ConfigureAwait(false);
    }

    /// <summary>Sends a finding to the next plan. The same key a second time returns the first.</summary>
    public async Task<NextPlanRow> SendToNextPlanAsync(
        string outingId, string form, string text, string source, string requestKey, CancellationToken cancel = default)
    {
        await using var db = _open();
        var known = await db.NextPlan.FirstOrDefaultAsync(n => n.RequestKey == requestKey, cancel).ConfigureAwait(false);
        if (known is not null)
        {
            return known;
        }

        var row = new NextPlanRow
        {
            Id = NewId(), OutingId = outingId, Form = form, Text = text, Source = source, AddedAt = Now, RequestKey = requestKey,
        };
        db.NextPlan.Add(row);
        try
        {
            await db.SaveChangesAsync(cancel).ConfigureAwait(false);
            return row;
        }
        catch (DbUpdateException e)
        {
            db.ChangeTracker.Clear();
            return await db.NextPlan.FirstOrDefaultAsync(n => n.RequestKey == requestKey, cancel).ConfigureAwait(false)
                ?? throw new KeyNotFoundException("There is no such outing; it may have been deleted in another window.", e);
        }
    }

    public async Task<IReadOnlyList<NextPlanRow>> NextPlanAsync(CancellationToken cancel = default)
    {
        await using var db = _open();
        return await db.NextPlan.OrderBy(n => n.Done).ThenByDescending(n => n.AddedAt).ToListAsync(cancel).ConfigureAwait(false);
    }

    public async Task<string?> SettingAsync(string name, CancellationToken cancel = default)
    {
        await using var db = _open();
        return (await db.Settings.FindAsync([name], cancel).ConfigureAwait(false))?.Value;
    }
}
