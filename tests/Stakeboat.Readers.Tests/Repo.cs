namespace Stakeboat.Readers.Tests;

/// <summary>Places in the repository, found by walking up to the solution.</summary>
internal static class Repo
{
    public static string Root { get; } = Find();

    public static string Corpus(string name) => Path.Combine(Root, "data", "corpus", name);

    public static string Oracle(string name) => Path.Combine(Root, "oracles", "readers", name);

    private static string Find()
    {
        var d = new DirectoryInfo(AppContext.BaseDirectory);
        while (d is not null && !File.Exists(Path.Combine(d.FullName, "Stakeboat.slnx")))
        {
            d = d.Parent;
        }

        return d?.FullName ?? throw new InvalidOperationException("Stakeboat.slnx not found above the tests.");
    }
}
