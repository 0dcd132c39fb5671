using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Design;
using Stakeboat.Storage.Rows;

namespace Stakeboat.Storage;

/// <summary>The one model of the store. Two derived contexts exist only because each database needs migrations of its own.</summary>
public abstract class StakeboatDb(DbContextOptions options) : DbContext(options)
{
    public DbSet<OutingRow> Outings => Set<OutingRow>();

    public DbSet<FileRow> Files => Set<FileRow>();

    public DbSet<CorrectionRow> Corrections => Set<CorrectionRow>();

    public DbSet<AnalysisRow> Analyses => Set<AnalysisRow>();

    public DbSet<NextPlanRow> NextPlan => Set<NextPlanRow>();

    public DbSet<JobRow> Jobs => Set<JobRow>();

    public DbSet<PersonRow> People => Set<PersonRow>();

    public DbSet<CrewRow> Crews => Set<CrewRow>();

    public DbSet<SeatRow> Seats => Set<SeatRow>();

    public DbSet<HullRow> Hulls => Set<HullRow>();

    public DbSet<CourseRow> Courses => Set<CourseRow>();

    public DbSet<SettingRow> Settings => Set<SettingRow>();

    protected override void OnModelCreating(ModelBuilder model)
    {
        ArgumentNullException.ThrowIfNull(model);
        model.Entity<PersonRow>().ToTable("people").HasKey(p => p.Id);
        model.Entity<HullRow>().ToTable("hulls").HasKey(h => h.Id);
        model.Entity<CourseRow>().ToTable("courses").HasKey(c => c.Id);
        model.Entity<SettingRow>().ToTable("settings").HasKey(s => s.Name);
        model.Entity<CrewRow>(e =>
        {
            e.ToTable("crews").HasKey(c => c.Id);
            e.HasOne<HullRow>().WithMany().HasForeignKey(c => c.HullId).OnDelete(DeleteBehavior.SetNull);
        });
        model.Entity<SeatRow>(e =>
        {
            e.ToTable("seats").HasKey(s => new { s.CrewId, s.Seat });
            e.HasOne<CrewRow>().WithMany().HasForeignKey(s => s.CrewId).OnDelete(DeleteBehavior.Cascade);
            e.HasOne<PersonRow>().WithMany().HasForeignKey(s => s.PersonId).OnDelete(DeleteBehavior.Cascade);
        });
        model.Entity<OutingRow>(e =>
        {
            e.ToTable("outings").HasKey(o => o.Id);
            e.HasIndex(o => o.RequestKey).IsUnique();
            e.HasOne<CrewRow>().WithMany().HasForeignKey(o => o.CrewId).OnDelete(DeleteBehavior.SetNull);
            e.HasOne<CourseRow>().WithMany().HasForeignKey(o => o.CourseId).OnDelete(DeleteBehavior.SetNull);
        });
        model.Entity<FileRow>(e =>
        {
            e.ToTable("files").HasKey(f => f.Id);
            e.HasIndex(f => f.Hash);
            e.HasOne<OutingRow>().WithMany().HasForeignKey(f => f.OutingId).OnDelete(DeleteBehavior.Cascade);
        });
        model.Entity<CorrectionRow>(e =>
        {
            e.ToTable("corrections").HasKey(c => c.Id);
            e.HasIndex(c => new { c.OutingId, c.Number }).IsUnique();
            e.HasIndex(c => new { c.OutingId, c.RequestKey }).IsUnique();
            e.HasOne<OutingRow>().WithMany().HasForeignKey(c => c.OutingId).OnDelete(DeleteBehavior.Cascade);
        });
        model.Entity<AnalysisRow>(e =>
        {
            e.ToTable("analyses").HasKey(a => a.Id);
            e.HasIndex(a => new { a.OutingId, a.Number }).IsUnique();
            e.HasOne<OutingRow>().WithMany().HasForeignKey(a => a.OutingId).OnDelete(DeleteBehavior.Cascade);
        });
        model.Entity<NextPlanRow>(e =>
        {
            e.ToTable("next_plan").HasKey(n => n.Id);
            e.HasIndex(n => n.RequestKey).IsUnique();
            e.HasOne<OutingRow>().WithMany().HasForeignKey(n => n.OutingId).OnDelete(DeleteBehavior.Cascade);
        });
        model.Entity<JobRow>(e =>
        {
            e.ToTable("jobs").HasKey(j => j.Id);
            e.HasIndex(j => new { j.State, j.QueuedAt });
            e.HasOne<OutingRow>().WithMany().HasForeignKey(j => j.OutingId).OnDelete(DeleteBehavior.Cascade);
        });
    }
}

public sealed class SqliteDb(DbContextOptions<SqliteDb> options) : StakeboatDb(options);

public sealed class PostgresDb(DbContextOptions<PostgresDb> options) : StakeboatDb(options);

/// <summary>For the migration tool alone: it needs a model, never a database.</summary>
public sealed class SqliteDesign : IDesignTimeDbContextFactory<SqliteDb>
{
    public SqliteDb CreateDbContext(string[] args) =>
        new(new DbContextOptionsBuilder<SqliteDb>().UseSqlite("Data Source=:memory:").Options);
}

/// <inheritdoc cref="SqliteDesign"/>
public sealed class PostgresDesign : IDesignTimeDbContextFactory<PostgresDb>
{
    public PostgresDb CreateDbContext(string[] args) =>
        new(new DbContextOptionsBuilder<PostgresDb>().UseNpgsql("Host=localhost").Options);
}
