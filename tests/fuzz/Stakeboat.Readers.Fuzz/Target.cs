namespace Stakeboat.Readers.Fuzz;

/// <summary>One reader with its seeds and with what bends them.</summary>
/// <param name="Name">Word on the command line and name of the seeds' folder.</param>
/// <param name="Folders">Folders under seeds/.</param>
/// <param name="Read">Reads an input and gives back the issues and a number for the shape of what was found.</param>
/// <param name="Bend">What knows the format; bytes are bent besides.</param>
/// <param name="Multiple">Bytes that may be allocated for each byte of input ...</param>
/// <param name="Constant">... and besides.</param>
public sealed record Target(
    string Name, string[] Folders, Func<byte[], (IReadOnlyList<ReadingIssue> Issues, int Shape)> Read, Func<byte[], byte[], Dice, byte[]> Bend, int Multiple, int Constant)
{
    /// <summary>Bytes that an input may cost.</summary>
    public long Allowance(int length) => Constant + ((long)Multiple * length);
}
