namespace Stakeboat.Readers.Motion;

/// <summary>What a column of a log can hold.</summary>
public enum ColumnRole
{
    /// <summary>Not used.</summary>
    None,
    Time,
    AccelerationX,
    AccelerationY,
    AccelerationZ,
    RotationX,
    RotationY,
    RotationZ,
    Latitude,
    Longitude,
    Speed,
    Course,
    Altitude,
    Accuracy,
    Dilution,
    HeartRate,
    Cadence,

    /// <summary>A date, where the time of day has a column of its own.</summary>
    Date,

    /// <summary>Which sensor the row is of, in words; rows of others than the accelerometer are left out.</summary>
    Sensor,

    /// <summary>Gravity apart from the acceleration; added to it.</summary>
    GravityX,
    GravityY,
    GravityZ,
}

/// <summary>Unit of a time column.</summary>
public enum TimeUnit
{
    Seconds,
    Milliseconds,
    Microseconds,
    Nanoseconds,

    /// <summary>Dates and times written out.</summary>
    Calendar,
}

/// <summary>Unit of acceleration columns.</summary>
public enum AccelerationUnit
{
    MetresPerSecondSquared,

    /// <summary>Multiples of 9.80665 m/s² (standard gravity, 3rd CGPM 1901).</summary>
    StandardGravity,
}

/// <summary>What a person may put right where the guess was wrong. What is null is guessed.</summary>
/// <param name="Columns">Role by the 0-based number of the column; the other columns keep their guess, but no role is given twice.</param>
/// <param name="HasGravity">Whether the acceleration contains gravity.</param>
/// <param name="RotationInDegrees">Whether the gyroscope's columns are in degrees a second.</param>
/// <param name="SpeedInKmh">Whether the speed column is in km/h.</param>
/// <param name="FlipSigns">True where the device reports the pull of gravity (-1 g on the axis that points up); the columns are then negated.</param>
public sealed record LogCorrection(
    char? Separator = null, char? DecimalMark = null, IReadOnlyDictionary<int, ColumnRole>? Columns = null, TimeUnit? Time = null,
    AccelerationUnit? Acceleration = null, bool? HasGravity = null, bool? RotationInDegrees = null, bool? SpeedInKmh = null, bool FlipSigns = false);

/// <summary>How a log was taken to be laid out: shown to the person, who may correct it.</summary>
/// <param name="Names">Column names, invented ("column 1") where the file has none.</param>
/// <param name="Roles">Role of each column.</param>
/// <param name="HeaderLine">1-based line of the names; 0 where there is none.</param>
/// <param name="FirstLine">1-based line of the first row of numbers.</param>
public sealed record LogLayout(
    char Separator, char DecimalMark, IReadOnlyList<string> Names, IReadOnlyList<ColumnRole> Roles, int HeaderLine, int FirstLine,
    TimeUnit Time, AccelerationUnit Acceleration, bool HasGravity, bool RotationInDegrees, bool SpeedInKmh);

/// <summary>Names of columns as loggers write them, told by their parts and not by any product's list.</summary>
public static class ColumnNames
{
    /// <summary>Role of one name; axis words and units may stand in any order and with any punctuation.</summary>
    public static ColumnRole Role(string name)
    {
        ArgumentNullException.ThrowIfNull(name);
        var parts = Parts(name);
        bool Has(params ReadOnlySpan<string> words)
        {
            foreach (string p in parts)
            {
                foreach (string w in words)
                {
                    if (p == w)
                    {
                        return true;
                    }
                }
            }

            return false;
        }

        if (Has("lat", "latitude", "latitud", "latitudine", "breitengrad", "breite", "breedtegraad"))
        {
            return ColumnRole.Latitude;
        }

        if (Has("lon", "lng", "long", "longitude", "longitud", "longitudine", "längengrad", "laengengrad", "länge", "lengtegraad"))
        {
            return ColumnRole.Longitude;
        }

        if (Has("gravity") && Has("x", "y", "z"))
        {
            return ColumnRole.GravityX + (Has("x") ? 0 : Has("y") ? 1 : 2);
        }

        if (Has("sensor", "sensortype", "sensorname") && parts.Count <= 2 && !Has("time", "accuracy", "id"))
        {
            return ColumnRole.Sensor;
        }

        if (Has("date", "datum", "fecha") && !Has("time", "zeit", "hora"))
        {
            return ColumnRole.Date;
        }

        if (name.Trim() is "utc_d" or "day")
        {
            return ColumnRole.Date;
        }

        if (name.Trim() is "utc_t")
        {
            return ColumnRole.Time;
        }

        char axis = Has("x", "ax", "gx", "accx", "gyrox", "gyrx", "accelx", "accelerationx", "wx") ? 'x'
            : Has("y", "ay", "gy", "accy", "gyroy", "gyry", "accely", "accelerationy", "wy") ? 'y'
            : Has("z", "az", "gz", "accz", "gyroz", "gyrz", "accelz", "accelerationz", "wz") ? 'z' : '\0';
        bool rotation = Has("gyro", "gyr", "gyroscope", "rotation", "rot", "rotationrate", "omega", "angular", "gx", "gy", "gz", "wx", "wy", "wz", "gyrox", "gyroy", "gyroz", "gyrx", "gyry", "gyrz");
        bool other = Has("mag", "magnetic", "magnetometer", "quaternion", "gravity", "gravityx", "gravityy", "gravityz", "euler", "attitude", "mx", "my", "mz");
        if (axis != '\0')
        {
            bool accel = Has("acc", "accel", "acceleration", "accelerometer", "useracceleration", "linear", "ax", "ay", "az", "x", "y", "z")
                || parts.Exists(p => p.StartsWith("acc", StringComparison.Ordinal));
            if (other && !Has("acc", "accel", "acceleration", "accelerometer"))
            {
                return ColumnRole.None;
            }

            return rotation ? ColumnRole.RotationX + (axis - 'x') : accel ? ColumnRole.AccelerationX + (axis - 'x') : ColumnRole.None;
        }

        return Has("time", "t", "timestamp", "elapsed", "seconds", "timems", "timens", "timeus", "datetime", "uptime", "zeit", "zeitstempel", "temps", "tiempo", "tijd", "hora", "uhrzeit", "secs", "sec", "ms", "millis", "utc", "epoch", "unixtime") ? ColumnRole.Time
            : Has("speed", "velocity", "geschwindigkeit", "vitesse", "velocidad", "velocità", "snelheid", "fart") && !Has("accuracy") ? ColumnRole.Speed
            : (Has("course", "bearing", "heading") || (Has("track") && Has("angle", "true", "deg"))) && !Has("accuracy") ? ColumnRole.Course
            : Has("hdop", "dilution") ? ColumnRole.Dilution
            : Has("accuracy", "horizontalaccuracy", "hacc", "eph") && !Has("vertical", "speed", "bearing", "course") ? ColumnRole.Accuracy
            : Has("alt", "altitude", "ele", "elevation", "height", "höhe", "altitud", "altezza", "hoogte") ? ColumnRole.Altitude
            : Has("hr", "heartrate", "heart", "bpm") ? ColumnRole.HeartRate
            : Has("cad", "cadence", "spm") ? ColumnRole.Cadence
            : ColumnRole.None;
    }

