using System.Globalization;

namespace Stakeboat.Readers.Motion;

/// <summary>Units of a log, from its column names where they say so, else from the size of the numbers. Each guess becomes a note.</summary>
internal static class LogUnits
{
    public static LogLayout Settle(LogGuess guess, LogData data, LogCorrection? fix, IssueLog log)
    {
        string NameOf(ColumnRole r) => Array.IndexOf(guess.Roles, r) is int i and >= 0 ? guess.Names[i] : "";
        var time = fix?.Time ?? (guess.Calendar || data[ColumnRole.Date] is not null ? TimeUnit.Calendar : guess.ClockOfDay ? TimeUnit.Seconds : Time(data[ColumnRole.Time]!, NameOf(ColumnRole.Time), data[ColumnRole.AccelerationX] is not null, log));

        var unit = AccelerationUnit.MetresPerSecondSquared;
        bool gravity = true;
        AddGravity(data, log);
        if (data[ColumnRole.AccelerationX] is { } x && data[ColumnRole.AccelerationY] is { } y && data[ColumnRole.AccelerationZ] is { } z)
        {
            var (median, together) = Size(x, y, z);
            (unit, gravity) = Acceleration(median, together, NameOf(ColumnRole.AccelerationX), data[ColumnRole.GravityX] is not null, fix, log);
        }

        bool degrees = fix?.RotationInDegrees ?? Degrees(data[ColumnRole.RotationX], NameOf(ColumnRole.RotationX), log);
        bool kmh = fix?.SpeedInKmh ?? ColumnNames.IsKmh(NameOf(ColumnRole.Speed));
        var layout = new LogLayout(guess.Separator, guess.DecimalMark, guess.Names, guess.Roles, guess.HeaderLine, guess.FirstLine, time, unit, gravity, degrees, kmh);
        Say(layout, log);
        return layout;
    }

    // A boat turns by tenths of a radian a second; a median beyond 2 can only be degrees.
    private static bool Degrees(double[]? x, string name, IssueLog log)
    {
        if (x is null || ColumnNames.IsDegrees(name) || name.Contains("rad", StringComparison.OrdinalIgnoreCase))
        {
            return ColumnNames.IsDegrees(name);
        }

        var sizes = x.Where(double.IsFinite).Take(5000).Select(Math.Abs).Order().ToList();
        bool degrees = sizes.Count > 0 && sizes[sizes.Count / 2] > 2;
        if (degrees)
        {
            log.Note("", "The unit of the rotation is not written.", "It was taken as degrees a second from the size of the numbers; correct it if that is wrong.");
        }

        return degrees;
    }

    // Some devices give the acceleration of the hand and gravity apart; together they are what the sensor felt.
    private static void AddGravity(LogData data, IssueLog log)
    {
        bool all = true;
        for (int k = 0; k < 3; k++)
        {
            all &= data[ColumnRole.AccelerationX + k] is not null && data[ColumnRole.GravityX + k] is not null;
        }

        if (!all)
        {
            return;
        }

        for (int k = 0; k < 3; k++)
        {
            double[] a = data[ColumnRole.AccelerationX + k]!, g = data[ColumnRole.GravityX + k]!;
            for (int i = 0; i < a.Length; i++)
            {
                a[i] += g[i];
            }
        }

        log.Note("", "Gravity stands in columns of its own.", "It was added to the acceleration, so that the log has both.");
    }

    private static TimeUnit Time(double[] t, string name, bool motion, IssueLog log)
    {
        double step = MedianStep(t), first = Math.Abs(t[0]);
        if (ColumnNames.UnitOfTime(name) is { } named && Plausible(step, named))
        {
            return named;
        }

        // Since 1970: the size alone decides. Seconds have 10 digits until 2286.
        if (first is >= 3e8 and < 1e18 * 4)
        {
            var epoch = first switch { < 1e10 => TimeUnit.Seconds, < 1e13 => TimeUnit.Milliseconds, < 1e16 => TimeUnit.Microseconds, _ => TimeUnit.Nanoseconds };
            if (Plausible(step, epoch))
            {
                return epoch;
            }
        }

        // Otherwise the step: sensors of phones give 1 to 1000 samples a second, satellites 0.2 to 25.
        var unit = step < (motion ? 1.5 : 3.5) ? TimeUnit.Seconds : step < 3500 ? TimeUnit.Milliseconds : step < 3.5e5 ? TimeUnit.Microseconds : TimeUnit.Nanoseconds;
        if (step is >= 3500 and < 3.5e6 && !motion)
        {
            unit = TimeUnit.Microseconds;
        }

        log.Note("", "The unit of the time is not written.", $"It was taken as {unit.ToString().ToLowerInvariant()} from the step between rows; correct it if the span is wrong.");
        return unit;
    }

    private static bool Plausible(double step, TimeUnit unit)
    {
        double seconds = step * LogMotion.SecondsPer(unit);
        return step == 0 || seconds is >= 5e-5 and <= 300;
    }

