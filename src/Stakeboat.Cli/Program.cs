using System.CommandLine;
using System.Globalization;

namespace Stakeboat.Cli;

internal static class Program
{
    public static int Main(string[] args)
    {
        CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
        CultureInfo.DefaultThreadCurrentCulture = CultureInfo.InvariantCulture;
        return Run(args, Console.Out, Console.Error);
    }

    /// <summary>The whole command line with its outputs passed in; never shows a stack trace.</summary>
    public static int Run(string[] args, TextWriter output, TextWriter error)
    {
        var root = new RootCommand("Stakeboat puts a coxswain's race as planned, as called and as rowed on one time line.");
        foreach (var verb in Verbs.All())
        {
            root.Subcommands.Add(verb);
        }

        var parsed = root.Parse(args);
        if (parsed.Errors.Count > 0)
        {
            foreach (var e in parsed.Errors)
            {
                error.WriteLine(e.Message);
            }

            error.WriteLine("Try: stakeboat --help");
            return ExitCode.Usage;
        }

        try
        {
            return parsed.Invoke(new InvocationConfiguration { Output = output, Error = error, EnableDefaultExceptionHandler = false });
        }
        catch (CliException e)
        {
            error.WriteLine(e.Message);
            return e.Code;
        }
        catch (OperationCanceledException)
        {
            error.WriteLine("Cancelled. Nothing was left half done.");
            return ExitCode.Cancelled;
        }
#pragma warning disable CA1031 // The last door: a person gets a sentence, never a stack trace.
        catch (Exception e)
        {
            error.WriteLine($"This is our fault, not yours: {e.GetType().Name}: {e.Message} Please report it with the command you gave.");
            return ExitCode.Software;
        }
#pragma warning restore CA1031
    }
}
