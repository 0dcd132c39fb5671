using System.Diagnostics;
using Stakeboat.Core.Measurement;
using Stakeboat.Core.Strokes;
using Stakeboat.Core.Time;
// Same closed-form signal as strokes_peer.py: 90 min, 100 Hz, 6 axes, 1 Hz fixes.
int n = 540_000; var t = new double[n]; var ax = new double[n]; var ay = new double[n]; var az = new double[n]; var gx = new double[n]; var gy = new double[n]; var gz = new double[n];
var rng = new Random(1); double G() => Math.Sqrt(-2 * Math.Log(1 - rng.NextDouble())) * Math.Cos(2 * Math.PI * rng.NextDouble());
double phase = 0, v = 0, s = 0; var fixes = new List<Fix>();
for (int i = 0; i < n; i++) {
  t[i] = i / 100.0; double m = t[i] / 60; bool row = m % 10 > 1; double rate = row ? 18 + 2.2 * (int)(m / 10) * 1.3 : 0;
  double before = phase; phase += rate / 60 / 100; double f = phase - Math.Floor(phase); double a = 0;
  double target = row ? 3.2 + 0.06 * rate : 0; a = 0.15 * (target - v);
  double A = 0.0 + rate / 12; if (row) a += A * (-Math.Exp(-f * f / 0.006) - Math.Exp(-(1 - f) * (1 - f) / 0.006) + 0.9 * Math.Exp(-(f - 0.3) * (f - 0.3) / 0.02) - 0.45 * Math.Exp(-(f - .75) * (f - .75) / 0.03)) ;
  if (row) a -= A * (-0.1373 * 1.0 + 0.9 * 0.2507 - 0.45 * 0.303);
  v += a / 100; s += v / 100;
  ax[i] = 0.8 * a + 2 + 0.4 * G(); ay[i] = 0.6 * a + 1 + 0.4 * G(); az[i] = 9.5 + 0.4 * G(); gx[i] = 0.01 * G(); gy[i] = 0.01 * G(); gz[i] = 0.01 * G();
  if (i % 100 == 0) fixes.Add(new Fix(Instant<SatelliteClock>.FromSeconds(1.75e9 + t[i]), 46 + (s + 0.2 * G()) / 111150, -31, SpeedMps: Math.Max(0, v + 0.1 * G())));
}
var motion = new MotionLog("m", t, ax, ay, az, gx, gy, gz, true); var track = new Track("t", fixes);
SensorFindings? r = null;
double Time(Action a) { var best = 1e9; for (int k = 0; k < 5; k++) { GC.Collect(); var w = Stopwatch.StartNew(); a(); best = Math.Min(best, w.Elapsed.TotalSeconds); } return best; }
double d1 = Time(() => r = SensorAnalysis.Analyse(new SensorInput(motion, null))); int strokesAlone = r!.Strokes.Count;
long before0 = GC.GetAllocatedBytesForCurrentThread(); r = SensorAnalysis.Analyse(new SensorInput(motion, null)); long a1 = GC.GetAllocatedBytesForCurrentThread() - before0;
double d2 = Time(() => r = SensorAnalysis.Analyse(new SensorInput(motion, track)));
before0 = GC.GetAllocatedBytesForCurrentThread(); r = SensorAnalysis.Analyse(new SensorInput(motion, track)); long a2 = GC.GetAllocatedBytesForCurrentThread() - before0;
Console.WriteLine($"motion alone {d1:F3} s, {strokesAlone} strokes, {a1 / 1e6:F0} MB; motion and fixes {d2:F3} s, {r.Strokes.Count} strokes, {a2 / 1e6:F0} MB, clock sd {r.Satellite?.OffsetSd:F3} noise {r.Noise}");
using var o = new BinaryWriter(File.Create(Path.Combine(args[0], "motion.bin"))); for (int i = 0; i < n; i++) { o.Write(ax[i]); o.Write(ay[i]); o.Write(az[i]); }
using var q = new BinaryWriter(File.Create(Path.Combine(args[0], "fix.bin"))); foreach (var f in fixes) { q.Write((f.LatitudeDegrees - 46) * 111150); q.Write(f.SpeedMps!.Value); }
