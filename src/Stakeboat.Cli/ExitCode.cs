namespace Stakeboat.Cli;

/// <summary>Exit codes, after BSD sysexits.h.</summary>
internal static class ExitCode
{
    /// <summary>Done; what could not be read is listed.</summary>
    public const int Done = 0;

    public const int Usage = 64;

    /// <summary>The data cannot be used.</summary>
    public const int Data = 65;

    public const int NotFound = 66;

    /// <summary>Our fault.</summary>
    public const int Software = 70;

    public const int CannotWrite = 73;

    public const int Cancelled = 130;
}
