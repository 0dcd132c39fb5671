using System.Diagnostics;
using System.Globalization;
using Stakeboat.Readers.Fuzz;

CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
CultureInfo.DefaultThreadCurrentCulture = CultureInfo.InvariantCulture;
if (args.Length == 0 || args.Contains("--help"))
{
    Console.WriteLine("Usage: Stakeboat.Readers.Fuzz INPUTS [SEED] [TARGET ...], or: read TARGET BASE64    targets: " + string.Join(' ', Targets.All.Select(t => t.Name)));
    return 64;
}

if (args[0] == "read")
{
    var (issues, shape) = Targets.All.First(t => t.Name == args[1]).Read(Convert.FromBase64String(args[2]));
    Console.WriteLine(shape);
    foreach (var i in issues)
    {
        Console.WriteLine(i);
    }

    return 0;
}

long inputs = (long)double.Parse(args[0], NumberStyles.Float, CultureInfo.InvariantCulture);
ulong seed = args.Length > 1 ? ulong.Parse(args[1], NumberStyles.None, CultureInfo.InvariantCulture) : 1;
int failures = 0;
Console.WriteLine("| reader | inputs | processor seconds | outcomes | slowest, ms | most bytes | allowed: constant + per byte | failures |");
Console.WriteLine("|---|---|---|---|---|---|---|---|");
foreach (var target in Targets.All.Where(t => args.Length < 3 || args.Skip(2).Contains(t.Name)))
{
    var started = Process.GetCurrentProcess().TotalProcessorTime;
    var r = new FuzzRun(target, seed, Console.Error.WriteLine).Run(inputs);
    Console.WriteLine($"| {r.Target} | {r.Inputs} | {(Process.GetCurrentProcess().TotalProcessorTime - started).TotalSeconds:0.0} | {r.Kept} | {r.Slowest:0.0} | {r.MostBytes} | {target.Constant} + {target.Multiple} | {r.Failures.Count} |");
    failures += r.Failures.Count;
}

return failures == 0 ? 0 : 1;
