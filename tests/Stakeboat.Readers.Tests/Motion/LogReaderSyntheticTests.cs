using System.Globalization;
using System.Text;
using Stakeboat.Readers.Motion;

namespace Stakeboat.Readers.Tests.Motion;

/// <summary>The same 2 s of a rocking phone written in the ways of loggers; the log that comes back must be the same.</summary>
public class LogReaderSyntheticTests
{
    private const double G = LogReader.StandardGravity;

    private static double[] Row(int i) => [i * 0.01, 0.3 * Math.Sin(i / 9.0), 0.1, G + Math.Cos(i / 5.0)];

    private static string Text(string header, string separator, double timeScale, double unit, double epoch = 0, bool comma = false, bool gravity = true, string end = "\n")
    {
        var b = new StringBuilder(header.Length > 0 ? header + end : "");
        for (int i = 0; i < 200; i++)
        {
            var r = Row(i);
            double[] v = [(r[0] * timeScale) + epoch, r[1] / unit, r[2] / unit, (r[3] - (gravity ? 0 : G)) / unit];
            string line = string.Join(separator, v.Select(x => x.ToString("0.########", CultureInfo.InvariantCulture)));
            b.Append(comma ? line.Replace('.', ',') : line).Append(end);
        }

        return b.ToString();
    }

    public static TheoryData<string, string> Ways => new()
    {
        { "seconds, m/s2", Text("seconds_elapsed,x,y,z", ",", 1, 1) },
        { "milliseconds", Text("time_ms,acc_x,acc_y,acc_z", ",", 1e3, 1) },
        { "microseconds, no unit in the name", Text("timestamp,ax,ay,az", ",", 1e6, 1) },
        { "nanoseconds since 1970", Text("time,x,y,z", ",", 1e9, 1, 1775296800e9) },
        { "milliseconds since 1970", Text("timestamp,accel x,accel y,accel z", ",", 1e3, 1, 1775296800e3) },
        { "g", Text("t;ax (g);ay (g);az (g)", ";", 1, G) },
        { "g, unsaid", Text("t,ax,ay,az", ",", 1, G) },
        { "decimal comma", Text("Zeit time;Acceleration x (m/s^2);Acceleration y (m/s^2);Acceleration z (m/s^2)", ";", 1, 1, comma: true) },
        { "tabs and CR LF", Text("\"Time (s)\"\t\"Acceleration x (m/s^2)\"\t\"Acceleration y (m/s^2)\"\t\"Acceleration z (m/s^2)\"", "\t", 1, 1, end: "\r\n") },
        { "no names", Text("", ",", 1, 1) },
        { "lines before the names", "Phone log\nrate,100\n\n" + Text("time,accelX,accelY,accelZ", ",", 1, 1) },
        { "byte order mark", "\uFEFF" + Text("time,accelX,accelY,accelZ", ",", 1, 1) },
        { "spaces", Text("t x y z", " ", 1, 1) },
    };

    [Theory]
    [MemberData(nameof(Ways))]
    public void The_layout_is_guessed_and_said(string way, string text)
    {
        Assert.NotEmpty(way);
        var reading = FileDoor.Open(new MemoryStream(Encoding.UTF8.GetBytes(text)), "log.csv");
        var m = Assert.Single(reading.Value!.Motions);
        Assert.Equal(200, m.Count);
        Assert.True(m.HasGravity);
        for (int i = 0; i < 200; i++)
        {
            var r = Row(i);
            Assert.Equal(r[0], m.Seconds[i] - m.Seconds[0], 1e-6);
            Assert.Equal(r[1], m.AccelerationX[i], 1e-6);
            Assert.Equal(r[3], m.AccelerationZ[i], 1e-6);
        }

        Assert.Contains(reading.Issues, i => i.What.StartsWith("The columns were taken as", StringComparison.Ordinal));
    }

    [Fact]
    public void Gravity_that_was_taken_out_is_seen()
    {
        var m = FileDoor.Open(new MemoryStream(Encoding.UTF8.GetBytes(Text("t,userAccelX (g),userAccelY (g),userAccelZ (g)", ",", 1, G, gravity: false))), "log.csv").Value!.Motions[0];
        Assert.False(m.HasGravity);
        Assert.Equal(1, m.AccelerationZ[0], 6);
    }

