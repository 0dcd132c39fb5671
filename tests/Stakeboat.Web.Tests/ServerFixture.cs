using System.Diagnostics;
using System.Globalization;
using Stakeboat.Storage.Tests;

namespace Stakeboat.Web.Tests;

/// <summary>A real server process on a data folder and a database of its own.</summary>
public abstract class ServerFixture : IAsyncLifetime
{
    private Process? _server;

    public string Data { get; } = Directory.CreateTempSubdirectory("stakeboat-web-").FullName;

    public string Address { get; private set; } = "";

    /// <summary>Connection string of the club's database; null for the file in the data folder.</summary>
    public abstract string? Database { get; }

    public async ValueTask InitializeAsync() => (_server, Address) = await StartAsync(Data, Database);

    /// <summary>Starts the server and waits for its address.</summary>
    public static async Task<(Process Process, string Address)> StartAsync(string data, string? database)
    {
        var start = new ProcessStartInfo("dotnet") { RedirectStandardOutput = true, UseShellExecute = false, WorkingDirectory = Path.GetTempPath() };
        foreach (string a in new[] { Path.Combine(AppContext.BaseDirectory, "Stakeboat.Web.dll"), "--data", data, "--port", "0", "--no-demo" })
        {
            start.ArgumentList.Add(a);
        }

        if (database is not null)
        {
            start.ArgumentList.Add("--postgres");
            start.ArgumentList.Add(database);
        }

        start.Environment["DOTNET_TieredPGO"] = "0";
        var server = Process.Start(start)!;
        using var patience = new CancellationTokenSource(TimeSpan.FromSeconds(90));
        string? line;
        do
        {
            line = await server.StandardOutput.ReadLineAsync(patience.Token) ?? throw new InvalidOperationException("The server ended at once.");
        }
        while (!line.StartsWith("Stakeboat is at ", StringComparison.Ordinal));
        return (server, line.Split(' ')[3]);
    }

    public Task<PageClient> PageAsync() => PageClient.OpenAsync(Address);

    /// <summary>The most memory that the server has held at once, bytes.</summary>
    public long PeakMemory()
    {
        string line = File.ReadLines($"/proc/{_server!.Id}/status").First(l => l.StartsWith("VmHWM:", StringComparison.Ordinal));
        return 1024 * long.Parse(line.Split(' ', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries)[1].Split('\t')[0], CultureInfo.InvariantCulture);
    }

    /// <summary>Root of the repository.</summary>
    public static string Root
    {
        get
        {
            string? at = AppContext.BaseDirectory;
            while (at is not null && !File.Exists(Path.Combine(at, "Stakeboat.slnx")))
            {
                at = Path.GetDirectoryName(at);
            }

            return at ?? throw new InvalidOperationException("The repository was not found above the tests.");
        }
    }

    /// <summary>Files that a person would bring of a labelled race: all but its truth.</summary>
    public static string[] Race(string folder) =>
        [.. Directory.EnumerateFiles(Path.Combine(Root, "data/corpus", folder)).Where(f => Path.GetFileName(f) is not ("truth.json" or "calls.jsonl")).Order(StringComparer.Ordinal)];

    public virtual ValueTask DisposeAsync()
    {
        _server?.Kill(entireProcessTree: true);
        _server?.WaitForExit(10_000);
        _server?.Dispose();
        Directory.Delete(Data, recursive: true);
        GC.SuppressFinalize(this);
        return ValueTask.CompletedTask;
    }
}

public sealed class SqliteServer : ServerFixture
{
    public override string? Database => null;
}

public sealed class PostgresServer : ServerFixture
{
    private readonly PostgresDatabases _cluster = new();
    private string? _database;

    public override string Database => _database ??= _cluster.New();

    public override async ValueTask DisposeAsync()
    {
        await base.DisposeAsync();
        _cluster.Dispose();
    }
}
