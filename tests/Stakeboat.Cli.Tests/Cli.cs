using Stakeboat.Cli;

namespace Stakeboat.Cli.Tests;

/// <summary>Runs the whole command line in this process.</summary>
internal static class Cli
{
    public static (int Code, string Output, string Error) Run(params string[] args)
    {
        var output = new StringWriter();
        var error = new StringWriter();
        int code = Program.Run(args, output, error);
        return (code, output.ToString(), error.ToString());
    }

    /// <summary>Root of the repository.</summary>
    public static string Root { get; } = FindRoot();

    public static string Corpus(string name) => Path.Combine(Root, "data", "corpus", name);

    private static string FindRoot()
    {
        string? root = AppContext.BaseDirectory;
        while (root is not null && !File.Exists(Path.Combine(root, "Stakeboat.slnx")))
        {
            root = Path.GetDirectoryName(root);
        }

        return root ?? throw new InvalidOperationException("The tests run inside the repository.");
    }
}

/// <summary>A folder that goes away with its test.</summary>
internal sealed class TemporaryFolder : IDisposable
{
    public string Path { get; } = Directory.CreateTempSubdirectory("stakeboat-test-").FullName;

    public string Write(string name, byte[] bytes)
    {
        string file = System.IO.Path.Combine(Path, name);
        File.WriteAllBytes(file, bytes);
        return file;
    }

    public void Dispose() => Directory.Delete(Path, recursive: true);
}