    /// <summary>Unit that a time column's name gives; null where none.</summary>
    public static TimeUnit? UnitOfTime(string name)
    {
        var p = Parts(name);
        return p.Contains("ms") || p.Contains("millis") || p.Contains("milliseconds") || p.Contains("timems") || p.Contains("msec") ? TimeUnit.Milliseconds
            : p.Contains("us") || p.Contains("µs") || p.Contains("μs") || p.Contains("micros") || p.Contains("microseconds") || p.Contains("timeus") ? TimeUnit.Microseconds
            : p.Contains("ns") || p.Contains("nanos") || p.Contains("nanoseconds") || p.Contains("timens") ? TimeUnit.Nanoseconds
            : p.Contains("s") || p.Contains("sec") || p.Contains("secs") || p.Contains("seconds") ? TimeUnit.Seconds
            : null;
    }

    /// <summary>Unit that an acceleration column's name gives; null where none.</summary>
    public static AccelerationUnit? UnitOfAcceleration(string name)
    {
        ArgumentNullException.ThrowIfNull(name);
        string n = name.Replace(" ", "", StringComparison.Ordinal);
        return n.Contains("m/s", StringComparison.OrdinalIgnoreCase) || n.Contains("ms-2", StringComparison.OrdinalIgnoreCase) || n.Contains("ms^-2", StringComparison.OrdinalIgnoreCase) ? AccelerationUnit.MetresPerSecondSquared
            : n.EndsWith("(g)", StringComparison.OrdinalIgnoreCase) || n.EndsWith("[g]", StringComparison.OrdinalIgnoreCase) || n.EndsWith("_g", StringComparison.OrdinalIgnoreCase) ? AccelerationUnit.StandardGravity
            : null;
    }

    public static bool IsDegrees(string name)
    {
        ArgumentNullException.ThrowIfNull(name);
        return name.Contains("deg", StringComparison.OrdinalIgnoreCase) || name.Contains("dps", StringComparison.OrdinalIgnoreCase) || name.Contains('°');
    }

    public static bool IsKmh(string name)
    {
        ArgumentNullException.ThrowIfNull(name);
        return name.Contains("km/h", StringComparison.OrdinalIgnoreCase) || name.Contains("kmh", StringComparison.OrdinalIgnoreCase) || name.Contains("kph", StringComparison.OrdinalIgnoreCase);
    }

    /// <summary>True where the name says that gravity was taken out.</summary>
    public static bool SaysLinear(string name)
    {
        ArgumentNullException.ThrowIfNull(name);
        return name.Contains("linear", StringComparison.OrdinalIgnoreCase) || name.Contains("user", StringComparison.OrdinalIgnoreCase);
    }

    // "Acceleration x (m/s^2)", "accelUserX", "time_ms" -> lower-case words.
    private static List<string> Parts(string name)
    {
        var parts = new List<string>();
        int from = -1;
        for (int i = 0; i <= name.Length && i < 200; i++)
        {
            bool letter = i < name.Length && char.IsLetter(name[i]);
            bool humps = letter && from >= 0 && char.IsUpper(name[i]) && i > 0 && char.IsLower(name[i - 1]);
            if (from >= 0 && (!letter || humps))
            {
                parts.Add(name[from..i].ToLowerInvariant());
                from = -1;
            }

            if (letter && from < 0)
            {
                from = i;
            }
        }

        return parts;
    }
}
