using System.CommandLine;
using System.Globalization;
using Stakeboat.Readers.Motion;

namespace Stakeboat.Cli;

/// <summary><c>--take WHAT=VALUE</c>: puts right what a reader guessed wrong about a log of numbers, or adds roll-overs of the satellites' week.</summary>
internal static class TakenAs
{
    public static Option<string[]> Option() => new("--take")
    {
        Description = "Puts a guess right, once for each: time=s|ms|us|ns|calendar, acceleration=g|m/s2, gravity=in|out, rotation=deg|rad, speed=m/s|km/h, signs=flip, separator=, decimal=, COLUMN=ROLE (3=latitude; \"none\" leaves a column out), week=+N (N times 1024 weeks).",
        HelpName = "WHAT=VALUE",
        Arity = ArgumentArity.ZeroOrMore,
    };

    public static (LogCorrection? Log, int RollOvers) Read(IEnumerable<string>? given)
    {
        LogCorrection? log = null;
        int rollOvers = 0;
        foreach (string g in given ?? [])
        {
            int at = g.IndexOf('=', StringComparison.Ordinal);
            if (at < 1 || at == g.Length - 1)
            {
                throw Wrong(g, "write WHAT=VALUE, for example time=ms");
            }

            string what = g[..at].Trim().ToLowerInvariant(), value = g[(at + 1)..];
            if (what == "week")
            {
                rollOvers = int.TryParse(value, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out int n) && Math.Abs(n) < 10 ? n : throw Wrong(g, "week takes a whole number such as +1");
                continue;
            }

            log = One(log ?? new LogCorrection(), what, value, g);
        }

        return (log, rollOvers);
    }

    private static LogCorrection One(LogCorrection log, string what, string value, string given)
    {
        string v = value.Trim().ToLowerInvariant();
        switch (what)
        {
            case "time":
                return log with
                {
                    Time = v switch { "s" => TimeUnit.Seconds, "ms" => TimeUnit.Milliseconds, "us" => TimeUnit.Microseconds, "ns" => TimeUnit.Nanoseconds, "calendar" => TimeUnit.Calendar, _ => throw Wrong(given, "time is s, ms, us, ns or calendar") },
                };
            case "acceleration":
                return log with { Acceleration = v switch { "g" => AccelerationUnit.StandardGravity, "m/s2" or "m/s²" => AccelerationUnit.MetresPerSecondSquared, _ => throw Wrong(given, "acceleration is g or m/s2") } };
            case "gravity":
                return log with { HasGravity = v switch { "in" => true, "out" => false, _ => throw Wrong(given, "gravity is in or out") } };
            case "rotation":
                return log with { RotationInDegrees = v switch { "deg" => true, "rad" => false, _ => throw Wrong(given, "rotation is deg or rad") } };
            case "speed":
                return log with { SpeedInKmh = v switch { "km/h" => true, "m/s" => false, _ => throw Wrong(given, "speed is m/s or km/h") } };
            case "signs":
                return log with { FlipSigns = v == "flip" ? true : throw Wrong(given, "signs is flip") };
            case "separator":
                return log with { Separator = v is "tab" ? '\t' : v is "space" ? ' ' : value.Length == 1 && value[0] < 128 ? value[0] : throw Wrong(given, "separator is one sign, tab or space") };
            case "decimal":
                return log with { DecimalMark = v is "." or "," ? v[0] : throw Wrong(given, "decimal is a full stop or a comma") };
        }

        if (!int.TryParse(what, NumberStyles.None, CultureInfo.InvariantCulture, out int column) || column is < 1 or > 512)
        {
            throw Wrong(given, "there is nothing of that name to take");
        }

        string plain = v.Replace(" ", "", StringComparison.Ordinal);
        if (!Enum.TryParse(plain is "hdop" ? nameof(ColumnRole.Dilution) : plain, true, out ColumnRole role) || char.IsAsciiDigit(plain[0]))
        {
            throw Wrong(given, "a column is one of: " + string.Join(", ", Enum.GetNames<ColumnRole>()));
        }

        var columns = new Dictionary<int, ColumnRole>(log.Columns ?? new Dictionary<int, ColumnRole>()) { [column - 1] = role };
        return log with { Columns = columns };
    }

    private static CliException Wrong(string given, string why) => new(ExitCode.Usage, $"--take {given}: {why}. See stakeboat inspect --help.");
}
