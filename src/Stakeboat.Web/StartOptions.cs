using System.Globalization;
using System.Net;
using System.Net.Sockets;

namespace Stakeboat.Web;

/// <summary>An option that cannot be used, with a sentence for the person.</summary>
public sealed class StartOptionsException(string message) : Exception(message);

/// <summary>How the server was asked to start.</summary>
/// <param name="Port">0: any free port.</param>
/// <param name="UploadLimit">The largest file that is taken, bytes.</param>
public sealed record StartOptions(string Data, int Port, bool PortGiven, string? Postgres, long UploadLimit, bool Demo)
{
    public const string Help = """
        Stakeboat, the pages. Listens on this machine alone.

        usage: dotnet run --project src/Stakeboat.Web -- [options]

          --data FOLDER      where everything is kept (or STAKEBOAT_DATA); default: your own data folder
          --port NUMBER      default 5187, or the next free one; 0: any
          --postgres STRING  a club's database instead of the file in the folder (or STAKEBOAT_POSTGRES)
          --max-upload MB    the largest file that is taken; default 2000
          --no-demo          do not bring in the demo race
        """;

    public const int UsualPort = 5187;

    public static StartOptions Read(string[] args)
    {
        ArgumentNullException.ThrowIfNull(args);
        string? data = Environment.GetEnvironmentVariable("STAKEBOAT_DATA");
        string? postgres = Environment.GetEnvironmentVariable("STAKEBOAT_POSTGRES");
        int? port = null;
        long limit = 2_000_000_000;
        bool demo = true;
        for (int i = 0; i < args.Length; i++)
        {
            string Next() => ++i < args.Length ? args[i] : throw new StartOptionsException($"{args[i - 1]} needs a value. Try --help.");
            switch (args[i])
            {
                case "--data": data = Next(); break;
                case "--postgres": postgres = Next(); break;
                case "--port": port = (int)Number("--port", Next(), 0, 65535); break;
                case "--max-upload": limit = Number("--max-upload", Next(), 1, 100_000) * 1_000_000; break;
                case "--no-demo": demo = false; break;
                default: throw new StartOptionsException($"There is no option {args[i]}. Try --help.");
            }
        }

        return new StartOptions(
            string.IsNullOrWhiteSpace(data) ? Storage.DataFolder.Default : data, port ?? UsualPort, port is not null,
            string.IsNullOrWhiteSpace(postgres) ? null : postgres, limit, demo);
    }

    private static long Number(string option, string text, long low, long high) =>
        long.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out long n) && n >= low && n <= high
            ? n : throw new StartOptionsException($"{option} wants a whole number from {low} to {high}, not \"{text}\".");

    /// <summary>The port asked for, or the first free one of the twenty after the usual.</summary>
    public int FreePort()
    {
        if (PortGiven)
        {
            return Port;
        }

        for (int p = Port; p < Port + 20; p++)
        {
            try
            {
                using var probe = new TcpListener(IPAddress.Loopback, p);
                probe.Start();
                return p;
            }
            catch (SocketException)
            {
                // Taken: the next one.
            }
        }

        return 0;
    }
}
