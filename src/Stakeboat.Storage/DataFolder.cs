namespace Stakeboat.Storage;

/// <summary>The one folder that holds everything: database, originals, keys, work in progress.</summary>
public sealed class DataFolder
{
    /// <param name="path">Made when it does not exist.</param>
    public DataFolder(string path)
    {
        Path = System.IO.Path.GetFullPath(path);
        foreach (string folder in new[] { Path, Originals, Incoming, Work, Keys })
        {
            if (OperatingSystem.IsWindows())
            {
                Directory.CreateDirectory(folder);
            }
            else
            {
                Directory.CreateDirectory(folder, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
            }
        }
    }

    public string Path { get; }

    public string Database => System.IO.Path.Combine(Path, "stakeboat.db");

    /// <summary>Every file that was brought, under its hash.</summary>
    public string Originals => System.IO.Path.Combine(Path, "originals");

    /// <summary>Files on their way in. Whatever lies here at the start was never acknowledged.</summary>
    public string Incoming => System.IO.Path.Combine(Path, "incoming");

    /// <summary>Folders laid out for the readers, taken away afterwards.</summary>
    public string Work => System.IO.Path.Combine(Path, "work");

    /// <summary>Keys that sign the pages' forms.</summary>
    public string Keys => System.IO.Path.Combine(Path, "keys");

    /// <summary>Where data lie unless the person says otherwise: the user's own data folder.</summary>
    public static string Default =>
        System.IO.Path.Combine(Environment.GetFolderPath(Environment.SpecialFolder.LocalApplicationData, Environment.SpecialFolderOption.Create), "stakeboat");
}
