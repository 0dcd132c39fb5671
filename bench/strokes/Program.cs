using System.Diagnostics;
using System.Globalization;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;

// 90 minutes at 100 Hz, six axes, 5 400 fixes, in closed form and seeded noise; ours and the peer's by turns in one run.
CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
if (args.Length == 0)
{
    Console.Error.WriteLine("Usage: strokes FOLDER [PYTHON]: writes the 90 minutes into FOLDER, times ours, and the peer where a Python with SciPy is named.");
    return 64;
}

string folder = args[0];
Directory.CreateDirectory(folder);
var (motion, track) = Ninety.Make();
Ninety.Write(folder, motion, track);
SensorFindings? found = null;
double Once(Action a)
{
    GC.Collect();
    var w = Stopwatch.StartNew();
    a();
    return w.Elapsed.TotalSeconds;
}

long Allocated(Action a)
{
    long before = GC.GetAllocatedBytesForCurrentThread();
    a();
    return GC.GetAllocatedBytesForCurrentThread() - before;
}

void Detect() => found = SensorAnalysis.Analyse(new SensorInput(motion, null));
void Whole() => found = SensorAnalysis.Analyse(new SensorInput(motion, track));
for (int i = 0; i < 4; i++)
{
    Detect();
    Whole();
}

// By turns, so that what else the machine does falls on both alike; the best of each counts.
double detect = double.PositiveInfinity, whole = double.PositiveInfinity, peerDetect = double.PositiveInfinity, peerFuse = double.PositiveInfinity;
string versions = "";
for (int turn = 0; turn < 3; turn++)
{
    for (int i = 0; i < 5; i++)
    {
        detect = Math.Min(detect, Once(Detect));
        whole = Math.Min(whole, Once(Whole));
    }

    if (args.Length > 1)
    {
        var start = new ProcessStartInfo(args[1]) { RedirectStandardOutput = true };
        start.ArgumentList.Add(Path.Combine(AppContext.BaseDirectory, "peer.py"));
        start.ArgumentList.Add(folder);
        start.ArgumentList.Add(turn == 0 ? "both" : "detection");
        start.Environment["OMP_NUM_THREADS"] = "1";
        using var peer = Process.Start(start)!;
        string[] parts = peer.StandardOutput.ReadToEnd().Split('\n');
        peer.WaitForExit();
        peerDetect = Math.Min(peerDetect, double.Parse(parts[1], CultureInfo.InvariantCulture));
        peerFuse = turn == 0 ? double.Parse(parts[2], CultureInfo.InvariantCulture) : peerFuse;
        versions = parts[0];
        Console.WriteLine($"peer: {versions}; detection {parts[1]} s{(turn == 0 ? $", one pass of fusion {parts[2]} s" : "")}");
    }
}

Detect();
int alone = found!.Strokes.Count;
long detectBytes = Allocated(Detect), wholeBytes = Allocated(Whole);
Console.WriteLine($"ours: detection {detect:F3} s, {alone} strokes, {detectBytes / 1e6:F0} MB allocated; whole {whole:F3} s, {found.Strokes.Count} strokes, {wholeBytes / 1e6:F0} MB; clock sd {found.Satellite?.OffsetSd:F3} s");
if (args.Length > 1)
{
    Console.WriteLine($"ratios: detection {peerDetect / detect:F1}, fusion {peerFuse / Math.Max(1e-3, whole - detect):F0}");
}

return 0;

/// <summary>The 90 minutes: seven blocks of rowing at rising rates with rests between, a stroke with catch, two humps and recovery, a tilted phone.</summary>
internal static class Ninety
{
    public static (MotionLog Motion, Track Track) Make()
    {
        const int N = 540_000;
        var random = new Random(1);
        double Normal() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        var columns = new double[7][];
        for (int c = 0; c < 7; c++)
        {
            columns[c] = new double[N];
        }

        double phase = 0, speed = 0, way = 0;
        var fixes = new List<Fix>();
        for (int i = 0; i < N; i++)
        {
            double t = i / 100.0, minute = t / 60;
            bool rowing = minute % 10 > 1;
            double rate = rowing ? 18 + (2.86 * (int)(minute / 10)) : 0;
            phase += rate / 60 / 100;
            double f = phase - Math.Floor(phase), a = 0.15 * ((rowing ? 3.2 + (0.06 * rate) : 0) - speed);
            if (rowing)
            {
                double shape = -Math.Exp(-f * f / 0.006) - Math.Exp(-(1 - f) * (1 - f) / 0.006) + (0.9 * Math.Exp(-(f - 0.3) * (f - 0.3) / 0.02))
                    - (0.45 * Math.Exp(-(f - .75) * (f - .75) / 0.03));

                // Less its own mean, so that the speed stays.
                a += rate / 12 * (shape + 0.1373 - (0.9 * 0.2507) + (0.45 * 0.303));
            }

            speed += a / 100;
            way += speed / 100;
            columns[0][i] = t;
            columns[1][i] = (0.8 * a) + 2 + (0.4 * Normal());
            columns[2][i] = (0.6 * a) + 1 + (0.4 * Normal());
            columns[3][i] = 9.5 + (0.4 * Normal());
            columns[4][i] = 0.01 * Normal();
            columns[5][i] = 0.01 * Normal();
            columns[6][i] = 0.01 * Normal();
            if (i % 100 == 0)
            {
                fixes.Add(new Fix(Instant<SatelliteClock>.FromSeconds(1.75e9 + t), 46 + ((way + (0.2 * Normal())) / 111150), -31, SpeedMps: Math.Max(0, speed + (0.1 * Normal()))));
            }
        }

        return (new MotionLog("motion", columns[0], columns[1], columns[2], columns[3], columns[4], columns[5], columns[6], true), new Track("track", fixes));
    }

    public static void Write(string folder, MotionLog m, Track track)
    {
        using var motion = new BinaryWriter(File.Create(Path.Combine(folder, "motion.bin")));
        for (int i = 0; i < m.Count; i++)
        {
            foreach (double v in (ReadOnlySpan<double>)[m.AccelerationX[i], m.AccelerationY[i], m.AccelerationZ[i], m.RotationX![i], m.RotationY![i], m.RotationZ![i]])
            {
                motion.Write(v);
            }
        }

        using var fixes = new BinaryWriter(File.Create(Path.Combine(folder, "fix.bin")));
        foreach (var f in track.Fixes)
        {
            fixes.Write((f.LatitudeDegrees - 46) * 111150);
            fixes.Write(f.SpeedMps!.Value);
        }
    }
}