    public static double MedianStep(double[] t)
    {
        var steps = new List<double>(Math.Min(t.Length, 2001));
        for (int i = 1; i < t.Length && steps.Count < 2001; i++)
        {
            double d = t[i] - t[i - 1];
            if (d > 0)
            {
                steps.Add(d);
            }
        }

        steps.Sort();
        return steps.Count == 0 ? 0 : steps[steps.Count / 2];
    }

    // Median size of the vector, and how far the samples pull one way: |mean| over mean of |a|, 1 for a still phone with gravity, near 0 without.
    private static (double Median, double Together) Size(double[] x, double[] y, double[] z)
    {
        int stride = Math.Max(1, x.Length / 5000);
        var sizes = new List<double>();
        double sx = 0, sy = 0, sz = 0, total = 0;
        for (int i = 0; i < x.Length; i += stride)
        {
            double a = Math.Sqrt((x[i] * x[i]) + (y[i] * y[i]) + (z[i] * z[i]));
            if (double.IsFinite(a))
            {
                sizes.Add(a);
                sx += x[i];
                sy += y[i];
                sz += z[i];
                total += a;
            }
        }

        sizes.Sort();
        return sizes.Count == 0 || total == 0 ? (0, 0) : (sizes[sizes.Count / 2], Math.Sqrt((sx * sx) + (sy * sy) + (sz * sz)) / total);
    }

    private static (AccelerationUnit Unit, bool Gravity) Acceleration(double median, double together, string name, bool added, LogCorrection? fix, IssueLog log)
    {
        var named = fix?.Acceleration ?? ColumnNames.UnitOfAcceleration(name);
        bool gravity = fix?.HasGravity ?? (together > 0.7 && (added || !ColumnNames.SaysLinear(name)));
        if (named is { } given)
        {
            double g = given == AccelerationUnit.StandardGravity ? median : median / LogReader.StandardGravity;
            return (given, fix?.HasGravity ?? (gravity && g is > 0.6 and < 1.6));
        }

        // With gravity in, the vector's size is 1 g whatever the tilt; without, a boat gives a few m/s², a few tenths of a g.
        if (gravity && median is > 0.8 and < 1.25)
        {
            return (AccelerationUnit.StandardGravity, true);
        }

        if (gravity && median is > 7.8 and < 12)
        {
            return (AccelerationUnit.MetresPerSecondSquared, true);
        }

        log.Warn("", string.Create(CultureInfo.InvariantCulture, $"The acceleration has a median size of {median:0.###}, which is neither 1 g nor 9.8 m/s²."),
            "It was taken as m/s² without gravity; correct it if that is wrong.");
        return (AccelerationUnit.MetresPerSecondSquared, fix?.HasGravity ?? false);
    }

    private static void Say(LogLayout l, IssueLog log)
    {
        var said = new List<string>();
        for (int c = 0; c < l.Roles.Count; c++)
        {
            if (l.Roles[c] != ColumnRole.None)
            {
                said.Add($"{l.Names[c]} = {Word(l.Roles[c])}");
            }
        }

        string separator = l.Separator switch { '\t' => "tab", ' ' => "space", _ => l.Separator.ToString() };
        string acceleration = l.Roles.Contains(ColumnRole.AccelerationX)
            ? $", acceleration in {(l.Acceleration == AccelerationUnit.StandardGravity ? "g" : "m/s²")} {(l.HasGravity ? "with" : "without")} gravity" : "";
        string rotation = l.Roles.Contains(ColumnRole.RotationX) ? $", rotation in {(l.RotationInDegrees ? "degrees" : "radians")} a second" : "";
        string speed = l.Roles.Contains(ColumnRole.Speed) ? $", speed in {(l.SpeedInKmh ? "km/h" : "m/s")}" : "";
        log.Note(IssueLog.Line(Math.Max(1, l.HeaderLine)), $"The columns were taken as: {string.Join(", ", said)}.",
            $"Separator {separator}, decimal mark {l.DecimalMark}, time in {l.Time.ToString().ToLowerInvariant()}{acceleration}{rotation}{speed}.");
    }

    private static string Word(ColumnRole r) => r switch
    {
        ColumnRole.AccelerationX => "acceleration x",
        ColumnRole.AccelerationY => "acceleration y",
        ColumnRole.AccelerationZ => "acceleration z",
        ColumnRole.RotationX => "rotation x",
        ColumnRole.RotationY => "rotation y",
        ColumnRole.RotationZ => "rotation z",
        ColumnRole.GravityX => "gravity x",
        ColumnRole.GravityY => "gravity y",
        ColumnRole.GravityZ => "gravity z",
        ColumnRole.HeartRate => "heart rate",
        ColumnRole.Dilution => "HDOP",
        _ => r.ToString().ToLowerInvariant(),
    };
}
