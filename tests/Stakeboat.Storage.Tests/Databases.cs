using System.Diagnostics;
using System.Net;
using System.Net.Sockets;

namespace Stakeboat.Storage.Tests;

/// <summary>A database for each test, thrown away with its data folder.</summary>
public interface IDatabases
{
    /// <summary>Connection string of a new, empty database; null for SQLite in the data folder.</summary>
    string? New();
}

public sealed class SqliteDatabases : IDatabases
{
    public string? New() => null;
}

/// <summary>A PostgreSQL server of our own for the time of the suite: a fresh cluster on a free loopback port, run by an unprivileged user.</summary>
public sealed class PostgresDatabases : IDatabases, IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("stakeboat-pg-").FullName;
    private readonly string _bin;
    private readonly int _port;
    private int _count;

    public PostgresDatabases()
    {
        _bin = Directory.Exists("/usr/lib/postgresql")
            ? Directory.EnumerateDirectories("/usr/lib/postgresql").Select(d => Path.Combine(d, "bin")).Where(d => File.Exists(Path.Combine(d, "initdb"))).Max()!
            : throw new InvalidOperationException("PostgreSQL is not installed. On Debian: apt-get install postgresql, or run ./test, which does it.");
        using (var probe = new TcpListener(IPAddress.Loopback, 0))
        {
            probe.Start();
            _port = ((IPEndPoint)probe.LocalEndpoint).Port;
        }

        Run("chmod", "0777", _folder);
        AsOther("initdb", "-D", _folder + "/data", "-U", "postgres", "-A", "trust", "--no-sync", "-E", "UTF8", "--locale=C.UTF-8");
        AsOther("pg_ctl", "-D", _folder + "/data", "-w", "-o", $"-c listen_addresses=127.0.0.1 -p {_port} -k {_folder} -c fsync=off -c max_connections=200", "-l", _folder + "/log", "start");
    }

    private string Connection(string database) => $"Host=127.0.0.1;Port={_port};Username=postgres;Database={database};Pooling=true;Maximum Pool Size=8";

    public string New()
    {
        string name = $"t{Interlocked.Increment(ref _count)}";
        using var connection = new Npgsql.NpgsqlConnection(Connection("postgres"));
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = $"CREATE DATABASE {name}";
        command.ExecuteNonQuery();
        return Connection(name);
    }

    public void Dispose()
    {
        Npgsql.NpgsqlConnection.ClearAllPools();
        AsOther("pg_ctl", "-D", _folder + "/data", "-m", "immediate", "stop");
        Directory.Delete(_folder, recursive: true);
    }

    private void AsOther(string tool, params string[] arguments)
    {
        string path = Path.Combine(_bin, tool);
        if (Environment.UserName == "root")
        {
            Run("runuser", ["-u", "nobody", "--", path, .. arguments]);
        }
        else
        {
            Run(path, arguments);
        }
    }

    /// <summary>The server inherits the output of the tool that starts it, so nothing is redirected: a pipe would never end.</summary>
    private static void Run(string file, params string[] arguments)
    {
        var start = new ProcessStartInfo("/bin/sh") { WorkingDirectory = "/" };
        start.ArgumentList.Add("-c");
        start.ArgumentList.Add("exec \"$0\" \"$@\" >/dev/null 2>&1 </dev/null");
        start.ArgumentList.Add(file);
        foreach (string argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        using var process = Process.Start(start)!;
        if (!process.WaitForExit(60_000) || process.ExitCode != 0)
        {
            throw new InvalidOperationException($"{file} {string.Join(' ', arguments)} ended badly.");
        }
    }
}
