using Stakeboat.Simulation.Racing;

namespace Stakeboat.Simulation.Folders;

/// <summary>Writes the files of a simulated race into a folder, the only place of the simulation that touches a disk.</summary>
public static class FolderWriter
{
    /// <returns>Names of the files written, in order.</returns>
    /// <exception cref="IOException">The folder or a file cannot be written.</exception>
    /// <exception cref="UnauthorizedAccessException">The folder or a file may not be written.</exception>
    public static IReadOnlyList<string> Write(SimulatedRace race, string folder, string captions = "vtt")
    {
        Directory.CreateDirectory(folder);
        var files = RaceFiles.Of(race, captions);
        foreach (var (name, bytes) in files)
        {
            File.WriteAllBytes(Path.Combine(folder, name), bytes);
        }

        return [.. files.Select(f => f.Name)];
    }
}