    [Fact]
    public void A_correction_overrules_every_guess()
    {
        byte[] b = Encoding.UTF8.GetBytes(Text("a,b,c,d", ",", 1, 1));
        var fix = new LogCorrection(
            Columns: new Dictionary<int, ColumnRole> { [0] = ColumnRole.Time, [3] = ColumnRole.AccelerationX, [2] = ColumnRole.AccelerationY, [1] = ColumnRole.AccelerationZ },
            Time: TimeUnit.Milliseconds, Acceleration: AccelerationUnit.StandardGravity, HasGravity: false, FlipSigns: true);
        var m = LogReader.Read(new MemoryStream(b), "log.csv", fix).Value!.Motion!;
        Assert.Equal(0.00199, m.Seconds[199], 6);
        Assert.Equal(-(G + 1) * G, m.AccelerationX[0], 5);
        Assert.False(m.HasGravity);
    }

    [Fact]
    public void Positions_in_a_log_become_a_track()
    {
        const string Text = "timestamp,latitude,longitude,speed (km/h),horizontal accuracy\n1775296800000,48.2,-86.4,18,3\n1775296801000,48.20001,-86.4,18,3\n1775296802000,48.20002,-86.4,,3\n";
        var f = Assert.Single(FileDoor.Open(new MemoryStream(Encoding.UTF8.GetBytes(Text)), "gps.csv").Value!.Tracks).Fixes;
        Assert.Equal(3, f.Count);
        Assert.Equal(1775296800, f[0].Time!.Value.Seconds);
        Assert.Equal(5, f[0].SpeedMps!.Value, 9);
        Assert.Null(f[2].SpeedMps);
        Assert.Equal(3, f[0].AccuracyMetres);
    }

    [Fact]
    public void Calendar_times_are_read()
    {
        const string Text = "time,latitude,longitude\n2026-04-04T10:00:00.250Z,48.2,-86.4\n2026-04-04T10:00:01.250Z,48.20001,-86.4\n2026-04-04T10:00:02.250Z,48.20002,-86.4\n";
        Assert.Equal(1775296800.25, FileDoor.Open(new MemoryStream(Encoding.UTF8.GetBytes(Text)), "gps.csv").Value!.Tracks[0].Fixes[0].Time!.Value.Seconds, 6);
    }

    [Fact]
    public void Bad_fields_and_rows_are_counted()
    {
        string text = Text("t,x,y,z", ",", 1, 1) + "oops,1,2,3\n2.01,NaN,0.1,9.8\n2.02,1e400,0.1,9.8\n2.03,0.1,0.1,9.8\n";
        var reading = FileDoor.Open(new MemoryStream(Encoding.UTF8.GetBytes(text)), "log.csv");
        Assert.Equal(201, reading.Value!.Motions[0].Count);
        Assert.Contains(reading.Issues, i => i.What.Contains("no time", StringComparison.Ordinal) && i.Count == 1);
        Assert.Contains(reading.Issues, i => i.What.Contains("no number", StringComparison.Ordinal) && i.Count == 3);
    }

    [Fact]
    public void A_nine_column_log_costs_little_above_its_samples()
    {
        // 20 000 rows of nine columns; what is allocated in all must stay near eight bytes a kept number.
        var b = new StringBuilder("time_ms,ax,ay,az,gx,gy,gz,mx,my\n");
        for (int i = 0; i < 20000; i++)
        {
            b.Append(CultureInfo.InvariantCulture, $"{i * 10},0.{i % 997:000},0.12,9.81,0.01,0.02,0.03,11,12\n");
        }

        byte[] bytes = Encoding.UTF8.GetBytes(b.ToString());
        LogReader.Read(new MemoryStream(bytes), "warm", null);
        long before = GC.GetAllocatedBytesForCurrentThread();
        var m = LogReader.Read(new MemoryStream(bytes), "log.csv").Value!.Motion!;
        long used = GC.GetAllocatedBytesForCurrentThread() - before, samples = 7L * 8 * m.Count;
        Assert.Equal(20000, m.Count);
        Assert.NotNull(m.RotationZ);
        Assert.InRange(used, samples, (samples * 22 / 10) + (2 << 20)); // arrays, once cut to length, and the sample that is looked at
    }
}
