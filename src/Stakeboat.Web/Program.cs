using System.Globalization;
using Stakeboat.Web;

CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
CultureInfo.DefaultThreadCurrentCulture = CultureInfo.InvariantCulture;

if (args.Contains("--help") || args.Contains("-h"))
{
    Console.Out.WriteLine(StartOptions.Help);
    return 0;
}

try
{
    var app = StakeboatHost.Build(args);
    await app.StartAsync().ConfigureAwait(false);
    Console.Out.WriteLine($"Stakeboat is at {StakeboatHost.AddressOf(app)}  (data in {app.Services.GetRequiredService<Stakeboat.Storage.DataFolder>().Path}; Ctrl+C ends it)");
    await app.WaitForShutdownAsync().ConfigureAwait(false);
    return 0;
}
catch (StartOptionsException e)
{
    Console.Error.WriteLine(e.Message);
    return 64;
}
catch (Exception e) when (e is IOException or UnauthorizedAccessException or System.Data.Common.DbException)
{
    Console.Error.WriteLine($"Stakeboat could not start: {e.Message}");
    return 73;
}

/// <summary>Named so that tests can start the server.</summary>
public partial class Program;
