namespace Stakeboat.Cli;

/// <summary>Ends a verb with one sentence and an exit code.</summary>
internal sealed class CliException(int code, string sentence) : Exception(sentence)
{
    public int Code { get; } = code;

    public static CliException NotFound(string path) =>
        new(ExitCode.NotFound, $"{path}: there is no such file or folder. Check the spelling, or give the full path.");

    public static CliException CannotWrite(string path, string why) => new(ExitCode.CannotWrite, $"{path}: cannot be written: {why}");
}
