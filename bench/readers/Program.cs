using System.Globalization;
using Stakeboat.Readers;

// Reading speed inside one process: each file is read fifteen times from memory; the least processor time counts.
CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
if (args.Length == 0)
{
    Console.Error.WriteLine("Usage: Readers.Bench FILE...   (bench/readers/inputs.py makes them)");
    return 64;
}

foreach (string file in args)
{
    byte[] bytes = File.ReadAllBytes(file);
    double best = double.PositiveInfinity;
    long allocated = 0, count = 0;
    for (int i = 0; i < 15; i++)
    {
        GC.Collect();
        long before = GC.GetAllocatedBytesForCurrentThread();
        var started = Environment.CpuUsage.TotalTime;
        var f = FileDoor.Open(new MemoryStream(bytes, false), Path.GetFileName(file)).Value!;
        double took = (Environment.CpuUsage.TotalTime - started).TotalSeconds;
        allocated = GC.GetAllocatedBytesForCurrentThread() - before;
        best = Math.Min(best, took);
        count = f.Tracks.Sum(t => t.Fixes.Count) + f.Motions.Sum(m => (long)m.Count);
    }

    Console.WriteLine($"{Path.GetFileName(file)}: {bytes.Length / 1e6:0.0} MB, {count} fixes and samples, {best * 1000:0} ms, {bytes.Length / best / 1e6:0} MB/s, {allocated / 1e6:0.0} MB allocated");
}

return 0;
