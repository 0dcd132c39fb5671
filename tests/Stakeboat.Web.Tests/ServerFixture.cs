using System.Diagnostics;
using System.Globalization;

namespace Stakeboat.Web.Tests;

/// <summary>A real server process on a data folder of its own.</summary>
public sealed class ServerFixture : IAsyncLifetime
{
    private Process? _server;

    public string Data { get; } = Directory.CreateTempSubdirectory("stakeboat-web-").FullName;

    public string Address { get; private set; } = "";

    public async ValueTask InitializeAsync() => (_server, Address) = await StartAsync(Data);

    /// <summary>Starts the server and waits for its address.</summary>
    public static async Task<(Process Process, string Address)> StartAsync(string data)
    {
        var start = new ProcessStartInfo("dotnet") { RedirectStandardOutput = true, UseShellExecute = false, WorkingDirectory = Path.GetTempPath() };
        foreach (string a in new[] { Path.Combine(AppContext.BaseDirectory, "Stakeboat.Web.dll"), "--data", data, "--port", "0", "--no-demo" })
        {
            start.ArgumentList.Add(a);
        }

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

    /// <summary>The most memory that the server has held at once, bytes.</summary>
    public long PeakMemory()
    {
        string line = File.ReadLines($"/proc/{_server!.Id}/status").First(l => l.StartsWith("VmHWM:", StringComparison.Ordinal));
        return 1024 * long.Parse(line.Split(' ', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries)[1].Split('\t')[0], CultureInfo.InvariantCulture);
    }

    public ValueTask DisposeAsync()
    {
        _server?.Kill(entireProcessTree: true);
        _server?.WaitForExit(10_000);
        _server?.Dispose();
        Directory.Delete(Data, recursive: true);
        return ValueTask.CompletedTask;
    }
}
